"""Measures as people say them, where the learned reader says that words are one. Pure.

    kilo and a half -> 1.5 kg     metre thirty -> 130 cm     kilo twenty six -> 26 kg
    eight less one quarter -> 7.75 kn     force five -> 19 kn

The Beaufort scale is that of the WMO (Manual on Codes, table 1100): the middle of each force, in knots.
"""

from collections.abc import Iterator, Mapping
from typing import Final

from bot.calls.grammar_text import factor
from bot.calls.numbers import PARTS, numbers_at
from bot.calls.reader.words import Span, Words
from bot.units import CM_PER_M, KG_PER_OUNCE, KG_PER_POUND, KG_PER_STONE

FREE: Final = 0.15
"""Cost of words that have their meaning only in their role."""
FEWEST: Final = 2
"""Smallest number that is said behind its unit."""
_KINDS: Final[Mapping[str, tuple[str, ...]]] = {
    "size_in": ("size_in_role",),
    "weight_kg": ("weight_kg", "stone"),
    "drag_kg": ("drag_kg", "stone"),
    "length_cm": ("length_cm",),
    "sea_m": ("sea_m",),
    "speed_kn": ("speed_kn",),
    "wind_kn": ("wind_kn",),
    "ago_min": ("ago_min",),
}
"""Role -> kinds of units, of which a part may be said behind them: "kilo and a half", "seven knot half"."""
_ALONE: Final = frozenset(_KINDS) - {"wind_kn"}
"""Roles in which a unit without a number means one of it."""
_BEAUFORT_KN: Final = (0.0, 2.0, 5.0, 8.5, 13.5, 19.0, 24.5, 30.5, 37.0, 44.0, 51.5, 59.5)
_FASTEST: Final = 40
"""Greatest number of knots that is a speed; a greater one lacks its decimal point."""


def measured_at(words: Words, role: str, start: int) -> Iterator[Span]:
    """Yield the measures of a role that begin at a place."""
    if role == "wind_kn":
        yield from _force(words, start)
    if role not in _KINDS:
        return
    if role == "weight_kg":
        yield from _behind_its_unit(words, role, start)
    for at, value, cost in list(_amounts(words, role, start)):
        for end, part, more in _less(words, at):
            yield Span(start, end, _rounded(role, value - part), cost + more)
        for unit, end, more in _edges(words, at):
            if _factor(words, role, unit):
                yield from _in_unit(words, role, unit, Span(start, end, value, cost + more))


def _behind_its_unit(words: Words, role: str, start: int) -> Iterator[Span]:
    """Yield a number that stands behind its unit, as in other languages: "kilo twenty six"."""
    for unit, at, cost in _edges(words, start):
        one = _factor(words, role, unit)
        for number in numbers_at(words.lattice, at) if one and at < words.lattice.size else ():
            is_other = any(_factor(words, role, u) for u, *_ in _edges(words, number.end))
            grams = number.value % 100 == 0  # "a kilo four hundred"
            if number.value >= FEWEST and not (is_other or grams):
                yield Span(start, number.end, _rounded(role, number.value * one), cost + FREE)


def _in_unit(words: Words, role: str, unit: str, amount: Span) -> Iterator[Span]:
    """Yield an amount in a unit, with a part and with a smaller unit behind it."""
    start, at, value, cost = amount
    one = _factor(words, role, unit)
    yield Span(start, at, _rounded(role, value * one), cost + FREE)
    for end, part, more in _parts(words, at):
        yield Span(start, end, _rounded(role, (value + part) * one), cost + more)
    for number in numbers_at(words.lattice, at) if at < words.lattice.size else ():
        rest = _rest(role, one, number.value)
        if not rest:
            continue
        total, spent = _rounded(role, value * one + rest), cost + number.cost + FREE
        yield Span(start, number.end, total, spent)
        for word, end, more in _edges(words, number.end):
            if word in words.grammar.units["small"]:
                yield Span(start, end, total, spent + more)


def _factor(words: Words, role: str, unit: str) -> float:
    """Return what one of a unit is, by its word; 0 where it is no unit of a role."""
    return factor(words.grammar.units, unit, _KINDS[role]) or 0.0


def _amounts(words: Words, role: str, start: int) -> Iterator[tuple[int, float, float]]:
    """Yield where a unit may stand, how much of it, and the cost: "two", "half a", or nothing for one."""
    for number in numbers_at(words.lattice, start):
        yield number.end, number.value, number.cost
    for word, end, cost in _edges(words, start):
        if role in _ALONE and _factor(words, role, word):
            yield start, 1.0, FREE
        if word in PARTS:
            yield end, PARTS[word], cost
            yield from (
                (e, PARTS[word], cost + c)
                for w, e, c in _edges(words, end)
                if w in words.grammar.lists["before_part"]
            )


def _less(words: Words, at: int) -> Iterator[tuple[int, float, float]]:
    """Yield end, part and cost of "less one quarter"."""
    for word, end, cost in _edges(words, at):
        if word in words.grammar.lists["taken_off"]:
            yield from ((last, part, cost + more) for last, part, more in _parts(words, end))


def _parts(words: Words, at: int) -> Iterator[tuple[int, float, float]]:
    """Yield end, part and cost of "and a half", "half"."""
    for _ in range(3):
        for word, end, cost in _edges(words, at):
            if word in PARTS:
                yield end, PARTS[word], cost
        if (
            at >= len(words.tokens)
            or words.tokens[at].text not in words.grammar.lists["before_part"]
        ):
            return
        at += 1


def _rest(role: str, unit: float, value: float) -> float:
    """Return what a number behind a unit adds: grams, ounces, pounds of a stone, centimetres; or 0.

    `unit` is what one of the unit is in that of the role.
    """
    if role == "length_cm":
        return value if unit == CM_PER_M and 5 <= value < 100 else 0.0
    if role not in ("weight_kg", "drag_kg"):
        return 0.0
    if unit == 1.0:
        return value / 1000 if 100 <= value < 1000 else value / 10 if 0 < value < 10 else 0.0
    if unit == KG_PER_STONE:
        return value * KG_PER_POUND if 0 < value < 14 else 0.0
    return value * KG_PER_OUNCE if 0 < value < 16 else 0.0


def _force(words: Words, start: int) -> Iterator[Span]:
    """Yield "force five", and "five" after "force"."""
    force = words.grammar.lists["beaufort"]
    for at in (start + 1, start) if words.tokens[start].text in force else (start,):
        if not 0 < at < len(words.tokens) or words.tokens[at - 1].text not in force:
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
