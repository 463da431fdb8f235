"""Put right on which line a fish ended, where several were on: their endings change places. Pure.

"The boated one at 9:52 was the shotgun": the one there was boated, and what was called of that one befell
the other. Strikes and hook-ups stay where they were.
"""

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Final

from bot.trip.acts import ENDINGS, TAKES
from bot.trip.call import Call
from bot.trip.corrections import NOT_AMENDED, correction
from bot.trip.entry import Entry
from bot.trip.fish import Fish

NEAR: Final = timedelta(minutes=2)
"""How near a time said of an ending is to the ending in the log that it means; common practice, no source."""

_WHERE: Final = {"position", "side", "of_act", "of_position", "of_clock"}
"""Slots of a correction that say where, and of which entry."""

Part = tuple[Entry, Call]


def exchange_ends(
    call: Call, one: Fish, fish: Sequence[Fish], stood: Sequence[Entry]
) -> tuple[Part, ...]:
    """Return the corrections of an ending that was logged for the wrong one of two fish; else none."""
    end = next((e for e in reversed(stood) if one.ends and e.id == one.ends[-1].entry), None)
    if call.position is None or end is None or call.position == one.position or one.count > 1:
        return ()
    there = [f for f in fish if f.position == call.position and f.count == 1 and _was_on(f, end.at)]
    if len(there) != 1:
        return ()
    other = there[0]
    takes = {
        name: value
        for name, value in call.said().items()
        if name in TAKES[end.call.act] and name not in NOT_AMENDED
    }
    parts = [(end, correction(**takes, meant=call.meant))]
    if other.ends:
        its = next(e for e in stood if e.id == other.ends[-1].entry)
        parts.append((its, correction(position=one.position, side=one.side)))
    return tuple(parts)


def exchange_lines(
    call: Call, target: Entry | object, fish: Sequence[Fish], stood: Sequence[Entry]
) -> tuple[Part, ...]:
    """Return the corrections of an ending whose line alone was wrong, if a fish is on there; else none."""
    if not isinstance(target, Entry) or not call.said().keys() <= _WHERE:
        return ()
    one = next((f for f in fish if f.ends and f.ends[-1].entry == target.id), None)
    return exchange_ends(call, one, fish, stood) if one is not None and one.is_over else ()


def told_of_another(
    call: Call, at: datetime, fish: Sequence[Fish], stood: Sequence[Entry]
) -> tuple[Part, ...]:
    """Return the endings to put right where an ending at a time was logged of another line; else none.

    Only for what is said in one breath with a correction: otherwise two fish may end at once.
    """
    if call.act not in ENDINGS or call.position is None or call.clock is None:
        return ()
    near = [e for e in stood if e.call.act == call.act and abs(e.at - at) <= NEAR]
    for entry in near:
        one = next((f for f in fish if f.ends and f.ends[-1].entry == entry.id), None)
        if one is not None and (parts := exchange_ends(call, one, fish, stood)):
            return parts
    return ()


def _was_on(one: Fish, at: datetime) -> bool:
    """Return whether a fish had bitten at a time and was not over before it."""
    bite = one.bite_at
    return bite is not None and bite <= at and (one.ended_at is None or one.ended_at >= at)
