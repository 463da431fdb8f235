"""What each goal of a plan is worth against the others, once no rule is broken and the sizes are spread.

Numbers only, so that who merely hands them on loads nothing else. Common practice without a source; the boat
may change them. `colours` is that much more than the rest that one more colour goes before all of it.
"""

from dataclasses import dataclass, fields
from math import isfinite
from typing import Final

MOST_WEIGHT: Final = 100.0


@dataclass(frozen=True, slots=True)
class Weights:
    """What each goal is worth against the others; 0 switches one off."""

    colours: float = 8.0
    """Points for every colour that leads one lure at least."""
    tones: float = 2.0
    """Points for dark and light in balance: for every lure that is not one too many of its tone."""
    heads: float = 3.0
    """Points for a head that suits its position."""
    head_kinds: float = 1.0
    """Points for every kind of head in the spread."""
    spares: float = 2.0
    """Points for a lure that has another of its size and colour on board; half for one of the two."""
    hooks: float = 2.0
    """Points for hooks of the gauge that the outfit takes, or near it."""
    span: float = 0.5
    """Points for every inch between the largest and the smallest."""

    def __post_init__(self) -> None:
        for weight in fields(self):
            value = getattr(self, weight.name)
            if not isfinite(value) or not 0 <= value <= MOST_WEIGHT:
                raise ValueError(
                    f"weight {weight.name} is a number from 0 to {MOST_WEIGHT:g}, not {value}"
                )


DEFAULT_WEIGHTS: Final = Weights()
