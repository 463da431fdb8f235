"""How sure a reading is: what it cost, what was left over, and how near the next one comes.

A logistic model of a few figures of the reading; its weights are fitted by `python -m bot.bench
confidence` on a corpus that neither the grammar nor the costs of repair were tuned on, and judged there
by cross-validation. Pure.
"""

from collections.abc import Sequence
from math import exp
from typing import Final

from bot.calls.assemble import Reading
from bot.trip.acts import LOGGED

NAMES: Final = (
    "one", "cost", "unknown", "repair", "near", "stray", "missing", "share", "calls",
    "logged", "act_repair",
)  # fmt: skip
WEIGHTS: Final = (
    0.15, -2.03, 0.15, -0.78, -1.73, -0.89, -0.96, 4.33, -1.07, 0.38, -0.97,
)  # fmt: skip
"""One weight for each of `NAMES`."""
TEXT_WORD: Final = 0.15
"""What each word of free text adds to the cost of a way; it does not count against the reading."""
FURTHEST: Final = 1.5
"""A next reading that costs more than this beyond the best is no rival."""


def features(reading: Reading, readings: Sequence[Reading]) -> tuple[float, ...]:
    """Return the figures of a reading among the readings of its line, in the order of `NAMES`."""
    elements = reading.path.elements
    words = max(sum(e.end - e.start for e in elements), 1)
    unknown = sum(e.end - e.start for e in elements if e.kind == "unknown")
    said = sum(e.end - e.start for e in elements if e.kind not in ("unknown", "filler"))
    acts = [e.repair for e in elements if e.cue is not None]
    rest = [e.repair for e in elements if e.cue is None]
    text = TEXT_WORD * sum(
        value[1] - value[0] for e in elements for name, value in e.slots if name == "text"
    )
    rival = min(
        (r.cost for r in readings if r.calls and r.calls != reading.calls), default=FURTHEST + 9
    )
    near = max(0.0, FURTHEST - (rival - reading.cost)) / FURTHEST
    return (
        1.0,
        min(reading.cost - text, 6.0),
        min(unknown, 4) / 2,
        min(sum(rest), 3.0),
        near,
        float(min(reading.strays, 2)),
        float(min(reading.missing, 2)),
        said / words,
        float(len(reading.calls) > 1),
        float(any(c.act in LOGGED for c in reading.calls)),
        min(sum(acts), 3.0),
    )


def probability(figures: Sequence[float], weights: Sequence[float] = WEIGHTS) -> float:
    """Return the probability, 0 to 1, that a reading with these figures is right."""
    z = sum(f * w for f, w in zip(figures, weights, strict=True))
    return 1.0 / (1.0 + exp(-max(-30.0, min(30.0, z))))
