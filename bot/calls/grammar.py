"""The grammar files, read and cross-checked: words, parts, phrases and the wordings of every act.

Takes text (never paths) and gives a frozen `Grammar` of compiled automata. What is wrong in a file is a
GrammarError that names file, line and the mend. One source: the parser matches with it, and the exports
for the speech engines are made from the same trees.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any, Final

from bot.calls.automaton import Automaton
from bot.calls.grammar_text import (
    PARTS,
    Units,
    any_of,
    as_words,
    line_of,
    meant_by_slip,
    parse_file,
    read_parts,
    read_units,
    spelt_form,
    text_of,
)
from bot.calls.meant.signs import FILE as MEANINGS, Signs, load_signs, with_words
from bot.calls.own_forms import in_role, words_of_boat
from bot.calls.short_names import ends_of_names, telling_words
from bot.calls.template import (
    Alt,
    Node,
    Ref,
    Seq,
    Slot,
    Word,
    parse_template,
    resolve,
    slots_of,
    words_in,
)
from bot.calls.tokens import tokenise
from bot.errors import GrammarError
from bot.trip.acts import ACTS, ROWS, TAKES

FILES: Final = ("words.toml", "rules.toml", "calls.toml", "sounds.toml")
KINDS: Final = (
    "position", "both", "side", "colour", "head", "species", "what", "about", "tackle", "compass",
    "animal", "prey",
)  # fmt: skip
"""Tables of words.toml; each is a slot of the same name in templates."""
CODE_SLOTS: Final = frozenset(
    "colours size inches number bare degrees degreesbare tenths knots knotsbare depth length weight"
    " ago clock sureclock count times pair tagno tagdigits text alltext worktext colourfish boatword"
    " waterwhat name old act ofwhen ofwhere offish hour".split()
)
"""Slots that code fills from words and numbers."""

Lists = Mapping[str, frozenset[str]]

FILLER: Final = "filler"
TALK: Final = "talk"


@dataclass(frozen=True, slots=True)
class Cue:
    """What a wording stands for: an act, and the slots that the wording itself fills."""

    act: str
    gives: tuple[tuple[str, Any], ...] = ()
    whole: bool = False
    """True where it must be the whole line, apart from words without a meaning."""
    alone: bool = False
    """True where it must stand between stops or at an end of the line."""
    opens: bool = False
    """True where only words without a meaning, or a stop, may stand before it."""


@dataclass(frozen=True, slots=True)
class Example:
    """A sentence of a grammar file and what must come out."""

    act: str
    say: str
    gives: dict[str, Any]
    also: tuple[dict[str, Any], ...] = ()


@dataclass(frozen=True)
class Grammar:
    """Everything that the grammar files say, ready to match."""

    spelling: Mapping[str, tuple[str, ...]]
    words: Mapping[str, Mapping[str, tuple[str, ...]]]
    """Table -> meaning -> spoken forms."""
    terms: Automaton[tuple[str, str]]
    phrases: Automaton[str]
    wordings: Automaton["Cue | str"]
    """The wordings of acts, `FILLER` for words that mean nothing, `TALK` for signs of talk."""
    needs: Mapping[str, tuple[str, ...]]
    ears: Mapping[str, tuple[Node, ...]]
    """Act -> the wordings for the speech engines."""
    ear_pieces: Mapping[str, Node]
    """The ear's own pieces, with slots that name other pieces or tables of words."""
    ear_also: Mapping[str, tuple[str, ...]]
    """Table of words -> forms that the ear knows besides the first of each meaning."""
    ear_some: Mapping[str, tuple[str, tuple[str, ...]]]
    """Name in the ear's pieces -> the table of words that it stands for, and meanings left out."""
    ear_asked: Mapping[str, tuple[Node, ...]]
    """Name -> wordings of questions that are no calls, for the speech engines."""
    sounds: Mapping[str, tuple[str, ...]]
    examples: tuple[Example, ...]
    vocabulary: frozenset[str]
    """Every word that a template or a word table has."""
    signs: Signs
    """The wordings of what calls mean beyond their slots."""
    filler_cost: float = 0.06
    soft: frozenset[str] = frozenset()
    """Words that add a shade of meaning and change nothing."""
    soft_cost: float = 0.35
    doing: frozenset[str] = frozenset()
    """Words without a meaning of their own that may be part of an act: "went", "off"."""
    talk_cost: float = 5.0
    heard: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """What is heard -> what may be meant by it."""
    rules: Mapping[str, Node] = field(default_factory=dict)
    talk_words: frozenset[str] = frozenset()
    pointing: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Words that refer to something said before, by kind."""
    lists: Lists = field(default_factory=dict)
    """Words that the parser looks for one by one, by the name of their list."""
    in_role: Automaton[tuple[str, str]] = field(default_factory=lambda: Automaton(()))
    """Words that have a meaning only in the role that the learned reader gives them."""
    units: Units = field(default_factory=dict)
    """The words of units, by kind of measure."""
    telling: Mapping[str, str] = field(default_factory=dict)
    """Word -> the only lure of the box with that word in its name."""
    ends: Mapping[str, str] = field(default_factory=dict)
    """What a lure's name is without its first word -> the name as it is said whole."""
    asking: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Words with which a question begins, by kind."""


def load(
    texts: Mapping[str, str], extra: Mapping[str, Mapping[str, Iterable[str]]] | None = None
) -> Grammar:
    """Read the grammar files (name -> text) and the boat's own words (table -> meaning -> forms)."""
    reader, files, said = _read_files(tuple(sorted(texts.items())))
    words = words_of_boat(reader.tables, KINDS, extra or {}, reader.spelling)
    forms = [
        (as_words(form, reader.spelling), (kind, meaning))
        for kind, table in words.items()
        for meaning, forms in table.items()
        for form in forms
    ]
    unnamed = words_in(node for node, (kind, _) in forms if kind != "name")
    return replace(
        files,
        words=words,
        terms=Automaton(forms),
        vocabulary=files.vocabulary | words_in(node for node, _ in forms),
        signs=with_words(files.signs, words),
        in_role=Automaton(in_role(reader.tables, words, reader.spelling)),
        telling=telling_words(words, lambda form: spelt_form(form, reader.spelling)),
        ends=ends_of_names(words, said | unnamed),
    )


