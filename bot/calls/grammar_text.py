"""Texts of the grammar files: parsed, their forms spelt as lines are, parts of wordings, words of units.

What one of each unit is in the unit that the log has is a factor of `bot.units`. Pure.
"""

import re
import tomllib
from collections.abc import Iterable, Mapping
from typing import Any, Final

from bot.calls.template import Alt, Node, Seq, Word, parse_template, resolve_parts
from bot.calls.tokens import tokenise
from bot.errors import GrammarError
from bot.units import PER

PARTS: Final = "parts.toml"
"""The file of the parts that wordings share."""

Units = Mapping[str, Mapping[str, str]]
"""Kind of measure -> word -> unit, a name of `bot.units.PER`."""
RANGE_KINDS: Final = ("sea_m", "speed_kn", "gear")
"""Kinds of which a range is said: "four to six feet" is no time of day."""


def alternatives(words: Iterable[str]) -> str:
    """Return a pattern that takes any of these words, the longest first; empty for none."""
    return "|".join(re.escape(word) for word in sorted(words, key=len, reverse=True))


def meant_by_slip(
    table: Mapping[str, Iterable[str]], spelling: Mapping[str, tuple[str, ...]]
) -> dict[str, tuple[str, ...]]:
    """Return a mapping from what is heard to what may be meant, both spelt as lines are."""
    found: dict[str, list[str]] = {}
    for meant, slips in table.items():
        for slip in slips:
            found.setdefault(spelt_form(slip, spelling), []).append(spelt_form(meant, spelling))
    return {heard: tuple(meant) for heard, meant in found.items()}


def text_of(name: str, texts: Mapping[str, str]) -> str:
    """Return the text of a grammar file. Raises GrammarError."""
    if name not in texts:
        raise GrammarError(f"grammar/{name} is missing: put it back beside the others")
    return texts[name]


def parse_file(name: str, texts: Mapping[str, str]) -> dict[str, Any]:
    """Return a grammar file, parsed. Raises GrammarError."""
    text = text_of(name, texts)
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as exc:
        raise GrammarError(f"grammar/{name}: {exc}; mend the quotes or brackets there") from exc


def line_of(text: str, wanted: str) -> int:
    """Return the number of the first line of a file with some text in it; 1 where none has it."""
    lines = enumerate(text.splitlines(), 1)
    return next((number for number, line in lines if wanted and wanted in line), 1)


def read_parts(texts: Mapping[str, str]) -> dict[str, Node]:
    """Return the shared parts of wordings by name, none of them naming another. Raises GrammarError."""
    found: dict[str, Node] = {}
    for table in parse_file(PARTS, texts).values():
        for name, wordings in table.items():
            try:
                if name in found:
                    raise GrammarError(f"<{name}> stands there twice; rename one of them")
                if not isinstance(wordings, list) or not wordings:
                    raise GrammarError(f'{name} is no list; write {name} = ["one wording"]')
                found[name] = any_of(map(parse_template, wordings))
            except GrammarError as exc:
                where = f"grammar/{PARTS}:{line_of(texts[PARTS], f'{name} = ')}"
                raise GrammarError(f"{where}: {exc}") from exc
    try:
        return resolve_parts(found)
    except GrammarError as exc:
        raise GrammarError(f"grammar/{PARTS}: {exc}; mend it there") from exc


def any_of(nodes: Iterable[Node]) -> Node:
    """Return a template that takes whatever one of these templates takes."""
    choices = tuple(nodes)
    return choices[0] if len(choices) == 1 else Alt(choices)


def spelt_form(form: str, spelling: Mapping[str, tuple[str, ...]]) -> str:
    """Return a form spelt as lines are."""
    return " ".join(t.text for t in tokenise(form, spelling))


def as_words(form: str, spelling: Mapping[str, tuple[str, ...]]) -> Node:
    """Return a form as a template of its words."""
    return Seq(tuple(Word(t.text) for t in tokenise(form, spelling)))


def read_units(tables: Mapping[str, Any]) -> dict[str, dict[str, str]]:
    """Read the tables `unit` of words.toml; raises GrammarError for a kind or unit without a factor."""
    if missing := sorted(PER.keys() - tables.keys()):
        raise GrammarError(f"grammar/words.toml has no [unit.{missing[0]}]: add the table")
    for kind, table in tables.items():
        known = PER.get(kind, {})
        for unit in table:
            if unit not in known:
                names = ", ".join(known) or "another table"
                raise GrammarError(
                    f"grammar/words.toml: [unit.{kind}] has {unit!r}, for which there is no factor;"
                    f" use {names}"
                )
    return {
        kind: {word: unit for unit, words in table.items() for word in words}
        for kind, table in tables.items()
    }


def factor(units: Units, word: str, kinds: Iterable[str]) -> float | None:
    """Return what one of a unit is, by its word, from the first kind that has it; None where none has."""
    for kind in kinds:
        unit = units[kind].get(word)
        if unit is not None:
            return PER[kind][unit]
    return None


def words_of(units: Units, kinds: Iterable[str]) -> frozenset[str]:
    """Return the words of all units of some kinds."""
    return frozenset(word for kind in kinds for word in units[kind])
