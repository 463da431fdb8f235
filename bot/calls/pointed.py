"""What words may point at when a line is said, and the lines that are about lures so meant.

Lures that go back where they were ("the hat and the nail back out, same spots"), a bite on "it" (the line
whose lure was changed last), lines that are cleared for a fish ("clear everything but the fish"), and lures
that are brought in by name or swapped for each other. Which of two is in the water tells which comes in; a
lure that is brought in is a line that is cleared. What the trip does not tell is left as it was said. Pure.
"""

import re
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Final

from bot.calls.grammar import Grammar
from bot.calls.grammar_text import alternatives
from bot.calls.reader.loose import named_positions
from bot.calls.reader.words import words_of

NOTHING: Final = "nothing"
"""What is left to do where only the lines with fish are out."""
Out = Sequence[tuple[str, str]]
"""Positions with a lure in the water, and the lure in words."""


@dataclass(frozen=True, slots=True)
class Referents:
    """What words may point at, the latest first where there is an order."""

    out: tuple[tuple[str, str], ...] = ()
    """Positions with a lure in the water, and the lure in words."""
    mentioned: tuple[str, ...] = ()
    """Positions mentioned lately."""
    together: tuple[str, ...] = ()
    """Positions that the last call or question was about."""
    up: tuple[tuple[str, str], ...] = ()
    """Positions brought in lately and not put out since, and the lure that was there."""
    changed: str = ""
    """The position whose lure was changed last, if nothing happened on a line since and no other was."""
    laid: str = ""
    """The lure that was put out last, in words."""
    last: str = ""
    """The act of the last call, if it is fresh."""
    on: tuple[str, ...] = ()
    """Positions with a fish on."""
    bitten: tuple[str, ...] = ()
    """Positions with a fish that bit and is not over, on or not."""
    weedy: tuple[tuple[str, str], ...] = ()
    """Positions on which weed was called last and is still, and the lure that tows it."""
    positions: tuple[str, ...] = field(default=())
    """All positions of the boat."""
    now: str = ""
    """The boat's own time, as `HH:MM`."""
    unplaced: bool = False
    """True where a fish is on whose line nobody said."""


def named_places(text: str, grammar: Grammar) -> list[tuple[str, int, int]]:
    """Return the positions named in a text, with their beginnings and ends."""
    words = words_of(text, grammar)
    found: list[tuple[str, int, int]] = []
    at = 0
    while at < len(words.tokens):
        here = [
            (term, label)
            for label in ("{both}", "{position}")
            for term in words.terms[at].get(label, ())
        ]
        if not here:
            at += 1
            continue
        term, _ = max(here, key=lambda t: t[0].end)
        [(_, value)] = term.slots
        start, end = words.tokens[at].start, words.tokens[term.end - 1].end
        for name in (value,) if isinstance(value, str) else value:
            found.append((name, start, end))
        at = term.end
    return found


def back_in_place(low: str, grammar: Grammar, place: Referents) -> str | None:
    """Return a line that puts lures "in the same spots" with the line of each; None for any other.

    Without a lure named it is all that was brought in and has not gone out since.
    """
    said = grammar.pointing
    same = _any_of(tuple(said["same_places"]))
    if same.search(low) is None:
        return None
    names = {form: name for name, forms in grammar.words.get("name", {}).items() for form in forms}
    lures = _any_of(tuple(names)) if names else None
    rest = same.sub(" ", low)
    named = [names[found[0]] for found in lures.finditer(rest)] if lures else []
    rest = lures.sub(" ", rest) if lures else rest
    if not _only(rest, said["beside_places"]):
        return None
    lines = {lure: line for line, lure in (*place.out, *place.up) if lure}
    if named and not all(lure in lines for lure in named):
        return None
    pairs = [(lines[lure], lure) for lure in named] or [one for one in place.up if one[1]]
    return " and ".join(f"put the {lure} on the {line}" for line, lure in pairs) or None


def _only(text: str, words: Collection[str]) -> bool:
    return set(re.findall(r"[^\W_]+(?:'\w+)?", text)) <= {*words}


@lru_cache(maxsize=8)
def _any_of(words: tuple[str, ...]) -> re.Pattern[str]:
    return re.compile(rf"(?<![\w'-])(?:{alternatives(words)})(?![\w-])")


def resolve_bite(low: str, grammar: Grammar, place: Referents) -> str | None:
    """Return "strike on it" with the line that was changed last; None as it was said.

    The line names no other; that is seen before.
    """
    if not place.changed or place.changed in place.on:
        return None
    on_it, it_bit = _bite_patterns(tuple(sorted(grammar.pointing.items())))
    if found := on_it.search(low):
        return f"{low[: found.end(1)]} on the {place.changed}{low[found.end() :]}"
    if found := it_bit.search(low):
        return f"{low[: found.start()]}the {place.changed}{low[found.start(1) :]}"
    return None


