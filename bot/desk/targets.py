"""Name in a question the entry that a correction would put right. Pure."""

from collections.abc import Iterator, Sequence

from bot.answers.view import View
from bot.answers.which_fish import Options
from bot.calls.phrasing import in_words, question as put
from bot.replies.amounts import clock
from bot.replies.logged import short
from bot.trip.acts import AMEND, UNDO
from bot.trip.amending import amendments
from bot.trip.call import Call
from bot.trip.corrections import Refused, Undo, undo_target
from bot.trip.entry import Record, Restored, Voided


def with_targets(question: str, options: Options, view: View) -> str:
    """Return a question about corrections with the entry that each would put right, by its time."""
    if question != put(options) or not any(c.act == AMEND for one in options for c in one):
        return question
    told = ["; ".join(_with_target_each(one, view)) for one in options]
    return (
        f"Did you say: {told[0]}?" if len(told) == 1 else f"First: {told[0]}, or second: {told[1]}?"
    )


def _with_target_each(calls: Sequence[Call], view: View) -> Iterator[str]:
    """Yield the calls in words; what is undone before a correction is not what it would put right."""
    records = view.records
    for call in calls:
        yield _with_target(call, records, view)
        gone = undo_target(records, call, view.tz) if call.act == UNDO else Refused("")
        if isinstance(gone, Undo):
            records = (
                *records,
                Voided("", gone.void, view.now),
                Restored("", gone.restore, view.now),
            )


def _with_target(call: Call, records: Sequence[Record], view: View) -> str:
    words = in_words(call)
    if call.act != AMEND:
        return words
    found = amendments(records, call, view.now, view.tz)
    if isinstance(found, Refused) or not found.parts:
        return words
    entry = found.parts[0][0]
    return f"{words} (of {short(entry.call)}, {clock(entry.at, view.tz)})"
