"""Words of which the sound alone says which was said: colours, numbers, kinds of fish, lines, sides. Pure."""

from collections.abc import Iterable, Iterator, Mapping
from typing import Final

from bot.calls.grammar import Grammar
from bot.calls.numbers import COUNT_WORDS

_PARTS: Final = ("<which>", "<line>")
"""Classes of the two words of a position's name."""
_SHORTEST: Final = 3
_SHORTEST_FISH: Final = 6
"""Letters of the shortest name of a fish that is no other word as well."""


def classes_of(grammar: Grammar) -> dict[str, str]:
    """Return word to class: words of which the sound alone says which was said."""
    tables = grammar.words
    found = dict.fromkeys(COUNT_WORDS, "<number>")
    found |= dict.fromkeys(_single(tables["colour"], _SHORTEST), "<colour>")
    found |= dict.fromkeys(_single(tables["species"], _SHORTEST_FISH), "<fish>")
    found |= dict.fromkeys(tables["side"], "<side>")
    lines = [name.split() for name in tables["position"]]
    for parts in (one for one in lines if len(one) == len(_PARTS)):
        found |= dict(zip(parts, _PARTS, strict=True))
    return found


def _single(table: Mapping[str, Iterable[str]], shortest: int) -> Iterator[str]:
    forms = (form for said in table.values() for form in said)
    yield from (form for form in forms if " " not in form and len(form) >= shortest)
