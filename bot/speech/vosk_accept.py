"""How likely it is that what Vosk heard was said: the confidence of its words, and how close others came.

The weights stand in vosk_accept.json, fitted by `python -m bot.bench vosk_fit` with the Korean model,
for no English one could be had. What they weigh is the same in every language; how much each figure
tells in English was not measured, so the fit is one to be made anew where an English model is.
"""

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

UNKNOWN = "[unk]"
"""Vosk's word for speech that is in no phrase; not every model has it."""
ALONE_MARGIN = 30.0
"""Margin in log score where nothing else came near enough to be an alternative."""
FIGURES: tuple[str, ...] = (
    "word_least",
    "word_mean",
    "margin",
    "agreement",
    "snr_db",
)
"""What the fitted model looks at, each a signal of the transcript; how long words are is left out, for
that differs from language to language."""


@dataclass(frozen=True, slots=True)
class HeardWord:
    """One word with its place in the recording."""

    text: str
    start_s: float
    end_s: float
    confidence: float
    """0 to 1; the engine's own."""


@dataclass(frozen=True, slots=True)
class Weights:
    """Weights of the figures after they were brought to mean 0 and spread 1, and of `1`."""

    means: Mapping[str, float]
    spreads: Mapping[str, float]
    weights: Mapping[str, float]

    def probability(self, signals: Mapping[str, float]) -> float:
        """Return the probability, 0 to 1; a figure that is missing counts as usual.

        Each figure is held within three spreads, so that an odd one decides nothing alone.
        """
        total = self.weights["1"]
        for name, spread in self.spreads.items():
            scaled = (signals.get(name, self.means[name]) - self.means[name]) / spread
            total += self.weights[name] * max(-3.0, min(3.0, scaled))
        return 1 / (1 + math.exp(-total))


def figures(heard: Sequence[tuple[str, float]], words: Sequence[HeardWord]) -> dict[str, float]:
    """Return the signals of a hearing, given texts with log scores, best first, and the words one by one."""
    best, score = heard[0]
    sure = [word.confidence for word in words]
    said = best.split()
    return {
        "word_least": min(sure, default=0.0),
        "word_mean": sum(sure) / len(sure) if sure else 0.0,
        "margin": min(ALONE_MARGIN, score - heard[1][1]) if len(heard) > 1 else ALONE_MARGIN,
        "agreement": float(" ".join(word.text for word in words) == best),
        "unknown": sum(word == UNKNOWN for word in said) / max(1, len(said)),
    }


def acceptance(signals: Mapping[str, float]) -> float:
    """Return the probability that the best text was said; unknown words in it lower it by their share."""
    return read_fit().probability(signals) * (1.0 - signals.get("unknown", 0.0))


@lru_cache(maxsize=1)
def read_fit() -> Weights:
    """Read the fitted weights."""
    text = files("bot.speech").joinpath("vosk_accept.json").read_text(encoding="utf-8")
    content = json.loads(text)
    return Weights(content["means"], content["spreads"], content["weights"])
