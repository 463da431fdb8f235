"""A W3C JSpeech Grammar Format text (W3C Note of 5 June 2000) to a graph of its words.

Rules, alternatives with their weights, groups, options, repetition, tags (read over), quoted tokens,
<NULL>, <VOID>, and rules that name themselves at their end. What cannot be followed is refused
with a line that names the rule: other recursion, imported rules, rules that are not given.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from bot.errors import EngineError

MOST_STATES = 400_000
"""A rule is copied wherever it is named; a grammar with more places than this is refused."""
_SAID = 0.5
"""How often what may be left out is said."""
_AGAIN = 0.5
"""How often what may be repeated is said once more."""
_COMMENT = re.compile(r"/\*.*?\*/|//[^\n]*", re.DOTALL)
_HEADER = re.compile(r"^\ufeff?\s*#JSGF[^;\n]*;?", re.IGNORECASE)
_NAME = re.compile(r"\bgrammar\s+([^\s;]+)\s*;")
_IMPORT = re.compile(r"\bimport\s*<([^<>]*)>\s*;")
_TOKEN = re.compile(
    r'"((?:\\.|[^"\\])*)"|\{(?:\\.|[^\\}])*\}|(/\s*[0-9.eE+-]+\s*/)|(<[^<>]*>)|([()\[\]|*+=;])'
    r'|([^\s()\[\]|*+=;<>{}"/]+)|(\S)'
)
_NEEDS = (
    "the JSGF grammar cannot be read: it needs the header '#JSGF V1.0;', 'grammar NAME;' and a public "
    "rule, and every rule that it names"
)

_NO_WORDS = re.compile(r"^\s*(?:#JSGF[^;]*;|grammar\s[^;]*;|import\s[^;]*;)", re.MULTILINE)
_WEIGHT = re.compile(r"/\s*[0-9.eE+-]+\s*/")
_TAG = re.compile(r"\{(?:\\.|[^\\}])*\}")
_RULE = re.compile(r"<[^<>]*>")
_DEFINITION = re.compile(r"(?:\bpublic\s+)?<([^<>]*)>\s*=")
_QUOTED = re.compile(r'"((?:\\.|[^"\\])*)"')
_WORD = re.compile(r"[^\s|()\[\]*+;=<>{}/\"]+")


def jsgf_words(text: str) -> frozenset[str]:
    """Return every word that a grammar can hear, as spelt in it, whether or not it can be followed."""
    body = _TAG.sub(" ", _NO_WORDS.sub(" ", _COMMENT.sub(" ", text)))
    body = _RULE.sub(" ", _DEFINITION.sub(" ", _WEIGHT.sub(" ", body)))
    return frozenset(_WORD.findall(_QUOTED.sub(r"\1", body)))


@dataclass(slots=True)
class WordGraph:
    """States from start to end; from each the words that may follow, and the ways without a word."""

    start: int = 0
    end: int = 1
    arcs: dict[int, list[tuple[str, int]]] = field(default_factory=dict)
    empty: dict[int, list[int]] = field(default_factory=dict)
    arc_shares: dict[int, list[float]] = field(default_factory=dict)
    """Weights of the arcs of a state, in their order; alternatives without weights are alike likely."""
    empty_shares: dict[int, list[float]] = field(default_factory=dict)
    size: int = 2

    def arc(self, start: int, word: str, end: int, share: float) -> None:
        """Lay a word from one state to another."""
        self.arcs.setdefault(start, []).append((word, end))
        self.arc_shares.setdefault(start, []).append(share)

    def skip(self, start: int, end: int, share: float) -> None:
        """Lay a way without a word from one state to another."""
        self.empty.setdefault(start, []).append(end)
        self.empty_shares.setdefault(start, []).append(share)


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece of a rule: `words`, `rule`, `sequence`, `choice`, `option`, `star`, `plus` or `void`."""

    kind: str
    text: str = ""
    parts: tuple["Piece", ...] = ()
    weights: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Rules:
    """A grammar as it is written."""

    rules: Mapping[str, Piece]
    public: tuple[str, ...]


