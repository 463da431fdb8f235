"""Lines that are cleared for a fish: "clear everything but the fish", "get the rest in". Pure."""

import re
from collections.abc import Iterable, Sequence
from functools import lru_cache

from bot.calls.grammar import Grammar
from bot.calls.places_named import places_named
from bot.calls.pointed import Pointed

NOTHING = "nothing"
"""What is left to do where only the lines with fish are out."""


def but_the_fish(low: str, grammar: Grammar, place: Pointed) -> str | None:
    """Return a line with all lines that come in by their names: those without a fish; None for any other.

    Where nobody knows on which line a fish is, the line stays as it was said.
    """
    bitten = place.on or place.bitten
    left = [line for line, _ in place.out if line not in bitten]
    if not bitten or place.unplaced or low.rstrip().endswith("?"):
        return None
    found = _pattern(tuple(sorted(grammar.pointing.items()))).search(low)
    if found is None or places_named(low, grammar):
        return None
    if not left:
        return NOTHING
    named = " and ".join(f"the {line}" for line in dict.fromkeys(left))
    return f"{low[: found.start()]}clear {named}{low[found.end() :]}"


@lru_cache(maxsize=4)
def _pattern(pointing: tuple[tuple[str, tuple[str, ...]], ...]) -> re.Pattern[str]:
    said = dict(pointing)

    def any_of(words: Iterable[str]) -> str:
        return f"(?:{'|'.join(re.escape(w) for w in _longest(words))})"

    clears, inside = any_of(said["clears"]), any_of(said["comes_in"])
    but, fish, rest = any_of(said["but"]), any_of(said["with_fish"]), any_of(said["rest"])
    all_but = rf"(?: {inside})? {but}(?: for)? {fish}(?: {inside})?"
    others = rf"(?: {inside})? {rest}(?: {inside})?"
    return re.compile(
        rf"\b{clears}(?:{all_but}|{others}(?:,? {but} {fish})?)(?=\s*(?:[,.!;]|$|then\b|and\b|now\b))"
    )


def _longest(words: Iterable[str]) -> Sequence[str]:
    return sorted(words, key=len, reverse=True)
