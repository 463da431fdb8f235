"""The next change in words: both lures and how likely it is better, or until when to hold."""

from datetime import timedelta

from bot.advice.data import Hold, Verdict
from bot.advice.rates import chances
from bot.answers.advise import held_back, put_in, taken_out
from bot.answers.view import View
from bot.messages import Advice
from bot.replies.amounts import clock, sentence


def advice_line(view: View, found: Verdict) -> str:
    """Write the next change, or until when to hold and why."""
    if isinstance(found, Hold):
        return f"Hold until {_until(view, found)}: {_lower(sentence(found.reason))}"
    return (
        f"Next: {put_in(view, found)} on the {found.position}{_out(view, found)}."
        f" {sentence(found.reason)} Better with {chances(found.chance)}."
    )


def spoken_advice(view: View, found: Verdict) -> str:
    """Return the next change in one breath."""
    if isinstance(found, Hold):
        return f"Hold until {_until(view, found)}: {_lower(sentence(found.reason))}"
    there = taken_out(view, found)
    gone = "" if there is None else f", {there.label.removesuffix('-inch')} comes out"
    return f"Next: {found.lure.removesuffix('-inch')} on the {found.position}{gone}."


def next_words(view: View, found: Verdict, position: str | None) -> tuple[str, str]:
    """Return the next change in words, written and spoken; first what was weighed for a line asked about."""
    line, spoken = advice_line(view, found), spoken_advice(view, found)
    is_there = isinstance(found, Advice) and found.position == position
    if position is None or is_there or held_back(view) is not None:
        return line, spoken
    from bot.answers.why import why_line  # late: it loads all that weighs

    first = why_line(view, position, found)[0]
    return f"{first}\n{line}", f"{first} {spoken}"


def still_line(view: View, found: Advice) -> str:
    """Write that the proposal still stands."""
    change = change_words(view, found)
    return f"Next: still {change} on the {found.position}, better with {chances(found.chance)}."


def change_words(view: View, found: Advice) -> str:
    """Return both lures of a change: `Church Hat (purple 8-inch) for Tea Cosy (green 10-inch)`."""
    there = taken_out(view, found)
    return put_in(view, found) + ("" if there is None else f" for {there.words}")


def _out(view: View, found: Advice) -> str:
    there = taken_out(view, found)
    return "" if there is None else f", {there.words} comes out"


def _until(view: View, found: Hold) -> str:
    if found.until or not found.minutes:
        return found.until or "something bites"
    at = clock(view.now + timedelta(minutes=found.minutes), view.tz)
    return f"something bites or {at}"


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:] if not text[1:2].isupper() else text
