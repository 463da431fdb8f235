"""Colours as people write them in a table of lures: "purple over black", "red-black", "dark red", "teal".

The words come from `grammar/words.toml` and the boat's settings; here they are only applied. Pure.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from difflib import SequenceMatcher, get_close_matches
from typing import Final

from bot.tackle.items import COLOURS

LONGEST: Final = 4
"""Words of the longest phrase that is one colour, e.g. glow in the dark."""
ALIKE: Final = 0.6
"""A word this much like its colour is another spelling, and nothing is said about it; higher says more."""


@dataclass(frozen=True, slots=True)
class ColourWords:
    """What a colour may be written as."""

    meant: Mapping[str, str] = field(default_factory=lambda: {c: c for c in COLOURS})
    """Phrase to colour: the colours themselves, other spellings, shades."""
    tints: frozenset[str] = frozenset()
    """Words that only shade a colour, e.g. dark."""
    joins: frozenset[str] = frozenset()
    """Words between two colours, e.g. over."""
    heads: Mapping[str, str] = field(default_factory=dict)
    """What else a head is written as, e.g. bullet for slim."""

    def with_own(self, own: Iterable[str]) -> "ColourWords":
        """Return them with the boat's own colours."""
        return ColourWords(
            {**self.meant, **{c.casefold(): c.casefold() for c in own}},
            self.tints,
            self.joins,
            self.heads,
        )


PLAIN_WORDS: Final = ColourWords()
"""The names of the colours and nothing else."""


@dataclass(frozen=True, slots=True)
class Colours:
    """What a cell says."""

    colours: tuple[str, ...]
    taken_for: tuple[str, ...] = ()
    """What was taken for another colour, e.g. `teal is taken for green`."""
    unknown: tuple[str, ...] = ()
    """What is no colour, each with what may have been meant."""


def read_colours(cell: str, words: ColourWords) -> Colours:
    """Read the colours of a cell, the leading one first, each once."""
    found: list[str] = []
    taken: list[str] = []
    unknown: list[str] = []
    for said, colour in _phrases(cell, words):
        if colour is None:
            unknown.append(_unknown(said, words))
            continue
        found.append(colour)
        if " " in said or SequenceMatcher(None, said, colour).ratio() < ALIKE:
            taken.append(f"{said} is taken for {colour}")
    return Colours(
        tuple(dict.fromkeys(found)), tuple(dict.fromkeys(taken)), tuple(dict.fromkeys(unknown))
    )


def _phrases(cell: str, words: ColourWords) -> Iterator[tuple[str, str | None]]:
    """Yield what is written and the colour that it is, None where it is none."""
    parts = [part for part in re.split(r"[\s/+,;&\-\u2010-\u2015]+", cell.casefold()) if part]
    at, tint = 0, ""
    while at < len(parts):
        for many in range(min(LONGEST, len(parts) - at), 0, -1):
            said = " ".join(parts[at : at + many])
            if (colour := words.meant.get(said)) is not None:
                yield f"{tint} {said}".strip(), colour
                at, tint = at + many, ""
                break
        else:
            said, at = parts[at], at + 1
            if said in words.tints:
                tint = f"{tint} {said}".strip()
            elif said not in words.joins:
                yield said, None
                tint = ""
    if tint:
        yield tint, None


def _unknown(said: str, words: ColourWords) -> str:
    near = get_close_matches(said, words.meant, 1, 0.7)
    shown = repr(said if len(said) <= 60 else f"{said[:60]}…")
    if near:
        return f"colour {shown} is not known: did you mean {words.meant[near[0]]}?"
    return (
        f"colour {shown} is not known: use {', '.join(sorted(set(words.meant.values())))},"
        " or add it to the colours of the boat in deckcall.toml"
    )
