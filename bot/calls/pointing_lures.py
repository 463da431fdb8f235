"""Lures that are pointed at by where they are: brought in by name, swapped for each other.

Which of two is in the water tells which comes in; a lure that is brought in is a line that is cleared. Pure.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from bot.calls.grammar import Grammar
from bot.calls.reader.loose import named_positions
from bot.calls.reader.words import words_of

Out = Sequence[tuple[str, str]]
"""Positions with a lure in the water, and the lure in words."""


@dataclass(frozen=True, slots=True)
class _Words:
    swaps: re.Pattern[str]
    brings: re.Pattern[str]
    comes: re.Pattern[str]
    parts: re.Pattern[str]


def lures_resolved(low: str, grammar: Grammar, out: Out, last: str) -> str | None:
    """Return a line with what it says of lures in the water as calls for their lines; None as it was said.

    `last` is the act of the last call.
    """
    names = {form: name for name, forms in grammar.words.get("name", {}).items() for form in forms}
    if not names or not any(form in low for form in names):
        return None
    words = _patterns(tuple(sorted(grammar.pointing.items())), tuple(names))
    lines = {lure.casefold(): position for position, lure in out}
    where = {form: lines.get(name.casefold(), "") for form, name in names.items()}
    return _swapped(low, words, where, last) or _brought_in(low, words, where, grammar)


def _swapped(low: str, words: _Words, where: dict[str, str], last: str) -> str | None:
    """Return "tax man for screen porch" with the one that is in the water as the one that comes in."""
    found = words.swaps.fullmatch(low.strip())
    if found is None or not (found["verb"] or found["and"] or last == "swap"):
        return None
    one, other = found["one"], found["other"]
    if bool(where[one]) == bool(where[other]):
        return None
    old, new = (one, other) if where[one] else (other, one)
    return f"swap {old} for {new}"


def _brought_in(low: str, words: _Words, where: dict[str, str], grammar: Grammar) -> str | None:
    """Return a line with "bring night shift in" as its line; nothing of it where another lure goes there."""
    parts = words.parts.split(low)
    told = [(part, words.brings.fullmatch(part), words.comes.fullmatch(part)) for part in parts]
    rest = [part for part, brings, comes in told if not (brings or comes)]
    laid = {p for part in rest for p in named_positions(words_of(part, grammar))}
    kept: list[str] = []
    for part, brings, comes in told:
        found = brings or comes
        line = where[found["lure"]] if found is not None else ""
        if not line:
            kept.append(part)
        elif line not in laid:
            kept.append(f"clear the {line}" if brings else part)
    return ", ".join(kept) if kept and kept != parts else None


@lru_cache(maxsize=4)
def _patterns(pointing: tuple[tuple[str, tuple[str, ...]], ...], names: tuple[str, ...]) -> _Words:
    said = dict(pointing)

    def any_of(words: Sequence[str]) -> str:
        return "|".join(re.escape(w) for w in sorted(words, key=len, reverse=True))

    lure = rf"(?:the )?(?P<{{0}}>{any_of(names)})"
    one, other, alone = (lure.format(name) for name in ("one", "other", "lure"))
    fore = any_of(said["for"])
    opens = f"(?:(?:{any_of(said['too'])}) )?"
    return _Words(
        swaps=re.compile(
            rf"(?P<and>and )?(?:(?:{any_of(said['too'])}) )?(?P<verb>(?:{any_of(said['swap'])}) )?"
            rf"{one} (?:{fore}) {other}\s*[.!]*"
        ),
        brings=re.compile(
            rf"{opens}(?:{any_of(said['bring'])}) {alone} (?:{any_of(said['inside'])})\s*[.!]*"
        ),
        comes=re.compile(rf"{opens}{alone}(?:{any_of(said['comes'])})\s*[.!]*"),
        parts=re.compile(r"\s*[,;.]\s+|\s+and\s+(?=(?:the |bring |wind |reel |get |pull ))"),
    )
