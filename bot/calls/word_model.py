"""How likely a line is as words of a deck: pairs and triples of words, counted in calls and talk.

An interpolated Kneser-Ney model of three words (Chen and Goodman, 1999), pruned and written with back-off
weights; made by `python -m bot.bench word_model`. Colours, numbers, kinds of fish and the like are one word
each, a class: which of them was said is for the ear alone. The boat's own words need no counting: they
enter as another class. Pure once loaded.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from io import BytesIO
from math import log
from typing import Any, Final, NamedTuple
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

STEP: Final = 1 / 16
"""Size of a step of a log probability, which is kept in eight bits."""
BEGIN: Final = "<s>"
END: Final = "</s>"
UNKNOWN: Final = "<unk>"
UNKNOWN_WORDS: Final = 30_000
"""How many other words there are, one as likely as another; about the size of a person's vocabulary."""
OWN_WORDS: Final = 150
"""How many words of its own a boat has: names of lures and people; common practice, no source."""
OF_A_CLASS: Final = 12
"""How many words of a class are said, one as likely as another; common practice, no source."""
_LEAST: Final = -16.0


class Likelihood(NamedTuple):
    """How likely a line is."""

    mean: float
    """Mean log probability of its words and its end."""
    unknown: int
    """Number of words that are neither counted nor the boat's own."""


@dataclass(frozen=True, slots=True, eq=False)
class WordModel:
    """Words, pairs and triples by the checksum of their letters, in rising order."""

    keys: NDArray[np.uint32]
    likely: NDArray[np.uint8]
    """Log probability of the last word behind those before it, in steps below zero."""
    back: NDArray[np.uint8]
    """What a word that was never counted behind these costs, in steps below zero."""

    def likelihood(
        self,
        words: Sequence[str],
        classes: Mapping[str, str] | None = None,
        own: Collection[str] = (),
    ) -> Likelihood:
        """Return how likely words in lower case are as a line; `own` are words of the boat.

        `classes` are those that the model was counted with: word to class.
        """
        before, total, unknown = [BEGIN, BEGIN], 0.0, 0
        for word in (*words, END):
            said = (classes or {}).get(word, word)
            known = self._at(said) is not None
            if said != word:
                total -= log(OF_A_CLASS)
            elif not known:
                total -= log(OWN_WORDS if word in own else UNKNOWN_WORDS)
                unknown += word not in own
            before = [*before[-2:], said if known else UNKNOWN]
            total += self.behind(before)
        return Likelihood(total / (len(words) + 1), unknown)

    def behind(self, words: Sequence[str]) -> float:
        """Return the log probability of the last of some words, given those before it."""
        cost = 0.0
        for start in range(len(words)):
            place = self._at(" ".join(words[start:]))
            if place is not None:
                return cost - STEP * float(self.likely[place])
            context = self._at(" ".join(words[start:-1])) if start + 1 < len(words) else None
            cost -= STEP * float(self.back[context]) if context is not None else 0.0
        return cost + _LEAST

    def _at(self, said: str) -> int | None:
        key = crc32(said.encode())
        place = int(np.searchsorted(self.keys, np.uint32(key)))
        return place if place < len(self.keys) and int(self.keys[place]) == key else None


def load(data: bytes) -> WordModel:
    """Return the model that a file holds."""
    found: Any = np.load(BytesIO(data))
    return WordModel(found["keys"], found["likely"], found["back"])


def pack_model(model: WordModel) -> bytes:
    """Return a model as a file."""
    out = BytesIO()
    np.savez_compressed(out, keys=model.keys, likely=model.likely, back=model.back)
    return out.getvalue()