@lru_cache(maxsize=4)
def _bite_patterns(
    pointing: tuple[tuple[str, tuple[str, ...]], ...],
) -> tuple[re.Pattern[str], re.Pattern[str]]:
    words = dict(pointing)

    def any_of(name: str) -> str:
        return f"(?:{alternatives(words.get(name, ('',)))})"

    on_it = re.compile(rf"\b({any_of('bitten')}) on {any_of('changed')}\b")
    it_bit = re.compile(rf"\b{any_of('changed')}({any_of('got_bit')})\b")
    return on_it, it_bit


def same_line(low: str, grammar: Grammar, place: Referents) -> str | None:
    """Return "hit again, same rod" with the line that was spoken of last; None for any other line."""
    found = _any_of(tuple(grammar.pointing["same_line"])).search(low)
    if found is None or not place.mentioned or "?" in low:
        return None
    beside = {*low[found.end() :].split()[:1], *low[: found.start()].split()[-1:]}
    if beside & {*grammar.pointing["not_same_line"]}:
        return None
    before = low[: found.start()].rstrip(" ,")
    return f"{before} on the {place.mentioned[0]}{low[found.end() :]}".strip()


def but_the_fish(low: str, grammar: Grammar, place: Referents) -> str | None:
    """Return a line with all lines that come in by their names: those without a fish; None for any other.

    Where nobody knows on which line a fish is, the line stays as it was said.
    """
    bitten = place.on or place.bitten
    left = [line for line, _ in place.out if line not in bitten]
    if not bitten or place.unplaced or low.rstrip().endswith("?"):
        return None
    found = _cleared_pattern(tuple(sorted(grammar.pointing.items()))).search(low)
    if found is None or named_places(low, grammar):
        return None
    if not left:
        return NOTHING
    named = " and ".join(f"the {line}" for line in dict.fromkeys(left))
    return f"{low[: found.start()]}clear {named}{low[found.end() :]}"


@lru_cache(maxsize=4)
def _cleared_pattern(pointing: tuple[tuple[str, tuple[str, ...]], ...]) -> re.Pattern[str]:
    said = dict(pointing)

    def any_of(words: Iterable[str]) -> str:
        return f"(?:{alternatives(words)})"

    clears, inside = any_of(said["clears"]), any_of(said["comes_in"])
    but, fish, rest = any_of(said["but"]), any_of(said["with_fish"]), any_of(said["rest"])
    all_but = rf"(?: {inside})? {but}(?: for)? {fish}(?: {inside})?"
    others = rf"(?: {inside})? {rest}(?: {inside})?"
    being = any_of(said["being"])
    return re.compile(
        rf"(?:\b{clears}(?:{all_but}|{others}(?:,? {but} {fish})?)|^{rest} (?:{being} )?{inside})"
        r"(?=\s*(?:[,.!;]|$|then\b|and\b|now\b))"
    )


@dataclass(frozen=True, slots=True)
class _Words:
    swaps: re.Pattern[str]
    brings: re.Pattern[str]
    comes: re.Pattern[str]
    parts: re.Pattern[str]


def resolve_lures(low: str, grammar: Grammar, out: Out, last: str) -> str | None:
    """Return a line with what it says of lures in the water as calls for their lines; None as it was said.

    `last` is the act of the last call.
    """
    names = {form: name for name, forms in grammar.words.get("name", {}).items() for form in forms}
    if not names or not any(form in low for form in names):
        return None
    words = _lure_patterns(tuple(sorted(grammar.pointing.items())), tuple(names))
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
def _lure_patterns(
    pointing: tuple[tuple[str, tuple[str, ...]], ...], names: tuple[str, ...]
) -> _Words:
    said = dict(pointing)

    lure = rf"(?:the )?(?P<{{0}}>{alternatives(names)})"
    one, other, alone = (lure.format(name) for name in ("one", "other", "lure"))
    fore = alternatives(said["for"])
    opens = f"(?:(?:{alternatives(said['too'])}) )?"
    return _Words(
        swaps=re.compile(
            rf"(?P<and>and )?{opens}(?P<verb>(?:{alternatives(said['swap'])}) )?"
            rf"{one} (?:{fore}) {other}\s*[.!]*"
        ),
        brings=re.compile(
            rf"{opens}(?:{alternatives(said['bring'])}) {alone} (?:{alternatives(said['inside'])})\s*[.!]*"
        ),
        comes=re.compile(rf"{opens}{alone}(?:{alternatives(said['comes'])})\s*[.!]*"),
        parts=re.compile(r"\s*[,;.]\s+|\s+and\s+(?=(?:the |bring |wind |reel |get |pull ))"),
    )
