"""Corrections: whose entries they undo, what of them is news from anybody, and which entry they put right.

Where skippers are set, what somebody else logged is taken back by that person or the skipper, and so is
a line, a time, a lure or an act of it that would be another. What became of a fish is news from anybody:
its name, what it weighs, who had the rod. A question names the entry that a correction would put right,
and the lure that goes back out. Pure.
"""

from collections.abc import Collection, Iterator, Sequence
from datetime import datetime, timedelta
from typing import Final

from bot.answers.view import View
from bot.answers.which_fish import Options
from bot.calls.phrasing import in_words, question as put
from bot.replies.amounts import clock
from bot.replies.logged import short
from bot.trip.acts import AMEND, SET, TABLE, UNDO
from bot.trip.amending import amendments
from bot.trip.call import Call
from bot.trip.corrections import OF_KIND, Refusal, Undo, undo_target
from bot.trip.decision import Decision, ResolvedAct
from bot.trip.entry import Entry, Record, Restored, Voided
from bot.trip.lines import line_for
from bot.trip.lures import is_known, label
from bot.trip.meant import OfKind

NEWS: Final = frozenset({"species", "weight_kg", "length_cm", "tag", "angler", "count"})
"""Slots that anybody may tell of a fish that somebody else called."""
LATELY: Final = timedelta(minutes=15)
"""How long a bare time is about what its speaker logged last, where others have logged since."""
_TIMES: Final = frozenset({"ago_min", "clock"})


def whose(
    decision: Decision, own: Collection[str], stood: Sequence[Entry], crew: str, *, said_wrong: bool
) -> str:
    """Return the name of another person whose entries a decision undoes; empty where there is none.

    `said_wrong` tells that the speaker called an entry wrong: putting right is taking back, unless it
    only tells more of a fish.
    """
    gone = set(decision.voids) - {*own, *decision.taken_back}
    by_id = {entry.id: entry for entry in stood}
    for one in decision.entries:  # what two say of one thing is put together, whoever said it first
        known = by_id.get(one.replaces or "")
        if known is not None and not (said_wrong and contradicts(one, known)):
            gone.discard(known.id)
    anyones = (e for e in stood if TABLE[e.call.act].form != "trouble")
    owners = (e.crew for e in anyones if e.id in gone and crew not in e.callers)
    return next((owner for owner in owners if owner), "")


def contradicts(new: ResolvedAct, known: Entry) -> bool:
    """Return whether an entry says something else than the one that it replaces, beside news of a fish."""
    if new.call.act != known.call.act or new.at != known.at:
        return True
    said = new.call.said()
    return any(
        said.get(name) != value
        for name, value in known.call.said().items()
        if name not in NEWS and name not in known.inferred
    )


def own_part(
    calls: Sequence[Call], stood: Sequence[Entry], crew: str, at: datetime
) -> tuple[Call, ...]:
    """Return a correction as its speaker may make it, where others' entries stand in its way; else none.

    A time alone is that of what the speaker logged last; a time beside news is when the news was; a line
    is that of the raise that the speaker called, and not of the bite that somebody else called after it.
    """
    if len(calls) != 1 or calls[0].act != AMEND:
        return ()
    (call,) = calls
    said = call.said()
    mine = [e for e in stood if crew in e.callers and at - e.at <= LATELY]
    last = max(mine, key=lambda e: e.id, default=None)
    if said and said.keys() <= _TIMES and last is not None:
        return (call.with_slots(of_act=last.call.act, of_position=last.call.position, meant=()),)
    if said.keys() & _TIMES and (said.keys() - _TIMES) & NEWS:
        return (call.with_slots(ago_min=None, clock=None),)
    kind = call.meaning(OfKind)
    acts = OF_KIND["raise"] & {call.of_act, *(OF_KIND[kind.kind] if kind else ())}
    raised = max((e for e in mine if e.call.act in acts), key=lambda e: e.id, default=None)
    if raised is not None:
        was = raised.call
        return (call.with_slots(of_act=was.act, of_position=was.position, meant=()),)
    return ()


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
        gone = undo_target(records, call, view.tz) if call.act == UNDO else Refusal("")
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
    if isinstance(found, Refusal) or not found.parts:
        return words
    entry = found.parts[0][0]
    return f"{words} (of {short(entry.call)}, {clock(entry.at, view.tz)})"
