"""What the speakers of a boat usually say: pairs of words, whole lines, names.

Counted over the words of entries that stand, the newest counting most (`HALF_LIFE`); nothing is stored, so
what is undone is unlearnt. How it weighs in what was heard is in `familiar`. Pure.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

HALF_LIFE: Final = 60
"""Number of later calls after which one counts half; smaller forgets sooner."""
OTHERS: Final = 0.3
"""Share by which what others aboard have said counts."""
MOST_WORDINGS: Final = 40
"""Number of whole lines of a speaker that are used."""
_WORD: Final = re.compile(r"[a-z0-9']+")
_LONGEST: Final = 20
SHORTEST_NAME: Final = 3

Pair = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Utterance:
    """The words of a call that stands, and who said it."""

    text: str
    crew: str


@dataclass(frozen=True, slots=True)
class Usual:
    """What is usual for one speaker."""

    own: Mapping[Pair, float]
    """How often the speaker has said two words in a row; older calls count less."""
    others: Mapping[Pair, float]
    """The same for the others aboard."""
    wordings: Mapping[str, float]
    """Whole lines of the speaker, the likeliest first."""
    names: tuple[str, ...] = ()
    """Names of the crew, lower case."""

    def gain(self, text: str) -> float:
        """Return how usual a line is, 0 to 1: the mean over its pairs of words, ends included."""
        pairs = list(_pairs(_words(text)))
        return sum(map(self._share, pairs)) / len(pairs) if pairs else 0.0

    def knows(self, text: str) -> bool:
        """Return whether the speaker has said a line before, word for word."""
        return " ".join(_words(text)) in self.wordings

    def _share(self, pair: Pair) -> float:
        often = self.own.get(pair, 0.0) + OTHERS * self.others.get(pair, 0.0)
        return often / (often + 1.0)


NOTHING_USUAL: Final = Usual({}, {}, {})


def usual_of(said: Sequence[Utterance], speaker: str, names: Iterable[str] = ()) -> Usual:
    """Return what is usual for a speaker, given the calls from the oldest to the newest."""
    own: dict[Pair, float] = {}
    others: dict[Pair, float] = {}
    wordings: dict[str, float] = {}
    for age, one in enumerate(reversed(said)):
        counts = 0.5 ** (age / HALF_LIFE)
        is_own = one.crew.casefold() == speaker.casefold()
        words = _words(one.text)
        table = own if is_own else others
        for pair in _pairs(words):
            table[pair] = table.get(pair, 0.0) + counts
        if is_own and words:
            line = " ".join(words)
            wordings[line] = wordings.get(line, 0.0) + counts
    ranked = sorted(wordings.items(), key=lambda item: -item[1])[:MOST_WORDINGS]
    known = (name.casefold() for name in names)
    single = (name for name in known if name.isalpha() and len(name) >= SHORTEST_NAME)
    return Usual(own, others, dict(ranked), tuple(dict.fromkeys(single)))


def _words(text: str) -> list[str]:
    return _WORD.findall(text.casefold())[:_LONGEST]


def _pairs(words: Sequence[str]) -> Iterable[Pair]:
    return pairwise(("^", *words, "$")) if words else ()
