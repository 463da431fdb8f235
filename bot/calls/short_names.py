"""Words by which one lure of a box is told from all others: "the hat", "CH" for the Church Hat. Pure."""

from collections.abc import Callable, Iterable, Mapping
from typing import Final

from bot.calls.numbers import WORDS

_SHORT: Final = 2
"""Letters of the shortest initials; a word that identifies a lure has more."""
_TAKEN: Final = ("colour", "head", "position", "side", "species")
"""Tables of words that describe a lure or its place: none of them identifies one."""


def telling_words(
    words: Mapping[str, Mapping[str, Iterable[str]]], spelt: Callable[[str], str]
) -> dict[str, str]:
    """Return word -> lure for the words, and the initials, that are in the forms of one lure only.

    `words` are the tables of the grammar (table -> meaning -> forms), `spelt` spells a form as lines are.
    """
    taken = {
        w for table in _TAKEN for forms in words[table].values() for f in forms for w in f.split()
    }
    owners: dict[str, set[str]] = {}
    for name, forms in words.get("name", {}).items():
        for form in forms:
            said = spelt(form).split()
            for word in (*(w for w in said if len(w) > _SHORT), "".join(w[0] for w in said)):
                owners.setdefault(word, set()).add(name)
    return {
        word: next(iter(of))
        for word, of in owners.items()
        if len(of) == 1 and len(word) >= _SHORT and word not in taken and word not in WORDS
    }
