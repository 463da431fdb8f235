"""Times ago over a lattice of words: "ten minutes", "half an hour", "an hour and a quarter". Pure."""

from collections.abc import Iterable, Iterator
from typing import Final

from bot.calls.lattice import Lattice
from bot.calls.numbers import Number

_AGO: Final = {
    "minutes": 1.0, "minute": 1.0, "hour": 60.0, "hours": 60.0, "m": 1.0, "h": 60.0,
}  # fmt: skip
_SPANS: Final = (
    ("half an hour", 30.0), ("half a hour", 30.0), ("a half hour", 30.0), ("half hour", 30.0),
    ("an hour", 60.0), ("a hour", 60.0), ("a minute", 1.0), ("a quarter of an hour", 15.0),
    ("quarter of an hour", 15.0), ("quarter hour", 15.0), ("a quarter hour", 15.0),
    ("a couple of minutes", 2.0), ("couple of minutes", 2.0), ("a couple minutes", 2.0),
    ("couple minutes", 2.0), ("three quarters of an hour", 45.0), ("a couple of hours", 120.0),
    ("couple of hours", 120.0), ("a few minutes", 0.0), ("few minutes", 0.0), ("a while", 0.0),
    ("a little while", 0.0), ("a moment", 0.0), ("a few", 0.0), ("a second", 0.0),
    ("a minute or two", 0.0), ("moments", 0.0), ("0.5 hour", 30.0), ("a bit", 0.0),
)  # fmt: skip
WORDS: Final = frozenset(_AGO) | {word for spoken, _ in _SPANS for word in spoken.split()}
"""Words for spans of time; a garbled word may be repaired to one of them."""


def ago_at(
    lattice: Lattice, start: int, numbers: Iterable[Number]
) -> Iterator[tuple[float, int, float]]:
    """Yield minutes, end and cost of every span of time that begins at a node; 0 where it has no number."""
    for number in numbers:
        for word, end, extra in lattice.edges[number.end]:
            if word in _AGO and end <= lattice.size:
                minutes = number.value * _AGO[word]
                yield minutes, end, number.cost + extra
                if _AGO[word] == 60:
                    yield from _hour_and(lattice, end, minutes, number.cost + extra)
    for minutes, end, cost in _spoken_ago(lattice, start):
        if end <= lattice.size:
            yield minutes, end, cost
            if minutes == 60:
                yield from _hour_and(lattice, end, minutes, cost)


def _hour_and(
    lattice: Lattice, at: int, minutes: float, cost: float
) -> Iterator[tuple[float, int, float]]:
    for words, more in ((("and", "a", "half"), 30.0), (("and", "a", "quarter"), 15.0)):
        for end, extra in lattice.follow(at, words):
            if end <= lattice.size:
                yield minutes + more, end, cost + extra


def _by_first_word() -> dict[str, list[tuple[tuple[str, ...], float]]]:
    found: dict[str, list[tuple[tuple[str, ...], float]]] = {}
    for words, minutes in _SPANS:
        first, *rest = words.split()
        found.setdefault(first, []).append((tuple(rest), minutes))
    return found


_SPOKEN_AGO: Final = _by_first_word()


def _spoken_ago(lattice: Lattice, start: int) -> Iterator[tuple[float, int, float]]:
    for word, end, cost in lattice.edges[start]:
        for rest, minutes in _SPOKEN_AGO.get(word, ()):
            for last, more in lattice.follow(end, rest):
                yield minutes, last, cost + more
