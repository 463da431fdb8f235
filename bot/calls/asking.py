"""Recognise a question by how it begins, with or without a question mark. Pure."""

from collections.abc import Mapping, Sequence
from typing import Final

from bot.calls.grammar import Grammar
from bot.calls.tokens import Token

OWN_NAME: Final = "deckcall"
"""What the program is called by where it is one of a group."""


def names_program(line: str) -> bool:
    """Return whether a line calls the program by its name."""
    return OWN_NAME in line.casefold()


def is_question(line: str, tokens: Sequence[Token], grammar: Grammar) -> bool:
    """Return whether a line asks something, so that nothing in it is a report."""
    if line.rstrip().endswith("?"):
        return True
    words = {kind: frozenset(said) for kind, said in grammar.asking.items()}
    said = [token.text for token in tokens]
    while words and said and said[0] in words["before"]:
        said = said[1:]
    if not words or len(said) < 2:
        return False
    if _asks_whether(said, words):
        return True
    first, second = said[0], said[1]
    if second == "not" and len(said) > 2:
        second = said[2]
    if first in words["word"]:
        return (first, second) != ("what", "a")  # "what a fish"
    return (
        (first in words["being"] and second in words["whom_being"])
        or (first in words["verb"] and second in words["whom"])
        or (first in words["verb_you"] and second == "you")
        or (first == "where" and second in words["place"])
    )


def _asks_whether(said: Sequence[str], words: Mapping[str, frozenset[str]]) -> bool:
    """Return whether a line gives the choice of yes and no: "is the boot gone or not"."""
    line, opens = " ".join(said), said[0] in words["being"] | words["verb"]
    if any(f" {one}" in line for one in words["whatever"]):
        return False
    return any(
        line.endswith(f" {one}") or (opens and f" {one} " in line) for one in words["whether"]
    )
