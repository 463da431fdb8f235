"""The probability that a reading is right: the network's, and the grammar's where they differ.

Two logistic models over a few figures; their weights stand in `trust.json`, fitted on lines that the
network had not seen (`python -m bot.bench reader_fit`). Pure.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import exp
from typing import Any, Final

NAMES: Final = (
    "one", "acts", "roles", "talk", "agrees", "same acts", "grammar sure", "grammar finds none",
    "grammar sure elsewhere", "several", "unread", "plain", "asks", "spoken", "unknown", "short",
    "lacks", "split", "grammar sure of the acts",
    "network not sure",
)  # fmt: skip
"""What speaks for and against a reading, in the order of the weights."""


@dataclass(frozen=True, slots=True)
class Trust:
    """Weights of the two models, one for each of `NAMES`."""

    learned: tuple[float, ...]
    grammar: tuple[float, ...]
    log_from: float
    """Probability from which a call is logged; larger asks more."""
    answer_from: float
    """Probability from which a question is answered; a wrong answer harms nothing."""
    ask_from: float
    """Probability from which a call is asked about; below it the line is talk."""


def trust_of(text: str) -> Trust:
    """Return the weights in a JSON text; a figure that it does not name has weight 0."""
    data: Mapping[str, Any] = json.loads(text)
    learned, grammar = (
        tuple(float(data[model].get(name, 0.0)) for name in NAMES)
        for model in ("learned", "grammar")
    )
    return Trust(
        learned,
        grammar,
        float(data["log_from"]),
        float(data["answer_from"]),
        float(data["ask_from"]),
    )


def as_json(trust: Trust) -> str:
    """Return weights as a JSON text, each by its name."""

    def named(weights: Sequence[float]) -> dict[str, float]:
        return {name: round(w, 4) for name, w in zip(NAMES, weights, strict=True)}

    return json.dumps(
        {
            "learned": named(trust.learned),
            "grammar": named(trust.grammar),
            "log_from": trust.log_from,
            "answer_from": trust.answer_from,
            "ask_from": trust.ask_from,
        },
        indent=1,
    )


def beside(figures: Sequence[float], learned: float) -> tuple[float, ...]:
    """Return the figures for the grammar's reading, given the probability of the network's."""
    sure = figures[NAMES.index("grammar sure elsewhere")]
    return (*figures[:-1], sure * (1.0 - learned))


def likely(figures: Sequence[float], weights: Sequence[float]) -> float:
    """Return the probability, 0 to 1, that a reading with these figures is right."""
    z = sum(f * w for f, w in zip(figures, weights, strict=True))
    return 1.0 / (1.0 + exp(-max(-30.0, min(30.0, z))))
