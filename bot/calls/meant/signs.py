"""The signs of `grammar/meanings.toml`: wordings that say more than a call has slots for.

Takes text (never paths) and gives frozen `Signs`, one automaton over all wordings with the positions and
sides of the boat. Knows no meanings: what a sign stands for is its table and its name.
"""

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Final, NamedTuple

from bot.calls.automaton import Automaton, State
from bot.calls.lattice import Lattice
from bot.calls.template import (
    Alt,
    Node,
    Ref,
    Seq,
    Slot,
    Word,
    parse_template,
    refs_of,
    resolve,
    words_in,
)
from bot.calls.tokens import tokenise
from bot.errors import GrammarError

FILE: Final = "meanings.toml"
FROM_WORDS: Final = (
    "position", "both", "side", "what", "species", "animal", "colour", "name", "head", "tackle", "tray",
)  # fmt: skip
"""Tables of words.toml whose forms are signs too."""

CHAIN: Final = ("first", "then", "unless")
"""The parts of a chain, as the file names them."""

Spelling = Mapping[str, tuple[str, ...]]


class Sign(NamedTuple):
    """One wording that stands in a line."""

    table: str
    name: str
    start: int
    end: int
    cost: float
    """Cost of the repairs in it; 0 as heard."""


class Chain(NamedTuple):
    """Two wordings, one before the other, that ask for something together."""

    asks: str
    table: str
    """The table under which its signs are found; their names are those of `CHAIN`."""
    parts: tuple[str, ...]


@dataclass(frozen=True)
class Signs:
    """All wordings, ready to be found."""

    automaton: Automaton[tuple[str, str]]
    spelling: Spelling
    vocabulary: frozenset[str]
    """The words of all wordings."""
    chains: tuple[Chain, ...] = ()
    """Wordings that must stand one before the other, in the order in which they are tried."""


def load_signs(text: str, spelling: Spelling, parts: Mapping[str, Node]) -> Signs:
    """Read the file; `parts` are those that its wordings may name.

    Raises GrammarError that names what is wrong.
    """
    tables, chains = _tables(text)
    try:
        said = [
            (parse_template(wording), (table, name))
            for table, names in tables.items()
            for name, wordings in names.items()
            for wording in wordings
        ]
        named = {part for node, _ in said for part in refs_of(node)} & parts.keys()
        spelt = {part: _spelt(parts[part], spelling) for part in sorted(named)}
        found = [(resolve(_spelt(node, spelling), spelt), sign) for node, sign in said]
    except GrammarError as exc:
        raise GrammarError(f"grammar/{FILE}: {exc}") from exc
    vocabulary = frozenset(words_in(node for node, _ in found))
    return Signs(Automaton(found), spelling, vocabulary, chains)


def with_words(signs: Signs, words: Mapping[str, Mapping[str, Iterable[str]]]) -> Signs:
    """Return signs with the forms of words.toml and the boat's own (table -> meaning -> forms)."""
    forms = [
        (_seq(form, signs.spelling), (table, meaning))
        for table in FROM_WORDS
        for meaning, said in words.get(table, {}).items()
        for form in said
    ]
    return replace(
        signs,
        automaton=signs.automaton.with_more(forms),
        vocabulary=signs.vocabulary | words_in(node for node, _ in forms),
    )


def _tables(text: str) -> tuple[dict[str, Mapping[str, list[str]]], tuple[Chain, ...]]:
    """Return the wordings by table and name, each row of a list as a table of its own, and the chains."""
    try:
        read = tomllib.loads(text)
    except tomllib.TOMLDecodeError as exc:
        raise GrammarError(f"grammar/{FILE}: {exc}; mend the quotes or brackets there") from exc
    tables: dict[str, Mapping[str, list[str]]] = {}
    chains: list[Chain] = []
    for table, held in read.items():
        if isinstance(held, dict):
            tables[table] = held
            continue
        for number, row in enumerate(held):
            own = f"{table} {number}"
            tables[own] = {key: row[key] for key in CHAIN if key in row}
            chains.append(Chain(row["asks"], own, tuple(tables[own])))
    return tables, tuple(chains)


def signs_in(lattice: Lattice, signs: Signs) -> tuple[Sign, ...]:
    """Return every sign in a line, each once and at its lowest cost."""
    best: dict[tuple[str, str, int, int], float] = {}
    automaton, size = signs.automaton, lattice.size
    for start in range(size):
        todo: list[tuple[State[tuple[str, str]], int, float]] = [(automaton.start, start, 0.0)]
        while todo:
            state, at, spent = todo.pop()
            if at <= size:
                for table, name in state.accepts:
                    key = (table, name, start, at)
                    if spent < best.get(key, 99.0):
                        best[key] = spent
            ways = automaton.open(state)
            for word, end, cost in lattice.edges[at] if ways else ():
                if word in ways:
                    todo.append((automaton.into(ways, word), end, spent + cost))
    return tuple(Sign(*key, cost) for key, cost in sorted(best.items()))


def _spelt(node: Node, spelling: Spelling) -> Node:
    match node:
        case Word(text):
            return _seq(text, spelling)
        case Seq(parts):
            return Seq(tuple(_spelt(part, spelling) for part in parts))
        case Alt(choices):
            return Alt(tuple(_spelt(choice, spelling) for choice in choices))
        case Ref():
            return node
        case Slot(name):
            raise GrammarError(f"{name!r} is no word, and only words can be used here")


def _seq(form: str, spelling: Spelling) -> Node:
    return Seq(tuple(Word(token.text) for token in tokenise(form, spelling)))
