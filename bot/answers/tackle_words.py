"""What a question about tackle names: lure, position, line class, metres, wave; reads words, no more."""

import re
from dataclasses import dataclass
from typing import Final

from bot.answers.view import View
from bot.calls.lattice import Lattice, plain
from bot.calls.numbers import numbers_at
from bot.calls.tokens import tokenise
from bot.tackle.box import find
from bot.tackle.items import COLOURS, Lure
from bot.tackle.line_classes import LINE_CLASSES, class_of, class_of_label

_KILOS: Final = frozenset({"kilo", "kilos", "kg", "kgs", "kilogram", "kilograms"})
_POUNDS: Final = frozenset({"pound", "pounds", "lb", "lbs"})
_METRES: Final = frozenset({"m", "metre", "metres", "meter", "meters"})
_CLASS_WORDS: Final = {
    "twenties": 10.0, "thirties": 15.0, "fifties": 24.0, "eighties": 37.0, "thirty's": 15.0,
}  # fmt: skip
"""Outfits by their pound label; "one thirties" is found before "thirties"."""
_NTH: Final = (
    "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth",
)  # fmt: skip
SIZES_IN: Final = (3.0, 24.0)


@dataclass(frozen=True, slots=True)
class Named:
    """What a question names; None or empty for what it does not."""

    position: str | None = None
    lures: tuple[Lure, ...] = ()
    """Of the box, that fit; or one that is only described."""
    class_kg: float | None = None
    metres: float | None = None
    wave: int | None = None


def named(view: View, text: str) -> Named:
    """Read what a question names."""
    low = text.casefold()
    line = plain(tokenise(low, {}))
    words = [token.text for token in line.tokens]
    taken: set[int] = set()
    class_kg = _class_kg(line, words, taken)
    metres = _before(line, words, _METRES, taken)
    wave = _wave(line, words, taken)
    return Named(_position(view, low), _lures(view, low, line, taken), class_kg, metres, wave)


def _position(view: View, low: str) -> str | None:
    fits = [p for p in view.boat.positions if re.search(rf"\b{re.escape(p.casefold())}\b", low)]
    return max(fits, key=len, default=None)


def _lures(view: View, low: str, line: Lattice, taken: set[int]) -> tuple[Lure, ...]:
    by_name = [x for x in view.box if re.search(rf"\b{re.escape(x.name.casefold())}\b", low)]
    if by_name:
        return (max(by_name, key=lambda lure: len(lure.name)),)
    known = {*COLOURS, *view.boat.colours}
    colours = tuple(t.text for t in line.tokens if t.text in known)
    size_in = _size_in(line, taken)
    found = find(view.box, colours=colours, size_in=size_in)
    if found or size_in is None:
        return found
    return (Lure("this lure", size_in, colours or ("black",)),)


def _size_in(line: Lattice, taken: set[int]) -> float | None:
    for start in range(line.size):
        for figure in sorted(numbers_at(line, start), key=lambda one: -one.end):
            free = taken.isdisjoint(range(start, figure.end))
            if free and SIZES_IN[0] <= figure.value <= SIZES_IN[1]:
                return figure.value
    return None


def _class_kg(line: Lattice, words: list[str], taken: set[int]) -> float | None:
    for at, word in enumerate(words):
        if word in _CLASS_WORDS:
            taken.add(at)
            if at and words[at - 1] == "one" and word == "thirties":
                taken.add(at - 1)
                return 60.0
            return _CLASS_WORDS[word]
    kilos = _before(line, words, _KILOS, taken)
    if kilos is not None:
        return class_of(kilos).kg if kilos <= LINE_CLASSES[-1].kg else None
    pounds = _before(line, words, _POUNDS, taken)
    label = class_of_label(pounds) if pounds is not None else None
    return label.kg if label else None


def _before(
    line: Lattice, words: list[str], units: frozenset[str], taken: set[int]
) -> float | None:
    """Give the longest number that stands before one of these words."""
    for start in range(line.size):
        ends = [f for f in numbers_at(line, start) if f.end < len(words) and words[f.end] in units]
        if ends:
            best = max(ends, key=lambda one: one.end)
            taken.update(range(start, best.end + 1))
            return best.value
    return None


def _wave(line: Lattice, words: list[str], taken: set[int]) -> int | None:
    for at, word in enumerate(words):
        if word not in ("wave", "waves"):
            continue
        if at and words[at - 1] in _NTH:
            return _NTH.index(words[at - 1]) + 1
        after = list(numbers_at(line, at + 1)) if at + 1 < line.size else []
        if after:
            taken.update(range(at + 1, after[0].end))
            return int(after[0].value)
    return None
