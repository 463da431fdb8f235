"""Times of day by which a line is read as a whole. Pure.

at ten past nine a bite, missed it                  the time before all calls of a breath is that of each
the long corner had grandma's quilt till 10:51      nothing went out then: which lure it was is put right
set it at quarter past six, 06:40 set it            a plan on offer is to go out
"""

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from bot.calls.meant.reader import Line, only_with
from bot.calls.numbers import numbers_at
from bot.calls.times import Clock, ago_at, clocks_at
from bot.trip.acts import AMEND, SET, TABLE
from bot.trip.call import Call
from bot.trip.meant import ExactClock, SetsPlan

_TABLE = "in_front"
_UNTIL = "hung_until"
_SETS: Final = "sets_plan"
DOTTED_TIME: Final = re.compile(r"^(\s*(?:\w+\s+)?(?:[01]?\d|2[0-3]))\.(?=[0-5]\d\b(?!\.))")
"""A time at the start of a line that is typed with a dot: "6.40", "at 6.40"."""


def with_time_in_front(calls: Sequence[Call], line: Line) -> tuple[Call, ...]:
    """Return the calls of a line, each entry with the time that stands before them all."""
    told = tuple(calls)
    if len(told) < 2 or not _leads(told[0], line):
        return told
    first, rest = told[0], told[1:]
    if line.has(_TABLE, "now"):
        return (first, *(_untimed(call, first) for call in rest))
    if any(call.ago_min is not None or call.clock is not None for call in rest):
        return told
    return (first, *(_then(call, first) if TABLE[call.act].is_entry else call for call in rest))


def _then(call: Call, first: Call) -> Call:
    exact = tuple(one for one in first.meant if isinstance(one, ExactClock))
    timed = call.with_slots(ago_min=first.ago_min, clock=first.clock)
    return replace(timed, meant=(*timed.meant, *exact))


def _untimed(call: Call, first: Call) -> Call:
    """Return a call without the time of the first one: "fish on at nine, boated it just now"."""
    same = (call.ago_min, call.clock) == (first.ago_min, first.clock)
    return call.with_slots(ago_min=None, clock=None) if same else call


def _leads(first: Call, line: Line) -> bool:
    """Return whether the time of a call stands at the beginning of the line."""
    size = line.lattice.size
    led = line.at(0, _TABLE, "led") if size else None
    start = led.end if led is not None else 0
    if start >= size or not TABLE[first.act].is_entry:
        return False
    if first.ago_min is not None:
        spans = ago_at(line.lattice, start, numbers_at(line.lattice, start))
        return any(minutes == first.ago_min for minutes, _, _ in spans)
    return first.clock is not None and bool(clocks_at(line.lattice, start))


@only_with(_UNTIL, otherwise=())
def until_calls(line: Line) -> tuple[Call, ...]:
    """Return the correction that a line is, where every word of it is accounted for; else none."""
    until = line.first(_UNTIL, "until")
    places = [s for s in line.of("position") if s.cost == 0.0]
    lures = [s for s in line.of("name") if s.cost == 0.0]
    if until is None or len(places) != 1 or len(lures) != 1:
        return ()
    times = [c for c in clocks_at(line.lattice, until.end) if c.end == line.lattice.size]
    had = [s for s in line.signs if s.table == _UNTIL and s.end <= until.end]
    known = {n for s in (until, *places, *lures, *had) for n in range(s.start, s.end)}
    if not times or not any(s.name == "had" for s in had) or len(known) < until.end:
        return ()
    place, lure = places[0].name, lures[0].name
    return (Call(AMEND, lure=lure, of_act=SET, of_position=place),)


@only_with(_SETS)
def sets_plan(line: Line) -> SetsPlan | None:
    """Return that a line only says that a plan is to be set, and at what time; None for any other line.

    A time at its start has a colon by now (`DOTTED_TIME`).
    """
    size = line.lattice.size
    for at, clock in ((0, None), *((c.end, c) for c in _times(line, 0))):
        for name in ("plan", "spread"):
            said = line.at(at, _SETS, name) if at < size else None
            if said is None or said.cost > 0.0:
                continue
            times = [c for c in _times(line, said.end) if c.end == size]
            if said.end == size or (times and clock is None):
                time = times[0] if times else clock
                return SetsPlan(time.clock if time else None, name == "spread")
    return None


def words_of_time(line: Line) -> range:
    """Return the words at the start of a line that only say what time it is."""
    dotted = DOTTED_TIME.match(line.text)
    typed = sum(token.start < dotted.end() for token in line.tokens) if dotted else 0
    return range(max([typed, *(c.end for c in _times(line, 0))]))


def _times(line: Line, at: int) -> list[Clock]:
    """Return the times of day that are said from a word on, with "at" before them, the longest first."""
    led = line.at(at, _SETS, "led") if at < line.lattice.size else None
    start = led.end if led is not None else at
    if start >= line.lattice.size:
        return []
    found = [c for c in clocks_at(line.lattice, start) if led is not None or not c.hour]
    return sorted(found, key=lambda c: (-c.end, c.cost))
