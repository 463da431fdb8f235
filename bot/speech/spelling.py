"""Plain words as if they had been heard: rows of phone scores, so that the search finds what sounds alike."""

from functools import lru_cache

import numpy as np

from bot.speech.phones import PHONES, Floats
from bot.speech.pronunciations import PronouncingDictionary, sounded_out

_MOST_PHONES = 70
_VOWELS = frozenset("AA AE AH AO AW AY EH ER EY IH IY OW OY UH UW".split())
_SURE, _OF_ITS_KIND, _ANY = 0.7, 0.007, 0.003
"""Shares of the phone itself, of each of its kind (vowel or not), of each other."""
_GAP, _GAP_STAYS, _GAP_ANY = 0.6, 0.1, 0.007
"""After each phone: no phone, the same, any other, so that a sentence may have more phones."""


def spelt_out(line: str, known: PronouncingDictionary) -> Floats | None:
    """Return log scores as `log_scores` does, two frames for each phone; None for no words."""
    phones = [
        phone
        for word in line.split()
        for phone in (known[word][0] if word in known else sounded_out(word, known)).split()
    ][:_MOST_PHONES]
    return np.concatenate([_rows(phone) for phone in phones]) if phones else None


@lru_cache(maxsize=64)
def _rows(phone: str) -> Floats:
    kind = phone in _VOWELS
    heard = [_OF_ITS_KIND if (p in _VOWELS) == kind else _ANY for p in PHONES] + [0.1]
    gap = [_GAP_ANY] * len(PHONES) + [_GAP]
    heard[PHONES.index(phone)], gap[PHONES.index(phone)] = _SURE, _GAP_STAYS
    return np.log(np.array([heard, gap], np.float32))
