"""How likely it is that a recording was a call of the language, and heard right.

A logistic model over what the hearings of the recording show, in which every figure counts one way only:
more agreement never makes a call less likely. Its weights stand in accept.json (accept_two.json: for
two ears only), fitted by `python -m bot.bench hear_fit` on voices and noises that its test has not in it.
Whatever the model says, a recording is asked about where another sentence fits nearly as well.
"""

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from itertools import pairwise

TWO: tuple[str, ...] = (
    "agreement",
    "score_per_frame",
    "phones_ratio",
    "phones_margin",
    "phones_worst_word",
    "phones_more",
    "phones",
)
"""What the model for two ears looks at; of `phones_more` less is better either way."""
THREE: tuple[str, ...] = (
    *TWO,
    "margin",
    "written_margin",
    "written_gain",
    "written_short",
    "written_agreement",
    "votes",
)
"""What the model for three ears looks at."""
MOST_FOR_DOUBT = 0.5
"""The most that a recording is trusted that does not pass what is asked of all."""
LEAST_AGREEMENT = 1.0
"""Share of the words in which two ears must agree: a single one may be the colour."""
LEAST_MARGIN = 6.0
"""With two ears: log likelihood by which the next sentence must fit the phones worse."""
LEAST_MARGIN_OF_ALL = 3.0
"""Score of all three ears by which the next sentence must be behind."""
SURE = 0.9
"""With three ears a smaller probability is a doubt."""
LONG = 8
"""Phones of a sentence that other sounds are not mistaken for by two ears at once.

For a shorter one two ears must speak: a single one makes "missed him" of "received".
"""
MOST_PHONES_OFF = 0.5
"""By so much of its phones a sentence may be shorter or longer than what was heard."""


@dataclass(frozen=True, slots=True)
class Steps:
    """What one figure adds: from knot to knot it rises by a weight for each unit."""

    knots: tuple[float, ...]
    weights: tuple[float, ...]
    """None negative: below the first knot, between knots, above the last."""

    def height(self, figure: float) -> float:
        """Return what a figure adds, 0 at the first knot."""
        return sum(w * p for w, p in zip(self.weights, parts(figure, self.knots), strict=True))


@dataclass(frozen=True, slots=True)
class Model:
    """A base and the steps of each figure, in the units of a log odds ratio."""

    base: float
    steps: Mapping[str, Steps]

    def probability(self, signals: Mapping[str, float]) -> float:
        """Return the probability, 0 to 1, that what was heard is right."""
        total = self.base + sum(
            steps.height(figure(signals, name)) for name, steps in self.steps.items()
        )
        return 1 / (1 + math.exp(-max(-30.0, min(30.0, total))))


def parts(figure: float, knots: Sequence[float]) -> list[float]:
    """Split a figure at knots: how far below the first, how much of each stretch, how far above the last."""
    inner = [min(max(figure, low), high) - low for low, high in pairwise(knots)]
    return [min(figure, knots[0]) - knots[0], *inner, max(figure, knots[-1]) - knots[-1]]


def figure(signals: Mapping[str, float], name: str) -> float:
    """Return a figure of a recording so that more is better."""
    return -abs(signals[name]) if name == "phones_more" else signals[name]


def is_clear(signals: Mapping[str, float]) -> bool:
    """Return whether nothing else fits nearly as well and the ears do not differ.

    Two ears must agree word for word; with a third it is enough, for a sentence that is not short, that one
    by itself hears the same as all together. The phones may be too many or too few only where both others
    hear the same.
    """
    fits = abs(signals["phones_more"]) <= MOST_PHONES_OFF
    if "votes" not in signals:
        alike = signals["agreement"] >= LEAST_AGREEMENT
        return fits and alike and signals["phones_margin"] >= LEAST_MARGIN
    both = min(signals["agreement"], signals["written_agreement"]) >= 1.0
    fits = fits or (both and signals["phones"] >= LONG)
    votes = 1 if signals["phones"] >= LONG else 2
    return fits and signals["votes"] >= votes and signals["margin"] >= LEAST_MARGIN_OF_ALL


def trust(signals: Mapping[str, float], model: Model | None = None) -> float:
    """Return how far a recording is trusted, 0 to 1; with the fitted model where none is given."""
    model = model or read_fit(len(_figures(signals)))
    likely = model.probability(signals)
    sure = likely >= SURE or "votes" not in signals
    return likely if sure and is_clear(signals) else min(likely, MOST_FOR_DOUBT)


def _figures(signals: Mapping[str, float]) -> tuple[str, ...]:
    return THREE if "votes" in signals else TWO


@lru_cache(maxsize=2)
def read_fit(count: int = len(THREE)) -> Model:
    """Read the model that was fitted for so many figures."""
    name = "accept.json" if count == len(THREE) else "accept_two.json"
    content = json.loads(files("bot.speech").joinpath(name).read_text(encoding="utf-8"))
    steps = {
        figure: Steps(tuple(of["knots"]), tuple(of["weights"]))
        for figure, of in content["steps"].items()
    }
    return Model(content["base"], steps)
