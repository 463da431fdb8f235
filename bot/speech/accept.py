"""How likely it is that a recording was a call of the language, and heard right.

A logistic model over what several hearings of the recording show; its weights stand in accept.json,
fitted by `python -m bot.bench hear_fit` on voices and noises that its test has not in it.
"""

import json
import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

FIGURES: tuple[str, ...] = (
    "agreement",
    "score_per_frame",
    "worst_word",
    "share",
    "snr_db",
    "words",
    "frames_per_phone",
    "silence_share",
    "phones_ratio",
    "phones_margin",
    "phones_worst_word",
    "phones_more",
    "phones",
)
"""What the model looks at, each a signal of the transcript."""


@dataclass(frozen=True, slots=True)
class Model:
    """Weights of the figures after they were brought to mean 0 and spread 1."""

    means: Mapping[str, float]
    spreads: Mapping[str, float]
    weights: Mapping[str, float]
    """Also of products of two figures, named `a*b`, and of `1`."""

    def probability(self, signals: Mapping[str, float]) -> float:
        """Give the probability, 0 to 1; a figure that is missing counts as usual."""
        scaled = {
            name: _held((signals.get(name, self.means[name]) - self.means[name]) / spread)
            for name, spread in self.spreads.items()
        }
        total = sum(
            weight * math.prod(scaled.get(part, 1.0) for part in name.split("*"))
            for name, weight in self.weights.items()
        )
        return 1 / (1 + math.exp(-max(-30.0, min(30.0, total))))


def _held(figure: float) -> float:
    """Keep a figure within what was seen in fitting, so that an odd one decides nothing alone."""
    return max(-3.0, min(3.0, figure))


@lru_cache(maxsize=1)
def fitted() -> Model | None:
    """Read the fitted model, or None where none was fitted yet."""
    file = files("bot.speech").joinpath("accept.json")
    if not file.is_file():
        return None
    content = json.loads(file.read_text(encoding="utf-8"))
    return Model(content["means"], content["spreads"], content["weights"])
