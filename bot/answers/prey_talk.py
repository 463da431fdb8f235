"""What the fish are eating, as it was seen, with what it still counts; and which lures they took. Pure."""

from collections.abc import Sequence
from datetime import timedelta
from typing import Final

from bot.answers.answer import Answer
from bot.answers.view import View
from bot.replies.amounts import clock, number, percent, sentence
from bot.trip.acts import BAIT
from bot.trip.call import Call
from bot.trip.lures import full_label, is_known
from bot.trip.state import Prey

MOST: Final = 4
"""Most baits that are named, the latest ones."""
MOST_BITTEN: Final = 3
"""Most lures that are named."""
LATELY: Final = timedelta(days=7)
"""How long before this trip bait is still told of."""


def what_they_eat(view: View) -> Answer:
    """Answer with the bait that was seen, its length and its weight in the advice, and the lures bitten."""
    seen = [one for trip in (*view.past.trips, view.trip) for one in trip.prey]
    late = [one for one in seen if timedelta() <= view.now - one.at <= LATELY]
    lines = [sentence(_words(view, one)) for one in sorted(late, key=lambda one: one.at)[-MOST:]]
    if not lines:
        lines = [
            "No bait is logged of the last seven days. Say what was seen:"
            ' "squid in the stomach, eight inches".'
        ]
    bitten = _bitten(view)
    return Answer(
        "\n".join([*lines, *([f"Lures bitten today: {bitten}."] if bitten else [])]), lines[-1]
    )


def _words(view: View, one: Prey) -> str:
    from bot.advice.bites import prey_of  # late: only this question needs it

    what = one.species or one.text or "bait"
    size = f", {number(one.size_in)}-inch" if one.size_in is not None else ""
    day = "" if view.now - one.at < timedelta(hours=12) else f"{one.at.astimezone(view.tz):%d %b} "
    text = f"{what}{size}, seen {day}{clock(one.at, view.tz)}"
    if one.size_in is None:
        return f"{text}; without its length it counts for no size"
    weighed = prey_of([((view.now - one.at) / timedelta(days=1), one.size_in)])
    if not weighed:
        return f"{text}; too long ago to count"
    return f"{text}; lures of that length count for more, {percent(weighed[0].weight)} of it by now"


def _bitten(view: View) -> str:
    """Return the lures that were bitten on this trip with their strikes, the most bitten first."""
    strikes: dict[str, int] = {}
    for fish in view.trip.fish:
        if fish.is_strike and fish.is_catch and is_known(fish):
            words = full_label(fish)
            strikes[words] = strikes.get(words, 0) + 1
    ranked = sorted(strikes.items(), key=lambda pair: (-pair[1], pair[0]))
    return ", ".join(f"{words} {many}" for words, many in ranked[:MOST_BITTEN])


def bait_lines(calls: Sequence[Call]) -> list[str]:
    """Return how bait that was seen changes the advice."""
    sizes = [call.size_in for call in calls if call.act == BAIT and call.size_in is not None]
    if sizes:
        near = (
            f"Lures of about {number(sizes[-1])} inches count for more now, half of it after a day"
        )
        return [f"{near}, as far as the record knows no better."]
    if any(call.act == BAIT for call in calls):
        return ['Said with its length ("squid, eight inches") it counts for the sizes proposed.']
    return []
