"""A line as the words that the network sees, with what the boat's language knows of each. Pure."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any, Final, NamedTuple

from bot.calls.grammar import Grammar
from bot.calls.lattice import Lattice, plain
from bot.calls.terms import Terms, terms
from bot.calls.tokens import Token, tokenise

TERM_LABELS: Final[tuple[tuple[str, tuple[str, ...]], ...]] = (
    ("position", ("{position}", "{both}")),
    ("side", ("{side}",)),
    ("colour", ("{colour}",)),
    ("head", ("{head}",)),
    ("species", ("{species}",)),
    ("what", ("{what}",)),
    ("about", ("{about}",)),
    ("tackle", ("{tackle}",)),
    ("name", ("{name}",)),
    ("number", ("{number}",)),
    ("inches", ("{inches}",)),
    ("length", ("{length}", "{depth}")),
    ("weight", ("{weight}",)),
    ("degrees", ("{degrees}",)),
    ("knots", ("{knots}",)),
    ("ago", ("{ago}",)),
    ("clock", ("{clock}", "{sureclock}")),
    ("tag", ("{tagno}",)),
    ("compass", ("{compass}",)),
)
"""What the language may know of a word -> labels of the terms that say so."""
_COLUMNS: Final = {
    label: column for column, (_, labels) in enumerate(TERM_LABELS) for label in labels
}
BETWEEN: Final = "|"
"""What the network sees between two lines that were said before."""
MARKS: Final = frozenset("?!,.:;-")
"""Punctuation that the network sees; any other is seen as a comma."""


class Span(NamedTuple):
    """A value that stands in a line."""

    start: int
    end: int
    value: Any
    cost: float
    """What its words cost: 0 as said; a repair and a doubtful form cost more."""


@dataclass(frozen=True, slots=True)
class Words:
    """A line in words."""

    line: str
    tokens: tuple[Token, ...]
    lattice: Lattice
    terms: Terms
    known: tuple[tuple[bool, ...], ...]
    """One row for each token, one column for each of `TERM_LABELS`."""
    end: str
    """The punctuation that closes the line, or an empty string."""
    grammar: Grammar
    before: "Words | None" = None
    """The line that was said just before, where there was one."""

    def words_and_marks(self) -> list[tuple[str, tuple[bool, ...], bool]]:
        """Return words and punctuation in order: text, what is known of it, whether it is punctuation."""
        nothing = (False,) * len(TERM_LABELS)
        found: list[tuple[str, tuple[bool, ...], bool]] = []
        for token, row in zip(self.tokens, self.known, strict=True):
            if token.stop and token.mark:
                found.append((token.mark, nothing, True))
            found.append((token.text, row, False))
        if self.end:
            found.append((self.end, nothing, True))
        return found


def in_turn(lines: Iterable[str], grammar: Grammar) -> Words | None:
    """Return the last of lines in words, each with the one before it; None where there are none."""
    last = None
    for line in lines:
        last = replace(words_of(line, grammar), before=last)
    return last


def said_earlier(words: Words | None) -> list[tuple[str, tuple[bool, ...], bool]]:
    """Return words and punctuation of a line and of the lines before it, as `Words.words_and_marks`."""
    if words is None:
        return []
    older = said_earlier(words.before)
    return [
        *older,
        *([(BETWEEN, (False,) * len(TERM_LABELS), True)] if older else []),
        *words.words_and_marks(),
    ]


def words_of(line: str, grammar: Grammar) -> Words:
    """Return a line in words; never raises."""
    tokens = tokenise(line, grammar.spelling)
    return of_lattice(line, plain(tokens), grammar)


def of_lattice(line: str, lattice: Lattice, grammar: Grammar) -> Words:
    """Return a line in words, its terms found over a lattice that may hold repairs."""
    found = terms(lattice, grammar)
    size = len(lattice.tokens)
    known = [[False] * len(TERM_LABELS) for _ in range(size)]
    for start, place in enumerate(found):
        for label in place.keys() & _COLUMNS.keys():
            for term in place[label]:
                for at in range(start, min(term.end, size)):
                    known[at][_COLUMNS[label]] = True
    last = line.rstrip()[-1:]
    end = last if last in MARKS else ""
    return Words(line, lattice.tokens, lattice, found, tuple(map(tuple, known)), end, grammar)
