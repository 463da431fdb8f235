"""A correction that names the lure which hung there before: the change is taken back, or made again. Pure.

"Swap the gun for the hat" - "no, not the hat, put the nail back": said at once the nail never left, and its
clock runs on; said later the hat has fished, and the nail goes out now.
"""

from collections.abc import Sequence
from datetime import datetime, timedelta, tzinfo
from typing import Final

from bot.trip.acts import AMEND, CLEAR, LAYING, SWAP
from bot.trip.call import Call
from bot.trip.corrections import Refusal, amend_target, undo_of
from bot.trip.entry import Entry, Record
from bot.trip.lures import LURE_SLOTS
from bot.trip.state import Trip

AT_ONCE: Final = timedelta(minutes=5)
"""How long after a change was called a lure put back counts as never gone; common practice, no source."""
_OF_LURES: Final = frozenset({*LURE_SLOTS, "position", "side"})


def as_put_back(
    calls: Sequence[Call],
    records: Sequence[Record],
    stood: Sequence[Entry],
    trip: Trip,
    at: datetime,
    tz: tzinfo,
) -> tuple[Call, ...]:
    """Return the calls of a message with a lure that is put back as what that does to the log."""
    if len(calls) != 1 or calls[0].act != AMEND or not calls[0].lure:
        return tuple(calls)
    (call,) = calls
    if not call.said().keys() <= _OF_LURES:
        return (call,)
    target = amend_target(records, call, tz)
    if isinstance(target, Refusal) or target.call.act not in LAYING or not trip.is_fishing:
        return (call,)
    if _hung_before(target, stood) != call.lure or target.call.lure in (None, call.lure):
        return (call,)
    if call.position not in (None, target.call.position):
        return (call,)
    bitten = any(
        fish.position == target.call.position and fish.first_at >= target.at for fish in trip.fish
    )
    if at - target.at <= AT_ONCE and not bitten:
        return (undo_of(target),)
    was = target.call
    return (Call(SWAP, position=was.position, side=was.side, lure=call.lure, old_lure=was.lure),)


def _hung_before(target: Entry, stood: Sequence[Entry]) -> str | None:
    """Return the lure that an entry changed for another, by the entries before it on that line."""
    place = (target.call.position, target.call.side)
    acts = (*LAYING, CLEAR)
    there = [
        e
        for e in stood
        if e.call.act in acts and (e.call.position, e.call.side) == place and e.at <= target.at
    ]
    before = there[: there.index(target)] if target in there else ()
    last = before[-1].call if before else None
    return last.lure if last is not None and last.act in LAYING else None
