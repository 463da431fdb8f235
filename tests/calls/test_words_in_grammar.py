"""Words of the deck stand in `grammar/`, not in Python: literals of the call language are looked through."""

import ast
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import fields
from functools import cache
from pathlib import Path
from typing import Final

import pytest

from bot.bench.corpus import corpus_language
from bot.calls.grammar import CODE_SLOTS, KINDS
from bot.calls.meant.signs import CHAIN
from bot.calls.numbers import WORDS
from bot.trip.acts import ROWS
from bot.trip.call import COLOURS, HEADS, POSITIONS, SIDES, TROUBLES, WHATS, Call
from bot.units import PER

BOT = Path(__file__).parents[2] / "bot"
CALLS = BOT / "calls"

CLOSED: Final[Mapping[str, str]] = {
    "numbers.py": "numerals: code adds and multiplies them",
    "times.py": "faces of the clock and spans of time, which are numerals with a unit",
    "bounds.py": "what is said back of a number that cannot be meant",
    "tags.py": "the spelling alphabet of the International Code of Signals",
    "tokens.py": "contractions and marks of English spelling",
    "reader/tag_said.py": "figures of a number that is read out",
    "reader/values.py": "the first person, and endings of plurals",
}
"""Files that may hold words, and why: classes of English that no crew adds to."""
NAMED: Final[Mapping[str, frozenset[str]]] = {
    "asking.py": frozenset({"a", "not", "you"}),
    "pointing.py": frozenset({"corners", "flat", "flats", "outrigger", "putting"}),
    "weighed.py": frozenset({"a", "an", "of", "some", "that", "the", "to"}),
    "reader/situation.py": frozenset({"called", "cleared", "just", "laid", "lines", "the"}),
    "reader/trust.py": frozenset({"none", "not", "of", "split", "the"}),
}  # fmt: skip
"""Words that are left in other files; none may join them."""
ELSEWHERE: Final[Mapping[str, str]] = {
    "answers/fish_care.py": "fish by name, as the log has them",
    "answers/why.py": "reasons of the advice, values of our own",
    "bench": "lines and prompts of the benches",
    "cli": "sub-commands, options, and keys of the settings",
    "demo.py": "the demo's own recordings",
    "fittings.py": "numerals, which the ear is to hear",
    "logbook": "tables, columns, and messages of SQLite",
    "pictures/conversion_view.py": "names of its own rows",
    "reports": "columns",
    "settings": "keys of the settings",
    "speech": "sounds of English, and the terms of JSGF",
    "spread/positions.py": "names of positions in the settings",
    "spread/unmet.py": "numerals that want an `an`",
    "tackle/box.py": "cells of a table of lures",
    "tackle/trays.py": "numerals in names of trays, and cells of a table of trays",
    "transports": "kinds of updates, roles, and the texts of our own buttons",
    "trip/call.py": "values of the contract",
}
"""Files and folders outside `calls` that look for words, and why these are not the crew's."""
VALUES: Final = frozenset(
    {"again", "ask", "goes", "in", "instead", "landed", "low", "none", "still", "sun"}
)
"""Values of our own, outside `calls`."""
OF_PYTHON: Final = frozenset(
    [*"kind when words word calls sure talk logged read repair same begin first half one".split(),
     *"short text missing near damage where s okay".split()]
)  # fmt: skip
"""Names of figures, fields and outcomes of our own that happen to be words."""


@cache
def _vocabulary() -> frozenset[str]:
    """Return every word that a wording, a list or a table of the grammar has, and the numerals."""
    grammar = corpus_language().grammar
    listed = (word for words in grammar.lists.values() for word in words)
    return (
        grammar.vocabulary
        | grammar.signs.vocabulary
        | grammar.talk_words
        | grammar.soft
        | grammar.doing
        | frozenset(listed)
        | frozenset(WORDS)
    )


@cache
def _own() -> frozenset[str]:
    """Return the names of acts, slots, labels, tables and lists: values of contract and grammar."""
    grammar = corpus_language().grammar
    rows = [part for row in ROWS for part in (row.act, row.kind, row.form, row.stage or "")]
    names = {sign for table in _names().values() for sign in table}
    return (
        frozenset(
            [
                *rows,
                *(f.name for f in fields(Call)),
                *POSITIONS,
                *SIDES,
                *COLOURS,
                *HEADS,
                *WHATS,
                *TROUBLES,
            ]
        )
        | {*KINDS, *CODE_SLOTS, *CHAIN, *PER, *grammar.lists, *_names(), *names, "positions"}
        | {unit for units in PER.values() for unit in units}
    )