def read_rules(text: str) -> Rules:
    """Read a grammar; raises EngineError with what is wrong and where."""
    body = _COMMENT.sub(" ", text)
    if not _HEADER.match(body):
        raise EngineError(_NEEDS)
    body = _HEADER.sub(" ", body, count=1)
    name = _NAME.search(body)
    if name is None:
        raise EngineError(_NEEDS)
    imports = _IMPORT.findall(body)
    body = _IMPORT.sub(" ", _NAME.sub(" ", body, count=1))
    found = _Reader([m for m in _TOKEN.finditer(body) if not m[0].startswith("{")]).rules()
    _check(found, name[1], imports)
    return found


def word_graph(text: str) -> WordGraph:
    """Return the graph of all sentences of all public rules; raises EngineError."""
    found = read_rules(text)
    graph = WordGraph()
    for rule in found.public:
        _add(graph, found.rules, Piece("rule", rule), (0, 1), 1 / len(found.public), ())
    return graph


def _check(found: Rules, grammar: str, imports: list[str]) -> None:
    if not found.public:
        raise EngineError(_NEEDS)
    named = {rule for piece in found.rules.values() for rule in _named(piece)}
    missing = sorted(n for n in named if n.removeprefix(f"{grammar}.") not in found.rules)
    if not missing:
        return
    names = ", ".join(f"<{rule}>" for rule in missing)
    if imports or any("." in rule for rule in missing):
        raise EngineError(
            f"the JSGF grammar uses rules of other grammars ({names}): put them into it"
        )
    raise EngineError(f"the JSGF grammar names rules that it does not give: {names}")


def _named(piece: Piece) -> list[str]:
    if piece.kind == "rule":
        return [piece.text]
    return [rule for part in piece.parts for rule in _named(part)]


Within = tuple[tuple[str, int, int], ...]
"""The rules that are being followed: name, where its copy starts, where it ends."""


def _add(
    graph: WordGraph,
    rules: Mapping[str, Piece],
    piece: Piece,
    ends: tuple[int, int],
    share: float,
    within: Within,
) -> None:
    """Lay a piece between two states; `share` is how likely it is among what starts there."""
    start, end = ends
    match piece.kind:
        case "words":
            *first, last = piece.text.split()
            for word in first:
                here, start = start, _fresh(graph)
                graph.arc(here, word, start, share)
                share = 1.0
            graph.arc(start, last, end, share)
        case "rule":
            began = _fresh(graph)
            _follow(graph, rules, piece.text, (start, end, began), share, within)
        case "sequence":
            for number, part in enumerate(piece.parts):
                to = end if number == len(piece.parts) - 1 else _fresh(graph)
                _add(graph, rules, part, (start, to), share, within)
                start, share = to, 1.0
            if not piece.parts:
                graph.skip(start, end, share)
        case "choice":
            total = sum(piece.weights) or 1.0
            for part, weight in zip(piece.parts, piece.weights, strict=True):
                _add(graph, rules, part, ends, share * weight / total, within)
        case "option":
            graph.skip(start, end, share * (1 - _SAID))
            _add(graph, rules, piece.parts[0], ends, share * _SAID, within)
        case "star" | "plus":
            began, ended = _fresh(graph), _fresh(graph)
            least = _AGAIN if piece.kind == "star" else 1.0
            graph.skip(start, began, share * least)
            if piece.kind == "star":
                graph.skip(start, ended, share * (1 - least))
            graph.skip(ended, began, _AGAIN)
            graph.skip(ended, end, 1 - _AGAIN)
            _add(graph, rules, piece.parts[0], (began, ended), 1.0, within)
        case _:  # <VOID>: nothing can be said here
            return


def _fresh(graph: WordGraph) -> int:
    graph.size += 1
    if graph.size > MOST_STATES:
        raise EngineError("the JSGF grammar is too large: every rule is copied where it is named")
    return graph.size - 1


