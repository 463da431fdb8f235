"""The units in which the measures of a call were said, so that they can be said back in them.

A call holds metric values. A value has a unit where that unit stands in the line and a number of the line
comes to the value in it: in "20 kilos on fifty pound gear" no number of pounds is the weight. Pure.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import combinations
from typing import Final

from bot.calls.meant.reader import Line
from bot.calls.numbers import PARTS, Number, numbers_at, tens_and_tenths
from bot.trip.acts import AMEND, CAUGHT, Act
from bot.trip.call import Call
from bot.trip.meant import BARE, SaidUnits
from bot.trip.said_units import UNIT_OF
from bot.units import (
    CM_PER_INCH,
    INCHES_PER_FOOT,
    KG_PER_OUNCE,
    M_PER_FOOT,
    PER,
    celsius_of,
)

_SMALLER: Final[Mapping[tuple[str, str], float]] = {
    ("weight_kg", "pound"): KG_PER_OUNCE,
    ("drag_kg", "pound"): KG_PER_OUNCE,
    ("length_cm", "foot"): CM_PER_INCH,
    ("depth_m", "fathom"): M_PER_FOOT,
    ("sea_m", "foot"): M_PER_FOOT / INCHES_PER_FOOT,
}
"""Slot and unit -> the smaller unit of which a number may follow, in the unit of the slot."""
_MARGIN: Final = 0.051
"""How far a value may be from what was said: tenths are kept."""


def with_units(calls: Sequence[Call], line: Line) -> tuple[Call, ...]:
    """Return calls with the units of their measures as their only meanings."""
    found = [(call, said_units(call, line)) for call in calls]
    return tuple(replace(call, meant=(units,)) if units else call for call, units in found)


def said_units(call: Call, line: Line) -> SaidUnits | None:
    """Return the units in which the measures of a call were said; None where all are metric."""
    slots = {slot: value for slot, value in call.said().items() if slot in UNIT_OF}
    if not slots:
        return None
    figures = list(_figures(line))
    units = {
        UNIT_OF[slot]: _unit(call.act, slot, value, figures, line) for slot, value in slots.items()
    }
    found = SaidUnits(**units)
    return found if found != SaidUnits() else None


def _unit(act: Act, slot: str, value: float, figures: Sequence[Number], line: Line) -> str | None:
    numbers = [figure.value for figure in figures]
    if value in numbers:
        may_be_bare = act == AMEND or (act in CAUGHT and slot == "weight_kg")
        return BARE if may_be_bare and _ends_clause(value, figures, line) else None
    if slot == "water_c":
        said = any(abs(celsius_of(number) - value) < _MARGIN for number in numbers)
        return "fahrenheit" if said else None
    for unit, one in PER[slot].items():
        signs = [sign for sign in line.signs if (sign.table, sign.name) == ("unit", unit)]
        amounts = _amounts([1.0, *numbers], one, _SMALLER.get((slot, unit), 0.0)) if signs else ()
        if any(abs(amount - value) < _MARGIN for amount in amounts):
            return unit
        ends = {figure.end for figure in figures}
        if any(sign.start not in ends for sign in signs):
            return unit  # its number was misheard: "for tea pounds"
    return None


def _ends_clause(value: float, figures: Sequence[Number], line: Line) -> bool:
    """Return whether a number stands without a word behind it: no unit of it can have been misheard."""
    ends = {figure.end for figure in figures if figure.value == value}
    ends |= {s.end for s in line.signs if s[:2] == ("bare", "even") and s.start in ends}
    return any(end == line.lattice.size or line.tokens[end].stop for end in ends)


def _amounts(numbers: Sequence[float], one: float, smaller: float) -> Iterator[float]:
    """Yield what numbers may come to in a unit: "five foot ten", "a pound and a half", "four to six"."""
    yield from (number * one for number in numbers)
    for first, second in combinations(numbers, 2):
        yield first * one + second * smaller
        yield (first + second) / 2 * one
        if second in PARTS.values():
            yield (first + second) * one


def _figures(line: Line) -> Iterator[Number]:
    """Yield the numbers of a line in their order, parts of one among them."""
    lattice = line.lattice
    for start in range(lattice.size):
        yield from numbers_at(lattice, start)
        yield from tens_and_tenths(lattice, start)
        for word, end, cost in lattice.edges[start]:
            if word in PARTS:
                yield Number(PARTS[word], end, cost)
