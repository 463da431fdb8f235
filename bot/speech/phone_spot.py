"""Where in a recording a phrase fits the phones best, and how well each of its words does there.

A Viterbi search over the shares of `phones.py` for one chain of phones that may begin anywhere. A score is
relative to the best row of phones in the same frames, so 0 is a perfect fit whatever is around it.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from bot.speech.phones import PHONES, Floats

Numbers = npt.NDArray[np.float64]
Wholes = npt.NDArray[np.int64]

FLOOR = 0.01
"""Added to every share; chosen with the thresholds of `spotter`."""
BLANK_WEIGHT = 0.3
"""Weight of "no phone" against the phones."""
_NEVER = -1e9


@dataclass(frozen=True, slots=True)
class Fit:
    """How a phrase fits, and the frame in which it ends."""

    phrase: float
    """Log score for each phone, 0 at best."""
    worst_word: float
    """The same for the word that fits worst."""
    end: int


def best_fit(shares: Floats, words: Sequence[Sequence[str]]) -> Fit:
    """Lay a phrase, word by word in phones, where it fits best."""
    chain = [PHONES.index(phone) for word in words for phone in word]
    none = shares.shape[1] - 1
    labels = np.full(2 * len(chain) - 1, none)
    labels[::2] = chain
    scores = _relative(shares)
    best, back = _searched(scores, labels, none)
    end = int(best.argmax())
    places = _traced(back, end, len(labels) - 1)
    spent = np.zeros(len(labels))
    for frame, place in places:
        spent[place] += scores[frame, labels[place]]
    at, each = 0, []
    for word in words:
        width = 2 * len(word) - 1
        each.append(float(spent[at : at + width].sum()) / len(word))
        at += 2 * len(word)
    return Fit(float(best[end]) / len(chain), min(each), end)


def _relative(shares: Floats) -> Floats:
    weights = np.ones(shares.shape[1], np.float32)
    weights[-1] = BLANK_WEIGHT
    scores = np.log(shares * weights + FLOOR)
    return np.asarray(scores - scores.max(axis=1, keepdims=True))


def _searched(scores: Floats, labels: Wholes, none: int) -> tuple[Numbers, npt.NDArray[np.int8]]:
    """Return the score of the phrase that ends at each frame, and each place's way back."""
    width = len(labels)
    jumps = np.zeros(width, bool)
    jumps[2:] = (labels[2:] != none) & (labels[2:] != labels[:-2])
    now = np.full(width, _NEVER)
    ends, back = np.empty(len(scores)), np.zeros((len(scores), width), np.int8)
    for frame, score in enumerate(scores):
        step = np.concatenate(([0.0], now[:-1]))  # it may begin in any frame
        jump = np.where(jumps, np.concatenate(([_NEVER] * 2, now[:-2])), _NEVER)
        ways = np.stack((now, step, jump))
        back[frame] = ways.argmax(axis=0)
        now = ways.max(axis=0) + score[labels]
        ends[frame] = now[-1]
    return ends, back


def _traced(back: npt.NDArray[np.int8], end: int, last: int) -> list[tuple[int, int]]:
    """Follow the phrase back to its first phone: frames and places."""
    found, place = [], last
    for frame in range(end, -1, -1):
        found.append((frame, place))
        way = int(back[frame, place])
        if place == 0 and way == 1:
            break
        place -= way
    return found
