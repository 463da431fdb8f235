"""Tag numbers over a lattice of words: "tag number seven seven one two", "tag #A2217". Pure."""

from collections.abc import Iterator
from typing import Final, NamedTuple

from bot.calls.lattice import Lattice
from bot.calls.numbers import numbers_at


class Tag(NamedTuple):
    """One reading of a tag's number."""

    number: str
    end: int
    cost: float
    named: bool
    """True where the word tag, or #, stands before it."""


SPOKEN_LETTERS: Final = frozenset(
    "alfa alpha bravo charlie delta echo foxtrot golf hotel india juliett juliet kilo lima mike november"
    " oscar papa quebec romeo sierra tango uniform victor whiskey whisky xray yankee zulu".split()
)
"""The spelling alphabet of the International Code of Signals: each stands for its first letter."""
LONGEST: Final = 16
"""Most letters and digits of a tag's number."""
_TAG_WORDS: Final = ("tag", "tags")
_TAG_LINE: Final = (*_TAG_WORDS, "tagged", "tagging")
_TAG_FILL: Final = ("number", "no", "num", "is", "id", "numbers", "nr")


def tags_at(lattice: Lattice, start: int) -> Iterator[Tag]:
    """Yield the tag numbers that begin at a node."""
    if _tagged_line(lattice):
        named = lattice.tokens[start].text.startswith("#")
        for number, end, cost in _tag_number(lattice, start):
            yield Tag(number, end, cost, named)
    for word, end, cost in lattice.edges[start]:
        numbered = word in ("number", "no") and _tagged_line(lattice)
        if not (word in _TAG_WORDS or numbered) or end >= lattice.size:
            continue
        reached = {end: cost}  # a word may be reached in many ways, but is looked at once
        todo = [end]
        for at in todo:
            for fill, stop, extra in lattice.edges[at]:
                if fill in _TAG_FILL and stop <= lattice.size and stop not in reached:
                    reached[stop] = reached[at] + extra
                    todo.append(stop)
            for number, last, extra in _tag_number(lattice, at):
                yield Tag(number, last, reached[at] + extra, True)


def _tagged_line(lattice: Lattice) -> bool:
    known: bool | None = lattice.read.get(("tag", 0))
    if known is None:
        known = any(t.text in _TAG_LINE or t.text[0] == "#" for t in lattice.tokens)
        lattice.read["tag", 0] = known
    return known


def _tag_number(lattice: Lattice, at: int) -> Iterator[tuple[str, int, float]]:
    if at < lattice.size:
        raw = lattice.tokens[at].text.lstrip("#")
        figures = any(c.isdigit() for c in raw) and ":" not in raw and "." not in raw
        if figures and len(raw) <= LONGEST:
            yield raw.upper(), at + 1, 0.0
    for prefix, start, spent in _letters(lattice, at):
        for number in numbers_at(lattice, start):
            digits = number.digits or str(int(number.value))
            yield prefix + digits, number.end, spent + number.cost + 0.02 * (8 - len(digits))
            for second in numbers_at(lattice, number.end):
                if number.digits or second.digits:
                    continue
                both = digits + str(int(second.value))
                yield prefix + both, second.end, spent + number.cost + second.cost + 0.05


def _letters(lattice: Lattice, at: int) -> Iterator[tuple[str, int, float]]:
    yield "", at, 0.0
    for word, end, cost in lattice.edges[at]:
        if len(word) == 1 and word.isalpha() and word != "a":
            yield word.upper(), end, cost
        elif word in SPOKEN_LETTERS:
            yield word[0].upper(), end, cost