@cache
def _names() -> dict[str, set[str]]:
    """Return the names of every table of signs."""
    found: dict[str, set[str]] = {}
    automaton = corpus_language().grammar.signs.automaton
    seen, todo = set[int](), [automaton.start]
    while todo:
        state = todo.pop()
        if id(state) in seen:
            continue
        seen.add(id(state))
        for table, name in state.accepts:
            found.setdefault(table, set()).add(name)
        ways = automaton.open(state)
        todo += [automaton.into(ways, word) for word in list(ways)]
    return found


def _compared(tree: ast.AST) -> Iterator[str]:
    """Return the texts that something may be compared with: members, keys, sides of a comparison."""
    for node in ast.walk(tree):
        held: Sequence[ast.expr | None] = []
        match node:
            case ast.Set(elts=held) | ast.Tuple(elts=held) | ast.List(elts=held):
                pass
            case ast.Dict(keys=held):
                pass
            case ast.Compare(left=left, comparators=others):
                held = [left, *others]
            case ast.Call(func=ast.Attribute(attr="split", value=value)):
                held = [value]
        for each in held:
            if isinstance(each, ast.Constant) and isinstance(each.value, str):
                yield each.value


def _looked_for(tree: ast.AST) -> Iterator[str]:
    """Return the texts that a value is surely compared with; tables of what is said back are none."""
    for node in ast.walk(tree):
        held: list[ast.expr] = []
        match node:
            case ast.Compare(left=left, comparators=others):
                sides = [left, *others]
                held = [part for side in sides for part in getattr(side, "elts", [side])]
            case (
                ast.Set(elts=held)
                | ast.Call(
                    func=ast.Name(id="frozenset"), args=[ast.Tuple(elts=held) | ast.List(elts=held)]
                )
            ):
                pass
            case ast.Call(func=ast.Attribute(attr="split", value=value)):
                held = [value]
            case ast.Call(
                func=ast.Attribute(attr="startswith" | "endswith" | "removeprefix"),
                args=[first, *_],
            ):
                held = getattr(first, "elts", [first])
            case ast.MatchValue(value=value):
                held = [value]
        for each in held:
            if isinstance(each, ast.Constant) and isinstance(each.value, str):
                yield each.value


def _words_of_the_deck(
    tree: ast.AST, looked_at: Callable[[ast.AST], Iterator[str]] = _compared
) -> set[str]:
    parts = (
        part for text in looked_at(tree) for part in ([text] if text in _own() else text.split())
    )
    return {
        part
        for part in parts
        if part.isalpha() and part.islower() and part in _vocabulary() and part not in _own()
    } - OF_PYTHON


@pytest.mark.parametrize(
    "path", sorted(CALLS.rglob("*.py")), ids=lambda path: path.relative_to(CALLS).as_posix()
)
def test_words_of_the_deck_stand_in_the_grammar(path: Path) -> None:
    name = path.relative_to(CALLS).as_posix()
    found = _words_of_the_deck(ast.parse(path.read_text(encoding="utf-8")))

    if name in CLOSED:
        assert found, "no words are left here: take it off the list"
    else:
        assert found == NAMED.get(name, frozenset())


def test_nothing_else_looks_for_words_of_the_deck() -> None:
    found = {
        path.relative_to(BOT): words
        for path in sorted(BOT.rglob("*.py"))
        if not path.is_relative_to(CALLS)
        and (words := _words_of_the_deck(_tree(path), _looked_for) - VALUES)
    }
    left = {path: words for path, words in found.items() if not _excepted(path)}

    assert left == {}
    assert {name for path in found for name in _excepted(path)} == set(ELSEWHERE)


def _excepted(path: Path) -> set[str]:
    return {name for name in ELSEWHERE if path.is_relative_to(name)}


def _tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


@pytest.mark.parametrize(
    "line",
    ["word == 'gaffed'", "word in ('gaffed', 'x')", "word in {'gaffed'}", "frozenset(['gaffed'])",
     "'gaffed kept'.split()", "word.startswith('gaffed')", "match word:\n    case 'gaffed': pass"],
)  # fmt: skip
def test_a_word_that_is_looked_for_is_found_anywhere(line: str) -> None:
    assert "gaffed" in _words_of_the_deck(ast.parse(line), _looked_for)


def test_a_word_of_the_deck_is_found_in_whatever_is_compared() -> None:
    for line in ("WORDS = {'gaffed', 'x'}", "word == 'gaffed'", "word in ('gaffed',)",
                 "'gaffed kept'.split()", "{'gaffed': 1}"):  # fmt: skip
        assert "gaffed" in _words_of_the_deck(ast.parse(line))


def test_every_list_of_the_grammar_is_used_and_every_list_that_is_used_is_there() -> None:
    used = {
        node.slice.value
        for path in CALLS.rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Subscript)
        and isinstance(node.slice, ast.Constant)
        and "lists" in ast.unparse(node.value)
    }
    used |= {"and", "going_out"}  # in `orders`, by a name that runs through both

    assert used == set(corpus_language().grammar.lists)
