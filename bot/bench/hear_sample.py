"""Random sentences of a W3C JSGF grammar, so that any grammar can be spoken and measured.

A small reader of the format: rules, alternatives with weights, groups, options, repetition.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

_COMMENT = re.compile(r"/\*.*?\*/|//[^\n]*", re.DOTALL)
_TAG = re.compile(r"\{(?:\\.|[^\\}])*\}")
_RULE = re.compile(r"(public\s+)?<([^<>]+)>\s*=\s*(.*?);", re.DOTALL)
_TOKEN = re.compile(r'/\s*[0-9.eE+-]+\s*/|<[^<>]+>|"[^"]*"|[()\[\]|*+]|[^\s()\[\]|*+<>"/]+')
_MOST_REPEATS = 2


@dataclass(frozen=True, slots=True)
class Node:
    """A piece of a grammar: a word, a rule's name, a sequence, a choice or an option."""

    kind: str
    text: str = ""
    parts: tuple["Node", ...] = ()
    weights: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Sampler:
    """A grammar ready to give sentences."""

    rules: Mapping[str, Node]
    public: tuple[str, ...]

    def sentence(self, rng: np.random.Generator, optional: float = 0.35) -> str:
        """Return one sentence; optional parts are said with this probability."""
        rule = self.public[int(rng.integers(0, len(self.public)))]
        return " ".join(self._say(self.rules[rule], rng, optional))

    def _say(self, node: Node, rng: np.random.Generator, optional: float) -> list[str]:
        match node.kind:
            case "word":
                return [node.text]
            case "rule":
                return (
                    self._say(self.rules[node.text], rng, optional)
                    if node.text in self.rules
                    else []
                )
            case "sequence":
                return [word for part in node.parts for word in self._say(part, rng, optional)]
            case "choice":
                shares = np.array(node.weights) / sum(node.weights)
                chosen = node.parts[int(rng.choice(len(node.parts), p=shares))]
                return self._say(chosen, rng, optional)
            case "option":
                return self._say(node.parts[0], rng, optional) if rng.random() < optional else []
            case _:
                least = 1 if node.kind == "plus" else 0
                times = int(rng.integers(least, _MOST_REPEATS + 1))
                return [w for _ in range(times) for w in self._say(node.parts[0], rng, optional)]


def read_jsgf(text: str) -> Sampler:
    """Read a grammar; rules of other grammars count as silence."""
    body = _TAG.sub(" ", _COMMENT.sub(" ", text))
    rules: dict[str, Node] = {}
    public: list[str] = []
    for is_public, name, right in _RULE.findall(body):
        rules[name] = _Reader(_TOKEN.findall(right)).choice()
        if is_public:
            public.append(name)
    return Sampler(rules, tuple(public))


class _Reader:
    """Reads the right side of one rule."""

    def __init__(self, tokens: list[str]) -> None:
        self._tokens = tokens
        self._at = 0

    def choice(self) -> Node:
        parts: list[Node] = []
        weights: list[float] = []
        while True:
            weight = 1.0
            if (token := self._peek()) and token.startswith("/"):
                weight = float(token.strip("/ "))
                self._at += 1
            parts.append(self._sequence())
            weights.append(weight)
            if self._peek() != "|":
                break
            self._at += 1
        return parts[0] if len(parts) == 1 else Node("choice", "", tuple(parts), tuple(weights))

    def _sequence(self) -> Node:
        parts: list[Node] = []
        while (token := self._peek()) and token not in ("|", ")", "]"):
            self._at += 1
            if token == "(":
                part = self.choice()
                self._at += 1
            elif token == "[":
                part = Node("option", "", (self.choice(),))
                self._at += 1
            elif token.startswith("<"):
                part = (
                    Node("sequence") if token in ("<NULL>", "<VOID>") else Node("rule", token[1:-1])
                )
            else:
                words = token.strip('"').split()
                part = Node("sequence", "", tuple(Node("word", word) for word in words))
            while (sign := self._peek()) in ("*", "+"):
                part = Node("star" if sign == "*" else "plus", "", (part,))
                self._at += 1
            parts.append(part)
        return Node("sequence", "", tuple(parts))

    def _peek(self) -> str:
        return self._tokens[self._at] if self._at < len(self._tokens) else ""
