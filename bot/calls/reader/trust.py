"""The probability that a reading is right: the networks', and the grammar's where they differ.

The networks' reading is judged by boosted trees (`trust.npz`), the grammar's by a logistic model
(`trust.json`), both over the same figures and fitted on lines that the networks had not seen
(`python -m bot.bench reader_fit`). Pure.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from bot.calls.reader.forest import Forest, chance_of

NAMES: Final = (
    "one", "acts", "roles", "talk", "agrees", "same acts", "grammar sure", "grammar finds none",
    "grammar sure elsewhere", "several", "unread", "plain", "asks", "spoken", "unknown", "short",
    "lacks", "split", "grammar sure of the acts", "disagree", "weaker acts", "weaker roles",
    "none", "tokens", "parts", "filled", "after others", "situated",
    "network not sure",
)  # fmt: skip
"""What speaks for and against a reading, in the order of the figures."""


@dataclass(frozen=True, slots=True)
class Trust:
    """How far readings are believed, and what is done at which probability."""

    learned: Forest
    grammar: tuple[float, ...]
    """Weights of the model of the grammar's reading, one for each of `NAMES`."""
    log_from: float
    """Probability from which a call is logged; larger asks more."""
    answer_from: float
    """Probability from which a question is answered; a wrong answer harms nothing."""
    ask_from: float
    """Probability from which a call is asked about; below it the line is talk."""


def trust_of(text: str, learned: Forest) -> Trust:
    """Return the weights in a JSON text beside the trees; a figure that it does not name has weight 0."""
    data: Mapping[str, Any] = json.loads(text)
    return Trust(
        learned,
        tuple(float(data["grammar"].get(name, 0.0)) for name in NAMES),
        float(data["log_from"]),
        float(data["answer_from"]),
        float(data["ask_from"]),
    )


def as_json(trust: Trust) -> str:
    """Return all but the trees as a JSON text, each weight by its name."""
    weights = {name: round(w, 4) for name, w in zip(NAMES, trust.grammar, strict=True)}
    froms = {"log_from": trust.log_from, "answer_from": trust.answer_from}
    return json.dumps({"grammar": weights, **froms, "ask_from": trust.ask_from}, indent=1)


def grammar_figures(figures: Sequence[float], learned: float) -> tuple[float, ...]:
    """Return the figures for the grammar's reading, given the probability of the network's."""
    sure = figures[NAMES.index("grammar sure elsewhere")]
    return (*figures[:-1], sure * (1.0 - learned))


def likely(figures: Sequence[float], weights: Sequence[float]) -> float:
    """Return the probability, 0 to 1, that the grammar's reading with these figures is right."""
    return chance_of(sum(f * w for f, w in zip(figures, weights, strict=True)))


def evidence(figures: Sequence[float], trust: Trust, *, grammar: bool) -> dict[str, float]:
    """Return what speaks for and against a reading, in log odds, the strongest first."""
    if grammar:
        parts = [w * f for w, f in zip(trust.grammar, figures, strict=False)]
    else:
        parts = trust.learned.shares(figures)
    said = {name: round(part, 2) for name, part in zip(NAMES, parts, strict=False)}
    return dict(sorted(((k, v) for k, v in said.items() if v), key=lambda i: -abs(i[1])))