@lru_cache(maxsize=1)
def _read_files(texts: tuple[tuple[str, str], ...]) -> tuple["_Reader", Grammar, frozenset[str]]:
    """Return what the grammar files say without the words of words.toml and of a boat.

    Another boat, or a lure that is named, needs only its own words compiled. Gives the words of the phrases
    and the wordings of acts besides.
    """
    by_name = dict(texts)
    data = {name: parse_file(name, by_name) for name in FILES}
    reader = _Reader(by_name, data)
    words_of_boat(reader.tables, KINDS, {}, reader.spelling)  # what is missing is told first
    parts = read_parts(by_name)
    rules = {name: reader.spelt(node) for name, node in parts.items()}
    phrases = [(node, name) for name, node in reader.phrases(rules)]
    cues = list(reader.cues(rules))
    fillers = [
        reader.node("rules.toml", w, rules)
        for kind in ("words", "phrases")
        for w in data["rules.toml"]["filler"][kind]
    ]
    fillers.append(rules["lead"])
    talk = [reader.node("rules.toml", w, rules) for w in data["rules.toml"]["talk"]["strong"]]
    said = frozenset(words_in(node for node, _ in (*phrases, *cues)))
    grammar = Grammar(
        spelling=reader.spelling,
        words={},
        terms=Automaton(()),
        phrases=Automaton(phrases),
        wordings=Automaton(
            [*cues, *((node, FILLER) for node in fillers), *((node, TALK) for node in talk)]
        ),
        needs={row.act: row.needs for row in ROWS},
        ears={act: reader.ears(act, rules) for act in ACTS},
        ear_pieces={n: reader.ear_piece(n, t) for n, t in data["rules.toml"]["ear"].items()},
        ear_also={k: tuple(v) for k, v in data["rules.toml"].get("ear_also", {}).items()},
        ear_some=reader.ear_some(),
        ear_asked={
            name: tuple(reader.ear_piece(name, text) for text in wordings)
            for name, wordings in data["rules.toml"].get("ear_asked", {}).items()
        },
        sounds={w: tuple(p) for w, p in data["sounds.toml"].get("sound", {}).items()},
        examples=tuple(reader.examples()),
        vocabulary=said | words_in(fillers),
        filler_cost=float(data["rules.toml"]["filler"].get("cost", 0.06)),
        soft=frozenset(data["rules.toml"]["filler"].get("soft", ())),
        soft_cost=float(data["rules.toml"]["filler"].get("soft_cost", 0.35)),
        doing=frozenset(data["rules.toml"]["filler"].get("doing", ())),
        talk_cost=float(data["rules.toml"]["talk"].get("cost", 5.0)),
        heard=meant_by_slip(data["sounds.toml"].get("heard", {}), reader.spelling),
        rules=rules,
        talk_words=frozenset(words_in(talk)),
        signs=load_signs(text_of(MEANINGS, by_name), reader.spelling, parts),
        pointing={k: tuple(v) for k, v in data["rules.toml"].get("pointing", {}).items()},
        lists={k: frozenset(v.split()) for k, v in data["rules.toml"].get("lists", {}).items()},
        units=read_units(data["words.toml"].get("unit", {})),
        asking={k: tuple(v) for k, v in data["rules.toml"].get("asking", {}).items()},
    )
    return reader, grammar, said


