"""Numbers that are said without a unit, and the speed for which a spread is made ready. Pure.

The last number of a line, or the only thing that it says ("no, more like ninety two"); and "at 7.5 knots" or
"at seven and a half", which is a speed without its unit.
"""

import re
from collections.abc import Iterator
from typing import Final

from bot.calls.meant.reader import Line
from bot.calls.numbers import numbers_at, tens_and_tenths
from bot.calls.times import clocks_at

SPEEDS_KN: Final = (2.0, 20.0)
"""Range of the speeds at which lures are towed; a number outside it is something else."""
_UNITS: Final = ("pace", "mass", "length", "unit", "line_class")
"""Tables of the words behind a number that say of what it is one."""

_DOTTED: Final = re.compile(r"\d\.[0-5]\d")
"""A time of day that is typed with a dot."""
_MEASURES: Final = ("mass", "length", "unit")
"""Tables of the words for units."""
_ALONE: Final = "number_alone"
_WITHOUT_ARTICLE: Final = 0.15
"""Most that a number costs of which only the article is left out."""


def bare_numbers(line: Line, start: int) -> Iterator[tuple[float, int]]:
    """Yield the numbers that begin at a word, with their ends, the longest first; an article is no number."""
    if line.at(start, "tray_word", "article") is None:
        own = line.at(start, "tray_word", "ends") is not None
        for found in sorted(numbers_at(line.lattice, start), key=lambda one: -one.end):
            if not (own and found.cost > 0.0):
                yield found.value, found.end


def is_unit(line: Line, at: int) -> bool:
    """Return whether a unit of speed or line class stands at a word."""
    units = (("pace", "knots"), ("mass", "kilo"), ("mass", "pound"))
    return any(line.at(at, *unit) is not None for unit in units)


def speed_in(line: Line) -> float | None:
    """Return the speed that a line names, in knots."""
    return next((value for value, _, _ in speeds_at(line)), None)


def speeds_at(line: Line) -> Iterator[tuple[float, int, int]]:
    """Yield the speeds of a line in knots with where each begins and ends, those with their unit first.

    Behind "at" a number with a fraction is a speed by itself: a whole one may be the time of day.
    """
    low, high = SPEEDS_KN
    found = [
        (value, start, end)
        for start in range(line.lattice.size)
        for value, end in bare_numbers(line, start)
        if low <= value <= high
    ]
    yield from (one for one in found if line.at(one[2], "pace", "knots"))
    yield from (one for one in found if _is_bare_speed(line, *one))


def _is_bare_speed(line: Line, value: float, start: int, end: int) -> bool:
    led = start > 0 and line.at(start - 1, "pace", "at") is not None
    if not led or value.is_integer() or any(s.start == end for s in line.of(*_UNITS)):
        return False
    if _DOTTED.search(line.tokens[start].text):
        return False
    return all(clock.end < end for clock in clocks_at(line.lattice, start))


def last_number(line: Line) -> float | None:
    """Return the last number of a line that has no unit behind it; None where there is none."""
    found = _numbers(line)
    return found[-1][2] if found else None


def single_number(line: Line) -> float | None:
    """Return the number of a line that has one and no unit, "hundred and eighty" too; else None."""
    found: list[float] = []
    at = 0
    while at < line.lattice.size:
        here = (n for n in numbers_at(line.lattice, at) if n.cost <= _WITHOUT_ARTICLE)
        best = max(here, key=lambda n: n.end, default=None)
        found += [] if best is None else [best.value]
        at = at + 1 if best is None else best.end
    return found[0] if len(found) == 1 and not line.of(*_MEASURES) else None


def only_number(line: Line) -> float | None:
    """Return the last number of a line that says nothing else: "no, more like ninety two"; else None."""
    found = _numbers(line)
    known = {n for start, end, _ in found for n in range(start, end)}
    known |= {n for s in line.of(_ALONE) if s.cost == 0.0 for n in range(s.start, s.end)}
    return found[-1][2] if found and known == set(range(line.lattice.size)) else None


def _numbers(line: Line) -> list[tuple[int, int, float]]:
    """Return the numbers without a unit: where each begins and ends, and what it is."""
    units = {s.start for s in line.of(*_MEASURES) if s.cost == 0.0}
    found: list[tuple[int, int, float]] = []
    at = 0
    while at < line.lattice.size:
        here = [*numbers_at(line.lattice, at), *tens_and_tenths(line.lattice, at)]
        best = max((n for n in here if n.cost == 0.0), key=lambda n: n.end, default=None)
        if best is None:
            at += 1
            continue
        if best.end not in units:
            found.append((at, best.end, best.value))
        at = best.end
    return found
