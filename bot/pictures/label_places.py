"""Where labels stand: in two columns at the sides, each as near to what it names as there is room.

An exact choice by dynamic programming (Bellman 1957) over labels from the top down and over how far each
column is filled: of all ways in which neither column changes the order of the labels, so that their lines do
not cross in it, the one with the shortest lines. All lengths are inches from the upper left corner. Pure.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

STEP_IN: Final = 0.06
"""Heights that are looked at; finer ones cost time and are not seen."""
APART_IN: Final = 0.05
"""Left free between labels, and between a label and what is drawn."""
OTHER_SIDE_IN: Final = 2.5
"""Where labels may go to the other side of the boat, they do so to save lines of this length."""
EPS_IN: Final = 1e-6
Column = Literal[-1, 1]
"""Left or right."""


@dataclass(frozen=True, slots=True)
class Box:
    """A part of the sheet."""

    left: float
    top: float
    right: float
    bottom: float

    def overlaps(self, other: "Box", free: float = 0.0) -> bool:
        """Return whether it comes nearer to another than it should."""
        return (
            self.left < other.right + free
            and other.left < self.right + free
            and self.top < other.bottom + free
            and other.top < self.bottom + free
        )


@dataclass(frozen=True, slots=True)
class Label:
    """A label to be placed: its size, and the point that it names."""

    wide: float
    high: float
    x: float
    y: float


_Numbers = NDArray[np.float64]
_COLUMNS: Final[tuple[Column, ...]] = (-1, 1)


def label_places(
    labels: Sequence[Label], taken: Sequence[Box], room: Box, *, other_side: bool = False
) -> tuple[tuple[Column, Box], ...] | None:
    """Return the column and the place of every label, free of each other and of what is taken.

    The places are those for which labels are nearest to what they name, all together; None where there is
    no room for all. A label stands on the side of its point, unless it may go to the `other_side`.
    """
    steps = int((room.bottom - room.top) / STEP_IN) + 1
    filled = np.full((steps, steps), np.inf)
    filled[0, 0] = 0.0
    laid: list[_Laid] = []
    for number in sorted(range(len(labels)), key=lambda n: (labels[n].y, labels[n].x)):
        one = labels[number]
        left, right = (_costs(one, side, taken, room, steps) for side in _COLUMNS)
        across = one.x - (room.left + room.right) / 2
        away = OTHER_SIDE_IN if other_side else np.inf
        costs = (
            left + (away if across > EPS_IN else 0.0),
            right + (away if across < -EPS_IN else 0.0),
        )
        laid.append(_Laid(number, ceil((one.high + APART_IN) / STEP_IN), filled, costs))
        filled = laid[-1].after()
    if not np.isfinite(filled.min()):
        return None
    ends = np.unravel_index(filled.argmin(), filled.shape)
    on_left, on_right = int(ends[0]), int(ends[1])
    places: dict[int, tuple[Column, Box]] = {}
    for step in reversed(laid):
        column, start, on_left, on_right = step.back(on_left, on_right)
        one = labels[step.number]
        places[step.number] = column, _box(one, column, room.top + start * STEP_IN, room)
    return tuple(places[number] for number in range(len(labels)))


@dataclass(frozen=True, slots=True)
class _Laid:
    """One label laid on top of those before it."""

    number: int
    high: int
    """Steps that it takes."""
    before: _Numbers
    """Least cost of the labels before it, by the first step that each column has free."""
    costs: tuple[_Numbers, _Numbers]
    """What it costs to begin at every step of the left column, and of the right; infinite where taken."""

    def after(self) -> _Numbers:
        """Return the least cost with it."""
        left = self._added(self.before, self.costs[0])
        right = self._added(self.before.T, self.costs[1]).T
        return np.minimum(left, right)

    def _added(self, before: _Numbers, costs: _Numbers) -> _Numbers:
        found = np.full_like(before, np.inf)
        least = np.minimum.accumulate(before, axis=0)
        found[self.high :] = (least + costs[:, None])[: -self.high]
        return found

    def back(self, left: int, right: int) -> tuple[Column, int, int, int]:
        """Return where it stands if so much of the columns is filled with it, and how much was before."""
        on_left = self._one(self.before[:, right], self.costs[0], left)
        on_right = self._one(self.before[left], self.costs[1], right)
        if on_left[0] <= on_right[0]:
            return -1, left - self.high, on_left[1], right
        return 1, right - self.high, left, on_right[1]

    def _one(self, before: _Numbers, costs: _Numbers, end: int) -> tuple[float, int]:
        """Return the least cost of ending at a step of a column, and how far that was filled before."""
        start = end - self.high
        if start < 0:
            return np.inf, 0
        filled = int(before[: start + 1].argmin())
        return float(before[filled] + costs[start]), filled


def _box(label: Label, column: Column, top: float, room: Box) -> Box:
    left = room.left if column < 0 else room.right - label.wide
    return Box(left, top, left + label.wide, top + label.high)


def _costs(label: Label, column: Column, taken: Sequence[Box], room: Box, steps: int) -> _Numbers:
    """Return what every step of a column costs a label; infinite where it finds no room."""
    costs = np.full(steps, np.inf)
    for step in range(steps):
        box = _box(label, column, room.top + step * STEP_IN, room)
        if box.bottom > room.bottom:
            break
        if not any(box.overlaps(other, APART_IN) for other in taken):
            costs[step] = abs(box.top + label.high / 2 - label.y)
    return costs
