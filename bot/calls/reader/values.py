"""Turn words with a role into the value of a slot, by the terms of the language.

`spans` lists what a role could mean anywhere in a line; the training data is made with it too. Pure.
"""

import re
from collections.abc import Callable, Iterator, Mapping
from itertools import groupby
from typing import Any, Final

from bot.calls.grammar_text import factor
from bot.calls.numbers import with_tenths
from bot.calls.reader.labels import SPEAKER
from bot.calls.reader.loose import left_over, loose_at
from bot.calls.reader.words import Span, Words
from bot.calls.terms import Term
from bot.units import CM_PER_INCH, CM_PER_M, M_PER_FOOT

SLACK: Final = 2
"""Most words beside a tagged run that may belong to its value."""
_MOST: Final = 999
"""Most fish or birds that anybody counts."""
_FASTEST: Final = 40
"""Greatest number of knots that is a speed; a greater one lacks its decimal point."""


Convert = Callable[[Any], Any]


def _same(value: Any) -> Any:
    return value


def _one(value: Any) -> tuple[Any, ...]:
    return (value,)


def _both(value: Any) -> tuple[Any, ...]:
    return tuple(value)


def _to_cm(inches: float) -> float:
    return round(inches * CM_PER_INCH, 1)


def _to_m(cm: float) -> float:
    return round(cm / CM_PER_M, 2)


def _count(value: float) -> int | None:
    return int(value) if 1 <= value <= _MOST and value == int(value) else None


def _bare_length(value: float) -> float | None:
    return value if 30 <= value <= 500 else None


def _inches(value: float) -> float | None:
    return value if 2 <= value <= 30 else None


def _knots(value: float) -> float | None:
    return value if 0 < value <= 60 else None


def _knots_and_tenths(value: float) -> float | None:
    """Return 8.4 for "eight four": nobody trolls at 84."""
    whole = value == int(value)
    return round(value / 10, 1) if whole and _FASTEST < value < 160 and value % 10 else None


def _marlin(colour: str) -> str | None:
    return f"{colour} marlin" if colour in ("blue", "black", "white") else None


def _sea(value: float) -> float | None:
    return value if 0 <= value <= 20 else None


_DEAR: Final = 4.0
"""Words more that a span must explain for each unit of cost; larger repairs less."""
_BARE: Final = 0.2
"""Cost of a number without its unit."""
_TENTHS: Final = 0.1
"""The same for "thirteen two", "nine eight": thirteen point two, nine point eight."""

SOURCES: Final[Mapping[str, tuple[tuple[str, str, Convert, float], ...]]] = {
    "position": (("{position}", "position", _one, 0.0), ("{both}", "positions", _both, 0.0)),
    "side": (("{side}", "side", _same, 0.0),),
    "colours": (("{colours}", "colours", _same, 0.0),),
    "size_in": (
        ("{inches}", "size_in", _same, 0.0),
        ("{size}", "size_in", _same, 0.05),
        ("{number}", "number", _inches, _BARE),
    ),
    "head": (("{head}", "head", _same, 0.0),),
    "lure": (("{name}", "lure", _same, 0.0),),
    "species": (
        ("{species}", "species", _same, 0.0),
        ("{animal}", "animal", _same, 0.02),
        ("{prey}", "prey", _same, 0.04),
        ("{colour}", "colour", _marlin, 0.3),
    ),
    "count": (
        ("{times}", "count", _same, 0.0),
        ("{pair}", "count", _same, 0.0),
        ("{number}", "number", _count, 0.0),
    ),
    "length_cm": (
        ("{length}", "length_cm", _same, 0.0),
        ("{inches}", "size_in", _to_cm, 0.0),
        ("{number}", "number", _bare_length, _BARE),
    ),
    "weight_kg": (("{weight}", "weight_kg", _same, 0.0), ("{number}", "number", _same, _BARE)),
    "tag": (("{tagno}", "tag", _same, 0.0), ("{tagdigits}", "tag", _same, 0.05)),
    "speed_kn": (
        ("{knots}", "speed_kn", _same, 0.0),
        ("{number}", "number", _knots, _BARE),
        ("{number}", "number", _knots_and_tenths, 0.1),
    ),
    "water_c": (
        ("{degrees}", "water_c", _same, 0.0),
        ("{degreesbare}", "water_c", _same, 0.1),
        ("{tenths}", "water_c", _same, _BARE),
    ),
    "depth_m": (("{depth}", "depth_m", _same, 0.0), ("{number}", "number", _same, 0.4)),
    "about": (("{about}", "about", _same, 0.0),),
    "what": (("{what}", "what", _same, 0.0),),
    "tackle": (("{tackle}", "tackle", _same, 0.0),),
    "ago_min": (("{ago}", "ago_min", _same, 0.0), ("{number}", "number", _same, 2 * _BARE)),
    "clock": (
        ("{clock}", "clock", _same, 0.0),
        ("{sureclock}", "clock", _same, 0.0),
        ("{hour}", "clock", _same, 0.1),
    ),
    "drag_kg": (("{weight}", "weight_kg", _same, 0.0), ("{number}", "number", _same, _BARE)),
    "wind_kn": (("{knots}", "speed_kn", _same, 0.0), ("{number}", "number", _knots, _BARE)),
    "wind_from": (("{compass}", "compass", _same, 0.0),),
    "sea_m": (("{length}", "length_cm", _to_m, 0.0), ("{number}", "number", _sea, _BARE)),
}  # fmt: skip
"""Role -> where its values come from: label of a term, slot in it, how it is read, what that costs."""

WORD_ROLES: Final = frozenset({"text", "angler", "tray"})
"""Roles whose value is the words themselves."""
_OLD: Final = {"old_colours": "colours", "old_size_in": "size_in", "old_lure": "lure"}


