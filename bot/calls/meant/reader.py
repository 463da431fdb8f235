"""A line with the signs that stand in it: words to `Line`, slips of typing and of the ear put right.

Words of the language and plain English words are believed; any other word may also be the nearest word
of a sign. What was heard is never replaced: a repair is one more way through the line, at a cost. Pure.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property, wraps
from typing import Concatenate, Final, ParamSpec, TypeVar, cast

from rapidfuzz import process
from rapidfuzz.distance import OSA

from bot.calls.lattice import Lattice, plain, with_repairs
from bot.calls.meant.signs import Chain, Sign, Signs, signs_in
from bot.calls.tokens import Token, tokenise

SLIP_COST: Final = 0.1
"""Cost of a slip of hearing that is common in the trade; larger believes what was heard."""
LETTER_COST: Final = 0.4
"""Cost of each wrong letter of a typed word."""
SHORTEST: Final = 3
"""Fewest letters of a word that is taken for a typing slip."""
SHORT: Final = 5
"""Most letters of a word in which one wrong letter is put right; in a longer word it is two."""
NEAREST: Final = 4
"""Number of words of signs that are tried for an unknown word."""
SPAN: Final = 3
"""Most words that a common slip of hearing spans."""

CACHE_LINES: Final = 64
"""Number of lines that are cached: one message is read several times."""

Repair = tuple[int, int, tuple[str, ...], float]
P = ParamSpec("P")
Found = TypeVar("Found")


@dataclass(frozen=True)
class Line:
    """A line with the signs found in it."""

    text: str
    lattice: Lattice
    signs: tuple[Sign, ...]
    chains: tuple[Chain, ...] = ()

    @property
    def tokens(self) -> tuple[Token, ...]:
        """Return the words as heard, with their places in the text."""
        return self.lattice.tokens

    @cached_property
    def _tables(self) -> dict[str, list[Sign]]:
        found: dict[str, list[Sign]] = {}
        for sign in self.signs:
            found.setdefault(sign.table, []).append(sign)
        return found

    def of(self, *tables: str) -> list[Sign]:
        """Return the signs of tables, the cheapest and longest at every place, none inside another."""
        found = [sign for table in sorted(tables) for sign in self._tables.get(table, ())]
        if len(found) < 2:
            return found
        found.sort(key=lambda sign: (sign.cost, sign.start - sign.end, sign.start))
        kept: list[Sign] = []
        for sign in found:
            if all(sign.end <= other.start or other.end <= sign.start for other in kept):
                kept.append(sign)
        return sorted(kept, key=lambda sign: sign.start)

    def first(self, table: str, *names: str) -> Sign | None:
        """Return the first sign of a table, with one of these names where any are given."""
        return next((s for s in self.of(table) if not names or s.name in names), None)

    def has(self, table: str, *names: str) -> bool:
        """Return whether a sign of a table stands in the line."""
        there = self._tables.get(table)
        return there is not None and (not names or any(s.name in names for s in there))

    def has_any(self, tables: frozenset[str]) -> bool:
        """Return whether a sign of one of these tables stands in the line."""
        return not tables.isdisjoint(self._tables)

    @cached_property
    def chained(self) -> tuple[str, ...]:
        """Return what the chains of signs ask that stand in the line in their order, each once."""
        return tuple(dict.fromkeys(c.asks for c in self.chains if self._is_chained(c)))

    def _is_chained(self, chain: Chain) -> bool:
        """Return whether the wordings of a chain stand in the line, in their order."""
        here = self._tables.get(chain.table, [])
        barred = {sign.start for sign in here if sign.name == "unless"}
        firsts = (sign for sign in here if sign.name == "first" and not self.is_contracted(sign))
        ends = [sign.end for sign in firsts if sign.end not in barred]
        if not ends or "then" not in chain.parts:
            return bool(ends)
        return any(sign.name == "then" and sign.start >= min(ends) for sign in here)

    def at(self, start: int, table: str, name: str) -> Sign | None:
        """Return the longest sign that begins at a word."""
        there = [s for s in self._tables.get(table, ()) if s.start == start and s.name == name]
        return max(there, key=lambda sign: (-sign.cost, sign.end), default=None)

    def at_any(self, start: int, table: str) -> Sign | None:
        """Return the longest sign of a table, of any name, that begins at a word as it was said."""
        there = [s for s in self._tables.get(table, ()) if s.start == start and s.cost == 0.0]
        return max(there, key=lambda sign: sign.end, default=None)

    def is_contracted(self, sign: Sign) -> bool:
        """Return whether a sign is only a part of a word as written: the "will" of "I'll"."""
        before = self.tokens[sign.start - 1 : sign.start]
        after = self.tokens[sign.end : sign.end + 1]
        first, last = self.tokens[sign.start], self.tokens[sign.end - 1]
        return any(t.start == first.start for t in before) or any(
            t.start == last.start for t in after
        )

    def without(self, start: int, end: int) -> str:
        """Return the text without some of its words."""
        return f"{self.text[: self.tokens[start].start]} {self.text[self.tokens[end - 1].end :]}"


def only_with(
    *tables: str, otherwise: object = None
) -> Callable[[Callable[Concatenate[Line, P], Found]], Callable[Concatenate[Line, P], Found]]:
    """Look for a meaning only where a sign of one of these tables stands; it wants one of them.

    `otherwise` is what is found in every other line: None, or no call.
    """
    wanted = frozenset(tables)

    def guard(
        look: Callable[Concatenate[Line, P], Found],
    ) -> Callable[Concatenate[Line, P], Found]:
        @wraps(look)
        def found(line: Line, /, *args: P.args, **named: P.kwargs) -> Found:
            return look(line, *args, **named) if line.has_any(wanted) else cast(Found, otherwise)

        return found

    return guard


@dataclass(frozen=True)
class Reader:
    """Reads lines with one set of signs; its cache changes no answer."""

    signs: Signs
    vocabulary: frozenset[str] = frozenset()
    """Words of the call language, which are believed."""
    measures: frozenset[str] = frozenset()
    """Words of numbers and units; a misspelt word may be one of them."""
    is_plain: Callable[[str], bool] = field(default=bool)
    """Return whether a word is plain English, which is believed too; by default every word is."""
    heard: Mapping[str, Sequence[str]] = field(default_factory=dict)
    """What is heard -> what may be meant: slips that are common in the trade."""
    in_full: Callable[[str], str] = field(default=str)
    """Return a line with lures by their whole names; by default it stays as it was said."""

    def line(self, text: str) -> Line:
        """Return a line with its signs; never raise, whatever it holds."""
        known = self._lines.get(text)
        if known is None:
            if len(self._lines) >= CACHE_LINES:
                self._lines.clear()
            known = self._lines[text] = self._read(text)
        return known

    def _read(self, text: str) -> Line:
        text = self.in_full(text)
        believed = plain(tokenise(text, self.signs.spelling))
        repairs = [*self._slips(believed.tokens), *self._misspelt(believed.tokens)]
        lattice = with_repairs(believed, repairs) if repairs else believed
        return Line(text, lattice, signs_in(lattice, self.signs), self.signs.chains)

    @cached_property
    def _lines(self) -> dict[str, Line]:
        return {}

    @cached_property
    def _known(self) -> frozenset[str]:
        return self.vocabulary | self.signs.vocabulary | self.measures

    @cached_property
    def _slip_starts(self) -> frozenset[str]:
        return frozenset(slip.partition(" ")[0] for slip in self.heard)

    @cached_property
    def _targets(self) -> list[str]:
        words = self.signs.vocabulary | self.measures
        return sorted(word for word in words if len(word) >= SHORTEST and word.isalpha())

    def _slips(self, tokens: Sequence[Token]) -> Iterator[Repair]:
        for start in range(len(tokens)):
            if tokens[start].text not in self._slip_starts:
                continue
            for end in range(start + 1, min(start + SPAN, len(tokens)) + 1):
                heard = " ".join(token.text for token in tokens[start:end])
                for meant in self.heard.get(heard, ()):
                    yield start, end, tuple(meant.split()), SLIP_COST

    def _misspelt(self, tokens: Sequence[Token]) -> Iterator[Repair]:
        for at, token in enumerate(tokens):
            word = token.text
            if len(word) < SHORTEST or not word.isalpha() or word in self._known:
                continue
            if self.is_plain(word):
                continue
            wrong = 1 if len(word) <= SHORT else 2
            near = process.extract(
                word, self._targets, scorer=OSA.distance, score_cutoff=wrong, limit=NEAREST
            )
            for target, letters, _ in near:
                yield at, at + 1, (target,), LETTER_COST * letters
