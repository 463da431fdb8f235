"""Lines of a boat that names them itself: "the long" is none of the usual ones that it has not. Pure.

Readers know the usual names, and may take "left flat and left long" for a long corner.
"""

from collections.abc import Collection, Sequence
from dataclasses import replace

from bot.calls.meant.reader import Line
from bot.calls.weighed import Weighed, merged
from bot.trip.acts import FISH_ACTS, LAYING
from bot.trip.call import POSITIONS, Call


def lacking(positions: Collection[str]) -> frozenset[str]:
    """Return the usual positions that a boat lacks which has names of its own for its lines."""
    own = set(positions) - set(POSITIONS)
    return frozenset(POSITIONS) - set(positions) if own else frozenset()


def on_own_lines(
    ways: Sequence[Weighed], line: Line, lacks: Collection[str]
) -> tuple[Weighed, ...]:
    """Return the readings without usual positions that the boat has not and nobody named.

    Such a call is of the line that is named and that no other call is of; where there is none, it goes,
    or says no line.
    """
    if not lacks or not any(c.position in lacks for way in ways for c in way.calls):
        return tuple(ways)
    named = [sign.name for sign in line.of("position")]
    told = (replace(way, calls=_on_lines(way.calls, named, lacks)) for way in ways)
    return merged(tuple(told))


def _on_lines(
    calls: tuple[Call, ...], named: Sequence[str], lacks: Collection[str]
) -> tuple[Call, ...]:
    taken = {call.position for call in calls}
    free = [name for name in named if name not in taken and name not in lacks]
    found: list[Call] = []
    for call in calls:
        if call.position not in lacks or call.position in named:
            found.append(call)
        elif free:
            found.append(call.with_slots(position=free.pop(0), side=None))
        elif call.act in FISH_ACTS | LAYING:  # a fish is no less one, and the line is asked for
            found.append(call.with_slots(position=None))
    return tuple(found)