class _Reader:
    """Reads the parsed tables and knows where each text stands, for messages."""

    def __init__(self, texts: Mapping[str, str], data: Mapping[str, dict[str, Any]]) -> None:
        self._texts, self._data = texts, data
        self.tables = data["words.toml"]
        self.spelling: dict[str, tuple[str, ...]] = {
            k: tuple(v.split()) for k, v in self.tables.get("spelling", {}).items()
        }
        self._words: dict[str, Node] = {}
        """Words of templates as they are spelt: twenty thousand of them are the same few."""

    def phrases(self, rules: Mapping[str, Node]) -> list[tuple[str, Node]]:
        found = []
        for name, templates in self._data["rules.toml"]["slot"].items():
            found += [(name, self.node("rules.toml", text, rules)) for text in templates]
        return found

    def cues(self, rules: Mapping[str, Node]) -> list[tuple[Node, Cue]]:
        found = []
        for act, table in self._data["calls.toml"].items():
            if act not in ACTS:
                raise GrammarError(
                    f"grammar/calls.toml:{self._line('calls.toml', f'[{act}]')}: there is no act"
                    f" {act!r}; use one of the contract's"
                )
            found += [(self.node("calls.toml", t, rules), Cue(act)) for t in table.get("say", ())]
            found += [
                (self.node("calls.toml", t, rules), Cue(act, whole=True))
                for t in table.get("whole", ())
            ]
            found += [
                (self.node("calls.toml", t, rules), Cue(act, alone=True))
                for t in table.get("alone", ())
            ]
            found += [
                (self.node("calls.toml", t, rules), Cue(act, opens=True))
                for t in table.get("opens", ())
            ]
            for form in table.get("form", ()):
                gives = tuple(sorted(form["gives"].items()))
                self._check_slots(act, form["gives"], form["say"][0])
                found += [(self.node("calls.toml", t, rules), Cue(act, gives)) for t in form["say"]]
        return found

    def ears(self, act: str, rules: Mapping[str, Node]) -> tuple[Node, ...]:
        table = self._data["calls.toml"].get(act)
        if table is None:
            raise GrammarError(f"grammar/calls.toml has no [{act}]: every act needs its wordings")
        return tuple(self.node("calls.toml", t, rules) for t in table.get("ear", ()))

    def ear_piece(self, name: str, text: str | list[str]) -> Node:
        if not isinstance(text, str):
            return any_of(self.ear_piece(name, each) for each in text)
        node = self._parse("rules.toml", text)
        rules = self._data["rules.toml"]
        known = {*KINDS, "name", *rules["ear"], *rules.get("ear_some", ())}
        for slot in slots_of(node):
            if slot not in known:
                where = f"grammar/rules.toml:{self._line('rules.toml', text)}"
                raise GrammarError(f"{where}: [ear] {name} names {{{slot}}}, which is nowhere")
        return node

    def ear_some(self) -> dict[str, tuple[str, tuple[str, ...]]]:
        found = {}
        for name, part in self._data["rules.toml"].get("ear_some", {}).items():
            table, but = part["of"], tuple(part["but"])
            for meaning in but:
                if meaning not in self._data["words.toml"].get(table, {}):
                    where = f"grammar/rules.toml:{self._line('rules.toml', f'{name} =')}"
                    raise GrammarError(
                        f"{where}: [ear_some] {name} leaves out {meaning!r}, which [{table}] of"
                        " words.toml has not; spell it as there"
                    )
            found[name] = (table, but)
        return found

    def examples(self) -> list[Example]:
        found = []
        for act, table in self._data["calls.toml"].items():
            for each in table.get("example", ()):
                self._check_slots(act, each["gives"], each["say"])
                found.append(
                    Example(act, each["say"], dict(each["gives"]), tuple(each.get("also", ())))
                )
        return found

    def node(self, file: str, text: str, rules: Mapping[str, Node]) -> Node:
        """Parse, resolve and spell one template."""
        node = self._resolved(file, text, self._parse(file, text), rules)
        known = set(KINDS) | CODE_SLOTS | set(self._data["rules.toml"]["slot"])
        for slot in slots_of(node):
            if slot not in known:
                where = f"grammar/{file}:{self._line(file, text)}"
                raise GrammarError(
                    f"{where}: no slot is called {{{slot}}}; see the head of the file"
                )
        return node

    def _parse(self, file: str, text: str) -> Node:
        try:
            return self.spelt(parse_template(text))
        except GrammarError as exc:
            where = f"grammar/{file}:{self._line(file, text)}"
            raise GrammarError(f"{where}: {exc}") from exc

    def _resolved(self, file: str, text: str, node: Node, rules: Mapping[str, Node]) -> Node:
        try:
            return resolve(node, rules)
        except GrammarError as exc:
            where = f"grammar/{file}:{self._line(file, text)}"
            raise GrammarError(f"{where}: {exc}; add it to {PARTS}") from exc

    def spelt(self, node: Node) -> Node:
        """Return a template with its words spelt as lines are."""
        match node:
            case Word(text):
                known = self._words.get(text)
                if known is None:
                    words = tuple(Word(t.text) for t in tokenise(text, self.spelling))
                    known = self._words[text] = words[0] if len(words) == 1 else Seq(words)
                return known
            case Seq(parts):
                return Seq(tuple(self.spelt(p) for p in parts))
            case Alt(choices):
                return Alt(tuple(self.spelt(c) for c in choices))
            case Slot() | Ref():
                return node

    def _check_slots(self, act: str, gives: Mapping[str, Any], text: str) -> None:
        allowed = TAKES.get(act)
        for slot in gives:
            if allowed is not None and slot not in allowed and not slot.startswith("of_"):
                where = f"grammar/calls.toml:{self._line('calls.toml', text)}"
                raise GrammarError(f"{where}: {act!r} carries no slot {slot!r}")

    def _line(self, file: str, text: str) -> int:
        return line_of(self._texts[file], text)