def _follow(
    graph: WordGraph,
    rules: Mapping[str, Piece],
    named: str,
    places: tuple[int, int, int],
    share: float,
    within: Within,
) -> None:
    """Lay a copy of a rule between two states, the third being its own; or lead back into one."""
    start, end, began = places
    name = named if named in rules else named.rpartition(".")[2]
    for rule, first, ended in within:
        if rule == name and ended != end:
            raise EngineError(
                f"the JSGF rule <{name}> names itself before its end: that cannot be followed"
            )
        if rule == name and start == first:
            raise EngineError(f"the JSGF rule <{name}> names nothing but itself")
        if rule == name:
            graph.skip(start, first, share)
            return
    graph.skip(start, began, share)
    _add(graph, rules, rules[name], (began, end), 1.0, (*within, (name, began, end)))


class _Reader:
    """Reads rule after rule."""

    def __init__(self, tokens: list[re.Match[str]]) -> None:
        self._tokens = tokens
        self._at = 0
        self._rule = ""

    def rules(self) -> Rules:
        found: dict[str, Piece] = {}
        public: list[str] = []
        while self._at < len(self._tokens):
            is_public = self._peek() == "public"
            self._at += is_public
            token = self._peek()
            if not token.startswith("<") or self._peek(1) != "=":
                raise EngineError(_NEEDS)
            self._rule = token[1:-1].strip()
            if self._rule in found:
                raise EngineError(f"the JSGF rule <{self._rule}> is given twice")
            self._at += 2
            found[self._rule] = self._choice()
            self._take(";")
            if is_public:
                public.append(self._rule)
        return Rules(found, tuple(public))

    def _choice(self) -> Piece:
        parts: list[Piece] = []
        weights: list[float] = []
        while True:
            weight = 1.0
            if (token := self._peek()).startswith("/"):
                weight = self._weight(token)
                self._at += 1
            parts.append(self._sequence())
            weights.append(weight)
            if self._peek() != "|":
                return (
                    parts[0]
                    if len(parts) == 1
                    else Piece("choice", "", tuple(parts), tuple(weights))
                )
            self._at += 1

    def _weight(self, token: str) -> float:
        try:
            return float(token.strip("/ \t\n\r"))
        except ValueError as exc:
            raise EngineError(
                f"the JSGF rule <{self._rule}> has a weight that is no number: {token}"
            ) from exc

    def _sequence(self) -> Piece:
        parts: list[Piece] = []
        while (token := self._peek()) and token not in ("|", ")", "]", ";"):
            parts.append(self._repeated(self._one(token)))
        return parts[0] if len(parts) == 1 else Piece("sequence", "", tuple(parts))

    def _repeated(self, piece: Piece) -> Piece:
        while (sign := self._peek()) in ("*", "+"):
            piece = Piece("star" if sign == "*" else "plus", "", (piece,))
            self._at += 1
        return piece

    def _one(self, token: str) -> Piece:
        match = self._tokens[self._at]
        self._at += 1
        if token in ("(", "["):
            inner = self._choice()
            self._take(")" if token == "(" else "]")
            return inner if token == "(" else Piece("option", "", (inner,))
        if token == "<NULL>":
            return Piece("sequence")
        if token == "<VOID>":
            return Piece("void")
        if token.startswith("<"):
            return Piece("rule", token[1:-1].strip())
        said = match[1].replace("\\", "") if match[1] is not None else token
        if match[1] is None and match[5] is None:
            raise EngineError(f"the JSGF rule <{self._rule}> has a stray {token!r}")
        return Piece("words", said) if said.split() else Piece("sequence")

    def _take(self, sign: str) -> None:
        if self._peek() != sign:
            raise EngineError(
                f"{_NEEDS}; rule <{self._rule}> lacks a {sign!r}, or has a sign out of place"
            )
        self._at += 1

    def _peek(self, ahead: int = 0) -> str:
        at = self._at + ahead
        return self._tokens[at][0] if at < len(self._tokens) else ""
