"""Several hearings of one recording brought together: the alternatives, and how far they agree.

Plain values and arithmetic; knows no engine.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher

from bot.transcript import Alternative

MOST_ALTERNATIVES = 8
_LITTLE = frozenset(("a", "an", "the", "on", "of", "is", "in"))
"""Words whose coming and going is no disagreement."""


@dataclass(frozen=True, slots=True)
class Hearing:
    """What one decoding gave."""

    sentences: tuple[tuple[str, float], ...]
    """Complete sentences with log scores, best first."""
    frames: int
    score_per_frame: float = 0.0
    worst_word: float = 0.0
    """Log score per frame of the word that fits worst."""
    silence_share: float = 0.0
    """Share of the frames between first and last word that belong to no word."""
    phones: int = 0

    @property
    def best(self) -> str:
        """Give the best sentence, or an empty string."""
        return self.sentences[0][0] if self.sentences else ""


def agreement(one: str, other: str) -> float:
    """Say how alike two texts are, word by word, 0 to 1; nothing heard agrees with nothing."""
    first, second = _weighty(one), _weighty(other)
    if not first or not second:
        return 0.0
    return SequenceMatcher(None, first, second, autojunk=False).ratio()


def merged(hearings: Sequence[tuple[Hearing, float]], spread: float) -> tuple[Alternative, ...]:
    """Join the sentences of hearings, each with its weight; a score's e-fold is `spread` wide."""
    shares: dict[str, float] = {}
    for hearing, weight in hearings:
        if not hearing.sentences:
            continue
        top = hearing.sentences[0][1]
        odds = [math.exp((score - top) / spread) for _, score in hearing.sentences]
        for (text, _), odd in zip(hearing.sentences, odds, strict=True):
            shares[text] = shares.get(text, 0.0) + weight * odd / sum(odds)
    ranked = sorted(shares.items(), key=lambda item: -item[1])[:MOST_ALTERNATIVES]
    total = sum(share for _, share in ranked) or 1.0
    return tuple(Alternative(text, share / total) for text, share in ranked)


def figures(
    hearings: Sequence[Hearing], chosen: str, phones_score: float, snr_db: float
) -> Mapping[str, float]:
    """Give the signals that say whether the chosen text is to be trusted."""
    first, rest = hearings[0], hearings[1:]
    alike = [agreement(chosen, hearing.best) for hearing in hearings]
    close = first.sentences[1][1] - first.sentences[0][1] if len(first.sentences) > 1 else -60.0
    words = len(chosen.split())
    return {
        "agreement": min(alike),
        "agreement_all": sum(alike) / len(alike),
        "score_per_frame": first.score_per_frame if first.best else -8.0,
        "score_other": max((h.score_per_frame for h in rest if h.best), default=-8.0),
        "over_phones": (first.score_per_frame if first.best else -8.0) - phones_score,
        "worst_word": first.worst_word if first.best else -10.0,
        "margin": max(-60.0, close),
        "snr_db": snr_db,
        "words": float(min(words, 8)),
        "frames_per_phone": min(30.0, first.frames / max(1, first.phones)),
        "silence_share": first.silence_share,
        "frames": float(first.frames),
    }


def _weighty(text: str) -> list[str]:
    return [word for word in text.split() if word not in _LITTLE]
