"""A line named by its side alone: "strike, port rigger", where boats call them short and long. Pure."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from bot.answers.view import View
from bot.calls.phrasing import question
from bot.calls.reader.labels import CLEARED
from bot.calls.understand import Understanding, options_with
from bot.desk.settle import Act, Doubt
from bot.spread.positions import places
from bot.trip.acts import TABLE
from bot.trip.call import Call
from bot.trip.meant import SidedKind, meaning

SIDES: Final = {"port": -1, "starboard": 1}
"""Side -> the sign of the metres across in a picture of the spread."""
SURE: Final = 0.9
"""How sure it is what was called, of which only the line is asked."""


def of_two(settled: Act, found: Understanding, view: View) -> Act | Doubt:
    """Return calls with the line that a side means, or the question which of two it is."""
    named = meaning(found.meant, SidedKind)
    loose = [call for call in settled.calls if call.side and call.position is None]
    if named is None or len(loose) != 1 or settled.answers is not None:
        return settled
    call = loose[0]
    if TABLE[call.act].stage not in ("raised", "struck", "on") and call.act != CLEARED:
        return settled
    lines = _lines(named.kind, call, view)
    waits = {fish.position for fish in view.trip.fish if not fish.is_over}
    if not lines or waits & {*lines}:
        return settled  # which fish goes on follows from the fish
    options = tuple(_on_line(settled.calls, call, line) for line in lines)
    if len(options) == 1:
        return Act(options[0], closes=settled.closes)
    which = " or ".join(f"the {line}" for line in lines)
    return Doubt(f"Which {named.kind}: {which}?", options, SURE)


def unguessed(found: Understanding) -> Understanding:
    """Return what was understood without a line that only sounds like its side: a "port rigger".

    Readings that are then the same are one.
    """
    named = meaning(found.meant, SidedKind)
    if named is None:
        return found
    kind = named.kind

    def bare(calls: tuple[Call, ...]) -> tuple[Call, ...]:
        return tuple(
            c.with_slots(position=None) if c.side and (c.position or "").endswith(kind) else c
            for c in calls
        )

    options = options_with(found.options, bare)
    same = len(options) == 1 < len(found.options)
    asked = question([one.calls for one in options]) if options else found.ask
    ask = None if same or found.ask is None else asked
    return replace(found, calls=bare(found.calls), options=options, ask=ask)


def _on_line(calls: Sequence[Call], call: Call, line: str) -> tuple[Call, ...]:
    return tuple(one.with_slots(position=line) if one is call else one for one in calls)


def _lines(kind: str, call: Call, view: View) -> list[str]:
    """Return the lines that may be meant, that first which a picture shows on the side."""
    all_of = [line for line in view.boat.positions if line.split()[-1] == kind]
    sides = {there.position: there.side for there in view.trip.spread.values() if there.side}
    there = [line for line in all_of if sides.get(line) == call.side]
    others = [line for line in all_of if line not in sides]
    lines = there or others
    across = {place.position: place.across_m for place in places(view.boat.positions)}
    sign = SIDES.get(call.side or "", 0)
    return sorted(lines, key=lambda line: across[line] * sign < 0)
