"""Numbers that are said without a unit: the last of a line, or the only thing that it says. Pure."""

from typing import Final

from bot.calls.meant.reader import Line
from bot.calls.numbers import numbers_at, tens_and_tenths

_UNITS: Final = ("mass", "length", "unit")
"""Tables of the words for units."""
_TABLE: Final = "number_alone"


def last_number(line: Line) -> float | None:
    """Return the last number of a line that has no unit behind it; None where there is none."""
    found = _numbers(line)
    return found[-1][2] if found else None


def only_number(line: Line) -> float | None:
    """Return the last number of a line that says nothing else: "no, more like ninety two"; else None."""
    found = _numbers(line)
    known = {n for start, end, _ in found for n in range(start, end)}
    known |= {n for s in line.of(_TABLE) if s.cost == 0.0 for n in range(s.start, s.end)}
    return found[-1][2] if found and known == set(range(line.lattice.size)) else None


def _numbers(line: Line) -> list[tuple[int, int, float]]:
    """Return the numbers without a unit: where each begins and ends, and what it is."""
    units = {s.start for s in line.of(*_UNITS) if s.cost == 0.0}
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
