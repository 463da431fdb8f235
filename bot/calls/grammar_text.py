"""Texts of the grammar files: parsed, and their forms spelt as lines are. Pure."""

import tomllib
from collections.abc import Iterable, Mapping
from typing import Any

from bot.calls.template import Node, Seq, Word
from bot.calls.tokens import tokenise
from bot.errors import GrammarError


def turned(
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


def parsed(name: str, texts: Mapping[str, str]) -> dict[str, Any]:
    """Return a grammar file, parsed. Raises GrammarError."""
    text = text_of(name, texts)
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as exc:
        raise GrammarError(f"grammar/{name}: {exc}; mend the quotes or brackets there") from exc


def spelt_form(form: str, spelling: Mapping[str, tuple[str, ...]]) -> str:
    """Return a form spelt as lines are."""
    return " ".join(t.text for t in tokenise(form, spelling))


def as_words(form: str, spelling: Mapping[str, tuple[str, ...]]) -> Node:
    """Return a form as a template of its words."""
    return Seq(tuple(Word(t.text) for t in tokenise(form, spelling)))
