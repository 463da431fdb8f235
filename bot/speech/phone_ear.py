"""The second ear: the phone network and the search over a grammar, with what they say of the result.

Hears a recording once and then weighs any texts against it. Used beside an engine, never alone: what
the two make of a recording independently of each other decides how far it is trusted.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from bot.speech.audio import Pcm
from bot.speech.hearing import same_words
from bot.speech.phone_search import (
    Chart,
    best_sentence,
    free_phones,
    free_score,
    likelihoods,
    log_scores,
    neighbours,
    phone_count,
    word_fits,
)
from bot.speech.phones import FRAME_S, Floats, Network, phone_shares
from bot.speech.silence import Span


@dataclass(frozen=True, slots=True, eq=False)
class Phones:
    """The phones of one recording."""

    scores: Floats
    span: Span
    """Seconds from the first phone to the last."""
    count: int
    """How many phones were heard, whatever they mean."""


def heard_phones(pcm: Pcm, found: Network) -> Phones:
    """Listen for phones."""
    shares = phone_shares(pcm, found)
    spoken = np.flatnonzero(shares[:, -1] < 0.5)
    span = Span(0.0, pcm.seconds)
    if len(spoken):
        span = Span(float(spoken[0]) * FRAME_S, float(spoken[-1] + 1) * FRAME_S)
    scores = log_scores(shares)
    return Phones(scores, span, free_phones(scores))


def log_likelihoods(
    chart: Chart, phones: Phones, texts: Iterable[str], besides: Iterable[str] = ()
) -> dict[str, float]:
    """Return the log likelihood of the best sentence and some besides, of those near them, and of texts."""
    if not phones.count:
        return {}
    firsts = [
        text for text in dict.fromkeys((best_sentence(chart, phones.scores), *besides)) if text
    ]
    near = [text for first in firsts for text in neighbours(chart.sentences, first)]
    listed = list(dict.fromkeys((*near, *(text for text in texts if text))))
    return (
        dict(zip(listed, likelihoods(chart, listed, phones.scores), strict=True)) if listed else {}
    )


def phone_figures(
    chart: Chart, phones: Phones, texts: Mapping[str, float], chosen: str
) -> dict[str, float]:
    """Return the signals that say whether the chosen text is to be trusted."""
    said = max(1, phone_count(chart, chosen))
    others = [weight for text, weight in texts.items() if not same_words(text, chosen)]
    other = max(others, default=texts[chosen] - 30.0)
    return {
        "phones_ratio": (texts[chosen] - free_score(phones.scores)) / said,
        "phones_margin": max(-30.0, min(30.0, texts[chosen] - other)),
        "phones_worst_word": min(word_fits(chart, chosen, phones.scores)),
        "phones_more": (phones.count - said) / said,
        "phones": float(min(said, 30)),
    }
