"""Boosted trees that say how likely a reading is right: a sum of small decision trees. Pure once loaded.

Friedman, Greedy function approximation: a gradient boosting machine, Annals of Statistics 29 (2001). The
trees are fitted by scikit-learn (`python -m bot.bench reader_fit`) and kept as arrays.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from math import exp

import numpy as np

_LEAF = -1


@dataclass(frozen=True, slots=True)
class Forest:
    """Trees laid one behind the other; a node sends a figure up to its threshold to the left."""

    first: tuple[int, ...]
    """The root of each tree."""
    figure: tuple[int, ...]
    """Which figure a node looks at; -1 for a leaf."""
    threshold: tuple[float, ...]
    left: tuple[int, ...]
    right: tuple[int, ...]
    value: tuple[float, ...]
    """Log odds that a node adds; of an inner node the mean of its leaves."""
    base: float
    """Log odds before any tree."""

    def likely(self, figures: Sequence[float]) -> float:
        """Return the probability, 0 to 1, that a reading with these figures is right."""
        figure, threshold, left, right = self.figure, self.threshold, self.left, self.right
        z = self.base
        for node in self.first:
            while (n := figure[node]) != _LEAF:
                node = left[node] if figures[n] <= threshold[node] else right[node]
            z += self.value[node]
        return chance_of(z)

    def shares(self, figures: Sequence[float]) -> list[float]:
        """Return what each figure adds to the log odds along the paths that these figures take."""
        found = [0.0] * len(figures)
        for root in self.first:
            node = root
            while (n := self.figure[node]) != _LEAF:
                below = self.left if figures[n] <= self.threshold[node] else self.right
                found[n] += self.value[below[node]] - self.value[node]
                node = below[node]
        return found


def chance_of(log_odds: float) -> float:
    """Return log odds as a probability, 0 to 1."""
    return 1.0 / (1.0 + exp(-max(-30.0, min(30.0, log_odds))))


def load(data: bytes) -> Forest:
    """Return the trees that a file of arrays holds."""
    with np.load(BytesIO(data)) as held:
        rows = {name: held[name].tolist() for name in held.files}
    return Forest(
        tuple(rows["first"]), tuple(rows["figure"]), tuple(rows["threshold"]), tuple(rows["left"]),
        tuple(rows["right"]), tuple(rows["value"]), float(rows["base"]),
    )  # fmt: skip


def as_bytes(forest: Forest) -> bytes:
    """Return trees as the file that `load` reads."""
    out = BytesIO()
    np.savez(
        out,
        first=np.array(forest.first, np.int32), figure=np.array(forest.figure, np.int16),
        threshold=np.array(forest.threshold, np.float64),
        left=np.array(forest.left, np.int32), right=np.array(forest.right, np.int32),
        value=np.array(forest.value, np.float32), base=np.array(forest.base, np.float64),
    )  # fmt: skip
    return out.getvalue()
