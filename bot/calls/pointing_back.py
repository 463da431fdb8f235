"""Lures that go back where they were: "the hat and the nail back out, same spots". Pure.

Which line each had follows from the trip; a lure whose line is not known is left as it was said.
"""

import re
from collections.abc import Collection, Iterable
from functools import lru_cache

from bot.calls.grammar import Grammar
from bot.calls.pointed import Pointed


def back_in_place(low: str, grammar: Grammar, place: Pointed) -> str | None:
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
    return re.compile(rf"(?<![\w'-])(?:{_alternatives(words)})(?![\w-])")


def _alternatives(words: Iterable[str]) -> str:
    return "|".join(re.escape(w) for w in sorted(words, key=len, reverse=True))