def spans(words: Words, role: str) -> Iterator[Span]:
    """Yield every value that a role could have in a line, with the words that say it."""
    for start in range(len(words.tokens)):
        yield from _spans_at(words, _OLD.get(role, role), start)


_RANGED: Final = frozenset({"wind_kn", "sea_m", "speed_kn"})
"""Roles that may be said as a range; its middle counts."""


def _spans_at(words: Words, role: str, start: int, free: bool = True) -> Iterator[Span]:
    """Yield what a role could mean from a place on; `free` takes in what words mean in this role only."""
    yield from _single_at(words, role, start)
    if free:
        yield from loose_at(words, role, start)
    if role in _RANGED:
        yield from _ranged_at(words, role, start)
    if role == "weight_kg":
        for one in with_tenths(words.lattice, start):  # read off a scale
            value = round(one.value * _unit_in_line(words), 1)
            yield Span(start, one.end, value, one.cost + _TENTHS)


def _ranged_at(words: Words, role: str, start: int) -> Iterator[Span]:
    """Yield the middle of "fifteen to twenty knots"."""
    size = len(words.tokens)
    for low in words.terms[start].get("{number}", ()):
        at = low.end
        if at < size and words.tokens[at].text in words.grammar.lists["ranging"]:
            at += 1
        elif not (at < size and words.tokens[at].mark in ("-", "\u2013")):
            continue
        for high in _single_at(words, role, at) if at < size else ():
            value = _value(low, "number", _same) * _unit(words, role, at, high.end)
            if value < high.value:
                yield Span(start, high.end, round((value + high.value) / 2, 2), high.cost)


def _unit(words: Words, role: str, at: int, end: int) -> float:
    """Return what a bare number counts in the unit that the number after it has."""
    if role != "sea_m":
        return 1.0
    units = words.grammar.units["sea_m"]
    feet = any(units.get(t.text) == "foot" for t in words.tokens[at:end])
    return M_PER_FOOT if feet else 1.0


def _single_at(words: Words, role: str, start: int) -> Iterator[Span]:
    for label, slot, convert, cost in SOURCES.get(role, ()):
        for term in words.terms[start].get(label, ()):
            if label == "{both}" and term.cost:
                continue  # "the shot rigger" is one of them, put right or asked about
            value = _value(term, slot, convert)
            if label == "{number}" and role in ("weight_kg", "drag_kg"):
                value = round(value * _unit_in_line(words), 1)
            if value is not None:
                yield Span(start, term.end, value, term.cost + cost)


def _unit_in_line(words: Words) -> float:
    """Return what a bare weight counts in kg: in pounds where they alone are spoken of in the line."""
    units = words.grammar.units
    found = (factor(units, token.text, ("weight_kg",)) for token in words.tokens)
    said = {one for one in found if one is not None}
    return said.pop() if len(said) == 1 else 1.0


def _value(term: Term, slot: str, convert: Convert) -> Any:
    for name, value in term.slots:
        if name == slot:
            return convert(value)
    return None


def values_of(words: Words, role: str, start: int, end: int) -> tuple[tuple[Any, ...], int]:
    """Return the values of a run of words with one role, in the order said, empty where none is read.

    Beside them how many of its words say nothing of a value.
    """
    role = _OLD.get(role, role)
    if role == "position" and (left := left_over(words, start, end)):
        return (left,), 0
    found: list[Any] = []
    at = start
    silent = 0
    while at < end:
        here = [s for s in _spans_at(words, role, at) if s.end <= end]
        if not here:
            at, silent = at + 1, silent + 1
            continue
        best = _best(here)
        found.append(best.value)
        at = best.end
    if found:
        return tuple(found), silent
    low, high = max(0, start - SLACK), min(len(words.tokens), end + SLACK)
    near = [
        s
        for at in range(low, end)
        for s in _spans_at(words, role, at, free=False)
        if s.end <= high and s.end > start
    ]
    return ((_best(near).value,) if near else ()), 0


def _best(found: list[Span]) -> Span:
    """Return the span that says most for what its words cost."""
    return min(found, key=lambda s: (s.start - s.end + _DEAR * s.cost, s.cost))


def raw_text(words: Words, start: int, end: int) -> str:
    """Return the words of a run as they stand in the line."""
    tokens = words.tokens
    return words.line[tokens[start].start : tokens[end - 1].end].strip()


def singular_kind(words: Words, start: int, end: int) -> str:
    """Return a kind as it is said, one of it: "Sand eels" is "sand eel", "anchovies" "anchovy"."""
    said = raw_text(words, start, end).lower()
    for ending, one in _PLURALS:
        if said.endswith(ending) and len(said) > len(ending) + 2:
            return said.removesuffix(ending) + one
    return said


_PLURALS: Final = (
    ("ies", "y"), ("shes", "sh"), ("ches", "ch"), ("ss", "ss"), ("us", "us"), ("s", ""),
)  # fmt: skip
FIRST_PERSON: Final = frozenset("i me mine my myself am have".split())
"""Words by which speakers mean themselves."""
_OWNING: Final = re.compile(r"['\u2019]s?$")


def name_in(words: Words, start: int, end: int) -> str:
    """Return the name of a person in a run, without "'s" and with capitals; `SPEAKER` for "mine"."""
    if all(token.text in FIRST_PERSON for token in words.tokens[start:end]):
        return SPEAKER
    said = _OWNING.sub("", raw_text(words, start, end))
    each = [name for name, _ in groupby(said.split(), key=str.casefold)]  # "petra petra"
    return " ".join(part[:1].upper() + part[1:] for part in each)
