"""The sentence template: text in a grammar file to a small tree.

    [the] (strike|bite) on {where} <please>

Words stand for themselves, `[...]` may be left out, `(a|b)` is a choice, `{name}` is a slot that
something else matches, `<name>` is a shared piece from rules.toml. Knows no acts and no words.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from bot.errors import GrammarError

_TOKEN: Final = re.compile(r"\s*(\{[a-z_]+\}|<[a-z_]+>|[()\[\]|]|[^\s()\[\]|{}<>]+)")


@dataclass(frozen=True, slots=True)
class Word:
    """One literal word, lower case."""

    text: str


@dataclass(frozen=True, slots=True)
class Slot:
    """A place for a matched phrase."""

    name: str


@dataclass(frozen=True, slots=True)
class Ref:
    """A shared piece, by name."""

    name: str


@dataclass(frozen=True, slots=True)
class Seq:
    """One part after the other."""

    parts: tuple["Node", ...]


@dataclass(frozen=True, slots=True)
class Alt:
    """One of several; an empty `Seq` among them makes it optional."""

    choices: tuple["Node", ...]


Node = Word | Slot | Ref | Seq | Alt


def parse_template(text: str) -> Node:
    """Read one template; raises GrammarError that says what is wrong with it."""
    if text.isalpha():
        return Word(text.lower())
    tokens = _tokens(text)
    node, rest = _choices(tokens, 0, text)
    if rest != len(tokens):
        raise GrammarError(f"unexpected {tokens[rest]!r} in {text!r}")
    return node


def resolve(node: Node, rules: Mapping[str, Node]) -> Node:
    """Put shared parts, which name none themselves, in place of their names.

    Raises GrammarError for an unknown name.
    """
    match node:
        case Ref(name):
            if name not in rules:
                raise GrammarError(f"no shared part is called <{name}>")
            return rules[name]
        case Seq(parts):
            return Seq(tuple(resolve(p, rules) for p in parts))
        case Alt(choices):
            return Alt(tuple(resolve(c, rules) for c in choices))
        case _:
            return node


def resolve_parts(rules: Mapping[str, Node]) -> dict[str, Node]:
    """Return shared parts with those that they name in place of the names.

    Raises GrammarError for an unknown name, and for a part that contains itself.
    """
    found: dict[str, Node] = {}

    def put(name: str, within: tuple[str, ...]) -> None:
        if name in within:
            raise GrammarError(f"the shared part <{name}> contains itself")
        if name not in found and name in rules:
            for other in refs_of(rules[name]):
                put(other, (*within, name))
            found[name] = resolve(rules[name], found)

    for name in rules:
        put(name, ())
    return found


def refs_of(node: Node) -> Iterator[str]:
    """Yield the name of every shared part that a tree names."""
    match node:
        case Ref(name):
            yield name
        case Seq(inner) | Alt(inner):
            for each in inner:
                yield from refs_of(each)
        case _:
            return


def words_in(nodes: Iterable[Node]) -> set[str]:
    """Return every literal word of trees."""
    every = tuple(nodes)
    found: set[str] = set()
    seen: set[int] = set()
    todo = list(every)
    while todo:
        node = todo.pop()
        if isinstance(node, Word):
            found.add(node.text)
        elif isinstance(node, Seq):
            todo.extend(node.parts)
        elif isinstance(node, Alt) and id(node) not in seen:  # a shared part is looked at once
            seen.add(id(node))
            todo.extend(node.choices)
    return found


def pairs_of(node: Node) -> set[tuple[str, str]]:
    """Return the pairs of words that may stand beside each other."""
    return _pairs(node)[2]


_Edges = tuple[frozenset[str], frozenset[str], set[tuple[str, str]], bool]


def _pairs(node: Node) -> _Edges:
    """Return first words, last words, pairs, and whether the tree may be empty."""
    none: frozenset[str] = frozenset()
    match node:
        case Word(text):
            return frozenset({text}), frozenset({text}), set(), False
        case Seq(parts):
            first, last, pairs, empty = none, none, set[tuple[str, str]](), True
            for one, two, more, may in map(_pairs, parts):
                pairs |= more | {(a, b) for a in last for b in one}
                first = first | one if empty else first
                last = last | two if may else two
                empty = empty and may
            return first, last, pairs, empty
        case Alt(choices):
            found = [_pairs(c) for c in choices]
            return (
                none.union(*(f[0] for f in found)), none.union(*(f[1] for f in found)),
                set().union(*(f[2] for f in found)), any(f[3] for f in found),
            )  # fmt: skip
        case _:
            return none, none, set(), False


def slots_of(node: Node) -> Iterator[str]:
    """Yield the name of every slot of a tree."""
    match node:
        case Slot(name):
            yield name
        case Seq(parts):
            for part in parts:
                yield from slots_of(part)
        case Alt(choices):
            for choice in choices:
                yield from slots_of(choice)
        case _:
            return


def _tokens(text: str) -> list[str]:
    found: list[str] = []
    at = 0
    while at < len(text.rstrip()):
        token = _TOKEN.match(text, at)
        if token is None:
            raise GrammarError(f"cannot read {text[at:].strip()!r} in {text!r}")
        found.append(token[1])
        at = token.end()
    if not found:
        raise GrammarError("the template is empty")
    return found


def _choices(tokens: list[str], at: int, text: str) -> tuple[Node, int]:
    choices: list[Node] = []
    while True:
        node, at = _sequence(tokens, at, text)
        choices.append(node)
        if at < len(tokens) and tokens[at] == "|":
            at += 1
            continue
        return (choices[0] if len(choices) == 1 else Alt(tuple(choices))), at


def _sequence(tokens: list[str], at: int, text: str) -> tuple[Node, int]:
    parts: list[Node] = []
    while at < len(tokens) and tokens[at] not in (")", "]", "|"):
        token = tokens[at]
        if token in ("(", "["):
            inner, end = _choices(tokens, at + 1, text)
            closing = ")" if token == "(" else "]"
            if end >= len(tokens) or tokens[end] != closing:
                raise GrammarError(f"{token!r} is never closed in {text!r}")
            parts.append(inner if token == "(" else Alt((inner, Seq(()))))
            at = end + 1
            continue
        parts.append(_leaf(token))
        at += 1
    return (parts[0] if len(parts) == 1 else Seq(tuple(parts))), at


def _leaf(token: str) -> Node:
    if token.startswith("{"):
        return Slot(token[1:-1])
    if token.startswith("<"):
        return Ref(token[1:-1])
    return Word(token.lower())
