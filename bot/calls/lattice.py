"""A line as a lattice: at every place the words that may stand there, each with its cost.

Without repair there is one word at every place and it costs nothing. Repair adds likelier words, which
may span several of the words that were heard, or be several words in place of one. Pure.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from bot.calls.tokens import Token


class Edge(NamedTuple):
    """One word that may stand here."""

    word: str
    end: int
    """Node that it leads to."""
    cost: float


@dataclass(frozen=True, slots=True)
class Lattice:
    """Nodes 0 to `size` are the places between the words that were heard; repair adds more behind them."""

    tokens: tuple[Token, ...]
    edges: tuple[tuple[Edge, ...], ...]
    read: dict[tuple[str, int], Any] = field(default_factory=dict, compare=False, repr=False)
    """Cache of what was read at a node; it changes no answer."""

    @property
    def size(self) -> int:
        """Return the number of words heard, which is also the last node."""
        return len(self.tokens)

    def follow(self, at: int, words: tuple[str, ...]) -> Iterator[tuple[int, float]]:
        """Yield the end and cost of every way to read these words from a node on."""
        if not words:
            yield at, 0.0
            return
        for word, end, cost in self.edges[at]:
            if word == words[0]:
                for last, more in self.follow(end, words[1:]):
                    yield last, cost + more


def plain(tokens: Sequence[Token]) -> Lattice:
    """Return the lattice of the words as heard."""
    single = [(Edge(t.text, n + 1, 0.0),) for n, t in enumerate(tokens)]
    return Lattice(tuple(tokens), (*single, ()))


def with_repairs(
    base: Lattice, repairs: Sequence[tuple[int, int, tuple[str, ...], float]]
) -> Lattice:
    """Return a lattice with repairs (from, to, words, cost) added; several words get nodes of their own."""
    edges = [list(each) for each in base.edges]
    for start, end, words, cost in repairs:
        at = start
        for n, word in enumerate(words):
            last = n == len(words) - 1
            if last:
                goal = end
            else:
                edges.append([])
                goal = len(edges) - 1
            edges[at].append(Edge(word, goal, cost if n == 0 else 0.0))
            at = goal
    return Lattice(base.tokens, tuple(tuple(each) for each in edges))
