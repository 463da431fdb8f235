"""Name in a question the entry that a correction would put right. Pure."""

from bot.answers.view import View
from bot.answers.which_fish import Options
from bot.calls.phrasing import in_words
from bot.calls.phrasing import question as put
from bot.replies.amounts import clock
from bot.replies.logged import short
from bot.trip.acts import AMEND
from bot.trip.amending import amendments
from bot.trip.call import Call
from bot.trip.corrections import Refused


def with_targets(question: str, options: Options, view: View) -> str:
    """Return a question about corrections with the entry that each would put right, by its time."""
    if question != put(options) or not any(c.act == AMEND for one in options for c in one):
        return question
    told = ["; ".join(_with_target(call, view) for call in one) for one in options]
    return (
        f"Did you say: {told[0]}?" if len(told) == 1 else f"First: {told[0]}, or second: {told[1]}?"
    )


def _with_target(call: Call, view: View) -> str:
    words = in_words(call)
    if call.act != AMEND:
        return words
    found = amendments(view.records, call, view.now, view.tz)
    if isinstance(found, Refused) or not found.parts:
        return words
    entry = found.parts[0][0]
    return f"{words} (of {short(entry.call)}, {clock(entry.at, view.tz)})"
