"""Name in a question the entry that a correction would put right, and the lure that goes back out. Pure."""

from collections.abc import Iterator, Sequence

from bot.answers.view import View
from bot.answers.which_fish import Options
from bot.calls.phrasing import in_words, question as put
from bot.replies.amounts import clock
from bot.replies.logged import short
from bot.trip.acts import AMEND, SET, UNDO
from bot.trip.amending import amendments
from bot.trip.call import Call
from bot.trip.corrections import Refused, Undo, undo_target
from bot.trip.entry import Record, Restored, Voided
from bot.trip.lines import line_for
from bot.trip.lures import is_known, label


def with_targets(question: str, options: Options, view: View) -> str:
    """Return a question about corrections with the entry that each would put right, by its time."""
    named = any(c.act == AMEND or _goes_back(c, view) for one in options for c in one)
    if question != put(options) or not named:
        return question
    told = ["; ".join(_with_target_each(one, view)) for one in options]
    return (
        f"Did you say: {told[0]}?" if len(told) == 1 else f"First: {told[0]}, or second: {told[1]}?"
    )


def _goes_back(call: Call, view: View) -> str:
    """Return the lure that goes back on an empty line where none is named; else nothing."""
    if call.act != SET or call.names_lure or not call.position:
        return ""
    lines = {**view.trip.previous, **view.trip.spread}
    there = lines.get(line_for(lines, call.position, call.side))
    return label(there) if there is not None and is_known(there) else ""


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
        back = _goes_back(call, view)
        return f"{words}, {back}" if back else words
    found = amendments(records, call, view.now, view.tz)
    if isinstance(found, Refused) or not found.parts:
        return words
    entry = found.parts[0][0]
    return f"{words} (of {short(entry.call)}, {clock(entry.at, view.tz)})"
