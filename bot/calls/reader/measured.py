"""Measures as people say them, where the learned reader says that they are one. Pure.

    kilo and a half -> 1.5 kg     metre thirty -> 130 cm
    eight less one quarter -> 7.75 kn     force five -> 19 kn

The Beaufort scale is that of the WMO (Manual on Codes, table 1100): the middle of each force, in knots.
"""

from collections.abc import Iterator
from typing import Final

from bot.calls.numbers import PARTS, numbers_at
from bot.calls.reader.words import Span, Words
from bot.calls.terms import LENGTH_CM, WEIGHT_KG

FREE: Final = 0.15
"""Cost of words that have their meaning only in their role."""
_STONE_KG: Final = 6.35029318
_OUNCE_KG: Final = 0.028349523
_WEIGHTS: Final = WEIGHT_KG | {"stone": _STONE_KG, "st": _STONE_KG}
_KNOTS: Final = dict.fromkeys(("knot", "knots", "kt", "kts", "kn"), 1.0)
_LENGTHS_M: Final = {
    "metre": 1.0,
    "metres": 1.0,
    "m": 1.0,
    "foot": 0.3048,
    "feet": 0.3048,
    "ft": 0.3048,
}
_WINDS: Final = {
    "metre": 1.943844, "metres": 1.943844, "mps": 1.943844, "kph": 0.5399568, "kmh": 0.5399568,
    "km": 0.5399568, "mph": 0.8689762,
}  # fmt: skip
_UNITS: Final = {
    "size_in": {"inch": 1.0, "inches": 1.0, "foot": 12.0},
    "weight_kg": _WEIGHTS,
    "drag_kg": _WEIGHTS,
    "length_cm": LENGTH_CM,
    "sea_m": _LENGTHS_M,
    "speed_kn": _KNOTS,
    "wind_kn": _WINDS,
    "ago_min": {"hour": 60.0, "hours": 60.0, "minute": 1.0, "minutes": 1.0},
}
"""Role -> units, of which a part may be said behind them: "kilo and a half", "seven knot half"."""
_ALONE: Final = frozenset(_UNITS) - {"wind_kn"}
"""Roles in which a unit without a number is one of it."""
_BEAUFORT_KN: Final = (0.0, 2.0, 5.0, 8.5, 13.5, 19.0, 24.5, 30.5, 37.0, 44.0, 51.5, 59.5)
_FORCE: Final = "force"
_FASTEST: Final = 40
"""Knots that are a speed as they stand."""
_LIGHT: Final = frozenset({"and", "a", "an", "one"})
_LESS: Final = frozenset({"less", "minus"})
_SMALL: Final = frozenset(
    {"grams", "gram", "gr", "ounces", "ounce", "oz", "pounds", "lb", "lbs", "cm"}
)


def measured_at(words: Words, role: str, start: int) -> Iterator[Span]:
    """Yield the measures of a role that begin at a place."""
    if role == "wind_kn":
        yield from _force(words, start)
    if role not in _UNITS:
        return
    for at, value, cost in list(_amounts(words, role, start)):
        for end, part, more in _less(words, at):
            yield Span(start, end, _rounded(role, value - part), cost + more)
        for unit, end, more in _edges(words, at):
            if unit in _UNITS[role]:
                yield from _in_unit(words, role, unit, Span(start, end, value, cost + more))


def _in_unit(words: Words, role: str, unit: str, amount: Span) -> Iterator[Span]:
    """Yield an amount in a unit, with a part and with a smaller unit behind it."""
    start, at, value, cost = amount
    factor = _UNITS[role][unit]
    yield Span(start, at, _rounded(role, value * factor), cost + FREE)
    for end, part, more in _parts(words, at):
        yield Span(start, end, _rounded(role, (value + part) * factor), cost + more)
    for number in numbers_at(words.lattice, at) if at < words.lattice.size else ():
        rest = _rest(role, unit, number.value)
        if not rest:
            continue
        total, spent = _rounded(role, value * factor + rest), cost + number.cost + FREE
        yield Span(start, number.end, total, spent)
        for word, end, more in _edges(words, number.end):
            if word in _SMALL:
                yield Span(start, end, total, spent + more)


def _amounts(words: Words, role: str, start: int) -> Iterator[tuple[int, float, float]]:
    """Yield where a unit may stand, how much of it, and the cost: "two", "half a", or nothing for one."""
    for number in numbers_at(words.lattice, start):
        yield number.end, number.value, number.cost
    for word, end, cost in _edges(words, start):
        if word in _UNITS[role] and role in _ALONE:
            yield start, 1.0, FREE
        if word in PARTS:
            yield end, PARTS[word], cost
            yield from ((e, PARTS[word], cost + c) for w, e, c in _edges(words, end) if w in _LIGHT)


def _less(words: Words, at: int) -> Iterator[tuple[int, float, float]]:
    """Yield end, part and cost of "less one quarter"."""
    for word, end, cost in _edges(words, at):
        if word in _LESS:
            yield from ((last, part, cost + more) for last, part, more in _parts(words, end))


def _parts(words: Words, at: int) -> Iterator[tuple[int, float, float]]:
    """Yield end, part and cost of "and a half", "half"."""
    for _ in range(3):
        for word, end, cost in _edges(words, at):
            if word in PARTS:
                yield end, PARTS[word], cost
        if at >= len(words.tokens) or words.tokens[at].text not in _LIGHT:
            return
        at += 1


def _rest(role: str, unit: str, value: float) -> float:
    """Return what a number behind a unit adds: grams, ounces, pounds of a stone, centimetres; or 0."""
    if role == "length_cm":
        return value if LENGTH_CM[unit] == 100.0 and 5 <= value < 100 else 0.0
    if role not in ("weight_kg", "drag_kg"):
        return 0.0
    if _WEIGHTS[unit] == 1.0:
        return value / 1000 if 100 <= value < 1000 else value / 10 if 0 < value < 10 else 0.0
    if _WEIGHTS[unit] == _STONE_KG:
        return value * WEIGHT_KG["lb"] if 0 < value < 14 else 0.0
    return value * _OUNCE_KG if 0 < value < 16 else 0.0


def _force(words: Words, start: int) -> Iterator[Span]:
    """Yield "force five", and "five" after "force"."""
    for at in (start + 1, start) if words.tokens[start].text == _FORCE else (start,):
        if not 0 < at < len(words.tokens) or words.tokens[at - 1].text != _FORCE:
            continue
        for number in numbers_at(words.lattice, at):
            if number.value in range(len(_BEAUFORT_KN)):
                yield Span(start, number.end, _BEAUFORT_KN[int(number.value)], number.cost)


def _edges(words: Words, at: int) -> Iterator[tuple[str, int, float]]:
    """Yield what may stand at a place, as far as the line goes."""
    if at < words.lattice.size:
        yield from (edge for edge in words.lattice.edges[at] if edge.end <= words.lattice.size)


def _rounded(role: str, value: float) -> float:
    if role == "speed_kn" and _FASTEST < value < 10 * _FASTEST:
        value /= 10  # "seven eight knots"
    return round(value, 1 if role in ("weight_kg", "length_cm", "wind_kn", "ago_min") else 2)
