"""How likely it is that a recording was a call of the language, and heard right.

A logistic model over what the hearings of the recording show, in which every figure counts one way only:
more agreement never makes a call less likely. Its weights stand in accept.json, fitted by
`python -m bot.bench hear_fit` on voices and noises that its test has not in it. Whatever the model says,
a recording is asked about where the two ears differ or another sentence fits nearly as well.
"""

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from itertools import pairwise

FIGURES: tuple[str, ...] = (
    "agreement",
    "score_per_frame",
    "phones_ratio",
    "phones_margin",
    "phones_worst_word",
    "phones_more",
    "phones",
)
"""What the model looks at, each a signal of the transcript; of `phones_more` less is better either way."""
DOUBTED = 0.5
"""The most that a recording is trusted that does not pass what is asked of all."""
LEAST_AGREEMENT = 1.0
"""Share of the words in which the two ears must agree: a single one may be the colour."""
LEAST_MARGIN = 3.0
"""Log likelihood by which the next sentence must fit worse."""
MOST_PHONES_OFF = 0.5
"""By so much of its phones a sentence may be shorter or longer than what was heard."""


@dataclass(frozen=True, slots=True)
class Steps:
    """What one figure adds: from knot to knot it rises by a weight for each unit."""

    knots: tuple[float, ...]
    weights: tuple[float, ...]
    """None negative: below the first knot, between knots, above the last."""

    def height(self, figure: float) -> float:
        """Give what a figure adds, 0 at the first knot."""
        return sum(w * p for w, p in zip(self.weights, parts(figure, self.knots), strict=True))


@dataclass(frozen=True, slots=True)
class Model:
    """A base and the steps of each figure, in the units of a log odds ratio."""

    base: float
    steps: Mapping[str, Steps]

    def probability(self, signals: Mapping[str, float]) -> float:
        """Give the probability, 0 to 1, that what was heard is right."""
        total = self.base + sum(
            steps.height(figure(signals, name)) for name, steps in self.steps.items()
        )
        return 1 / (1 + math.exp(-max(-30.0, min(30.0, total))))


def parts(figure: float, knots: Sequence[float]) -> list[float]:
    """Split a figure at knots: how far below the first, how much of each stretch, how far above the last."""
    inner = [min(max(figure, low), high) - low for low, high in pairwise(knots)]
    return [min(figure, knots[0]) - knots[0], *inner, max(figure, knots[-1]) - knots[-1]]


def figure(signals: Mapping[str, float], name: str) -> float:
    """Give a figure of a recording so that more is better."""
    return -abs(signals[name]) if name == "phones_more" else signals[name]


def is_clear(signals: Mapping[str, float]) -> bool:
    """Say whether the ears agree and nothing else fits nearly as well."""
    return (
        signals["agreement"] >= LEAST_AGREEMENT
        and signals["phones_margin"] >= LEAST_MARGIN
        and abs(signals["phones_more"]) <= MOST_PHONES_OFF
    )


def trust(signals: Mapping[str, float], model: Model) -> float:
    """Give how far a recording is trusted, 0 to 1."""
    likely = model.probability(signals)
    return likely if is_clear(signals) else min(likely, DOUBTED)


@lru_cache(maxsize=1)
def fitted() -> Model | None:
    """Read the fitted model, or None where none was fitted yet."""
    file = files("bot.speech").joinpath("accept.json")
    if not file.is_file():
        return None
    content = json.loads(file.read_text(encoding="utf-8"))
    steps = {
        name: Steps(tuple(of["knots"]), tuple(of["weights"]))
        for name, of in content["steps"].items()
    }
    return Model(content["base"], steps)
