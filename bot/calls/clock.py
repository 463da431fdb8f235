"""Clock times over a lattice of words, to `HH:MM` of the boat's own time.

    ten forty -> 10:40   quarter to four in the afternoon -> 15:45   1410 -> 14:10   noon -> 12:00

Without p.m. or an afternoon an hour from six to twelve is the morning's (or noon's), as the conventions
of the call language have it; earlier hours stay as said.
"""

from collections.abc import Iterator
from typing import Final, NamedTuple

from bot.calls.lattice import Lattice
from bot.calls.numbers import Number, numbers_at

_HALVES: Final = {
    ("am",): 0, ("a", "m"): 0, ("in", "the", "morning"): 0, ("this", "morning"): 0,
    ("pm",): 12, ("p", "m"): 12, ("in", "the", "afternoon"): 12, ("this", "afternoon"): 12,
    ("in", "the", "evening"): 12, ("this", "evening"): 12, ("tonight",): 12, ("hours",): -1,
    ("hundred",): -1, ("hundred", "hours"): -1, ("hrs",): -1, ("oclock",): -2, ("o", "clock"): -2,
}  # fmt: skip


class Clock(NamedTuple):
    """One reading of a time of day."""

    clock: str
    end: int
    cost: float
    sure: bool
    """True where the form is a time and nothing else: 10:40, half past ten, noon, nine p.m."""
    hour: bool = False
    """True where it is a bare number that may be an hour: "ten"."""
    half: bool = False
    """True where the half of the day was said: "ten p.m.", "noon"."""


def clocks_at(lattice: Lattice, start: int, units: frozenset[str] = frozenset()) -> list[Clock]:
    """Return the times of day that begin at a node; "four to six" before one of `units` is a range."""
    found: dict[tuple[int, str], Clock] = {}
    for clock in _clocks(lattice, start, units):
        key = (clock.end, clock.clock)
        if key not in found or clock.cost < found[key].cost:
            found[key] = clock
    return list(found.values())


def _clocks(lattice: Lattice, start: int, units: frozenset[str]) -> Iterator[Clock]:
    for hour, minute, end, cost, sure in _faces(lattice, start, units):
        yield from _with_half(lattice, hour, minute, end, cost, sure)
    for word, end, cost in lattice.edges[start]:
        if word in ("noon", "midday"):
            yield Clock("12:00", end, cost, True, half=True)


def _with_half(
    lattice: Lattice, hour: int, minute: int, end: int, cost: float, sure: bool
) -> Iterator[Clock]:
    if sure or minute >= 0:
        yield Clock(_written(hour, max(minute, 0)), end, cost, sure)
    elif 1 <= hour <= 12:
        yield Clock(_written(hour, 0), end, cost, sure, hour=True)
    for half, stop, extra in _halves(lattice, end):
        if half == -2:
            yield Clock(_written(hour, max(minute, 0)), stop, cost + extra, True)
            for second, last, more in _halves(lattice, stop):
                if second >= 0:
                    yield _halved(hour, max(minute, 0), second, last, cost + extra + more)
        elif half >= 0:
            yield _halved(hour, max(minute, 0), half, stop, cost + extra)
        elif 0 <= hour < 24:
            yield Clock(_written(hour, max(minute, 0)), stop, cost + extra, True)


def _halved(hour: int, minute: int, half: int, end: int, cost: float) -> Clock:
    if hour <= 12:
        hour = hour % 12 + half
    return Clock(_written(hour, minute), end, cost, True, half=True)


def _halves(lattice: Lattice, at: int) -> Iterator[tuple[int, int, float]]:
    for words, half in _HALVES.items():
        for end, cost in lattice.follow(at, words):
            yield half, end, cost


def _faces(
    lattice: Lattice, start: int, units: frozenset[str]
) -> Iterator[tuple[int, int, int, float, bool]]:
    for word, end, cost in lattice.edges[start]:
        hour, colon, minute = word.partition(":")
        if colon and hour.isdigit() and minute.isdigit() and int(hour) < 24 and int(minute) < 60:
            yield int(hour), int(minute), end, cost, True
        if word.isdigit() and len(word) == 4 and int(word[:2]) < 24 and int(word[2:]) < 60:
            yield int(word[:2]), int(word[2:]), end, cost, False
        if word.isdigit() and len(word) == 3 and int(word[1:]) < 60:
            yield int(word[:1]), int(word[1:]), end, cost, False
        if word in ("half", "quarter"):
            yield from _past_or_to(lattice, 30 if word == "half" else 15, end, cost, units)
        if word == "a":
            for part, stop, extra in lattice.edges[end]:
                if part == "quarter":
                    yield from _past_or_to(lattice, 15, stop, cost + extra, units)
    for first in numbers_at(lattice, start):
        yield from _from_number(lattice, first, units)


def _from_number(
    lattice: Lattice, first: Number, units: frozenset[str]
) -> Iterator[tuple[int, int, int, float, bool]]:
    value = first.value
    if value != int(value) or value < 0:
        return
    if value < 60:
        yield from _past_or_to(lattice, int(value), first.end, first.cost, units)
    if value < 24:
        yield int(value), -1, first.end, first.cost, False
        yield from _minutes(lattice, int(value), first)
    elif (first.digits == "" and 600 <= value < 2400 and value % 100 < 60) or (
        len(first.digits) == 4 and value < 2400 and value % 100 < 60
    ):
        yield int(value) // 100, int(value) % 100, first.end, first.cost, False
    if first.digits.startswith("0") and len(first.digits) == 2:
        yield from _minutes(lattice, int(value), first)


def _minutes(
    lattice: Lattice, hour: int, first: Number
) -> Iterator[tuple[int, int, int, float, bool]]:
    for minute in numbers_at(lattice, first.end):
        oh = minute.digits.startswith("0") and len(minute.digits) == 2
        if (10 <= minute.value < 60 or oh) and minute.value == int(minute.value):
            yield hour, int(minute.value), minute.end, first.cost + minute.cost, False


def _past_or_to(
    lattice: Lattice, minutes: int, at: int, spent: float, units: frozenset[str]
) -> Iterator[tuple[int, int, int, float, bool]]:
    for word, end, cost in lattice.edges[at]:
        if word in ("minutes", "minute"):
            yield from _past_or_to(lattice, minutes, end, spent + cost, units)
        if word not in ("past", "to", "after", "till", "before", "of"):
            continue
        for hour in numbers_at(lattice, end):
            measured = any(unit in units for unit, _, _ in lattice.edges[hour.end])
            if 1 <= hour.value <= 23 and hour.value == int(hour.value) and not measured:
                back = word in ("to", "till", "before", "of")
                at_hour = (int(hour.value) - 1 or 12) if back else int(hour.value)
                face = 60 - minutes if back else minutes
                yield at_hour % 24, face % 60, hour.end, spent + cost + hour.cost, True


def _written(hour: int, minute: int) -> str:
    return f"{hour % 24:02d}:{minute:02d}"
