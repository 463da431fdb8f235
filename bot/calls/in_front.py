"""A time that stands before all calls of a breath is that of each: "at ten past nine a bite, missed it".

Pure.
"""

from collections.abc import Sequence
from dataclasses import replace

from bot.calls.ago import ago_at
from bot.calls.clock import clocks_at
from bot.calls.meant.reader import Line
from bot.calls.numbers import numbers_at
from bot.trip.acts import TABLE
from bot.trip.call import Call
from bot.trip.meant import ExactClock

_TABLE = "in_front"


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
