"""Several hearings of one recording brought together: the alternatives, and how far they agree.

Plain values and arithmetic; knows no engine.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher

from bot.transcript import Alternative

MOST_ALTERNATIVES = 8
_LITTLE = frozenset(("a", "an", "the", "on", "of", "is", "in"))
"""Words whose coming and going is no disagreement."""
_UNHEARD = 0.01
"""Share of a text that a hearing does not have."""
_SPREAD = 2.0
"""Log likelihood that makes a weighed text e times less likely: the frames are not independent."""


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
        """Return the best sentence, or an empty string."""
        return self.sentences[0][0] if self.sentences else ""


def agreement(one: str, other: str) -> float:
    """Return how alike two texts are, word by word, 0 to 1; nothing heard agrees with nothing."""
    first, second = _weighty(one), _weighty(other)
    if not first or not second:
        return 0.0
    return SequenceMatcher(None, first, second, autojunk=False).ratio()


def merge_hearings(
    hearings: Sequence[tuple[Hearing, float]], spread: float
) -> tuple[Alternative, ...]:
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


def rank_with_hearing(
    hearing: Hearing, weights: Mapping[str, float], trust: float, spread: float
) -> tuple[Alternative, ...]:
    """Rank weighed texts, those that the hearing has too higher: its log share counts `trust` times."""
    shares = log_shares(hearing, weights, spread)
    return rank({text: weight + trust * shares[text] for text, weight in weights.items()})


def log_shares(hearing: Hearing, texts: Iterable[str], spread: float) -> dict[str, float]:
    """Return the logarithm of the share of a hearing that each text has; small where it was not heard."""
    tops = hearing.sentences[:MOST_ALTERNATIVES]
    odds = {text: math.exp((score - tops[0][1]) / spread) for text, score in tops}
    whole = sum(odds.values()) or 1.0
    return {text: math.log(odds.get(text, 0.0) / whole + _UNHEARD) for text in texts}


def rank(scores: Mapping[str, float]) -> tuple[Alternative, ...]:
    """Return texts by their scores, best first, with their shares."""
    tops = sorted(scores.items(), key=lambda item: -item[1])[:MOST_ALTERNATIVES]
    raised = [(text, math.exp((score - tops[0][1]) / _SPREAD)) for text, score in tops]
    total = sum(share for _, share in raised) or 1.0
    return tuple(Alternative(text, share / total) for text, share in raised)


def joint_figures(
    hearing: Hearing, alternatives: Sequence[Alternative], snr_db: float
) -> dict[str, float]:
    """Return the signals of the hearing that stands beside the phones, and of how the two agree."""
    chosen = alternatives[0].text
    alike = sum(a.score for a in alternatives if same_words(a.text, chosen))
    other = next((a.score for a in alternatives if not same_words(a.text, chosen)), 0.0)
    return {
        "agreement": agreement(chosen, hearing.best),
        "score_per_frame": hearing.score_per_frame if hearing.best else -8.0,
        "worst_word": hearing.worst_word if hearing.best else -10.0,
        "share": alike - other,
        "snr_db": snr_db,
        "words": float(min(len(chosen.split()), 8)),
        "frames_per_phone": min(30.0, hearing.frames / max(1, hearing.phones)),
        "silence_share": hearing.silence_share,
        "frames": float(hearing.frames),
    }


def figures(
    hearings: Sequence[Hearing], chosen: str, phones_score: float, snr_db: float
) -> Mapping[str, float]:
    """Return the signals that say whether the chosen text is to be trusted."""
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


def same_words(one: str, other: str) -> bool:
    """Return whether two texts differ in little words alone."""
    return _weighty(one) == _weighty(other)


def _weighty(text: str) -> list[str]:
    return [word for word in text.split() if word not in _LITTLE]
