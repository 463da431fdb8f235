"""A model of sums: size, colour, head and lure, the same at every position; what greedy policies are given.

Which numbers describe a lure at a position: the columns of the model and how they start.

A strike rate is exp(level + today + position + size + colours + head + lure + hour). Every term starts
at 0 give or take its spread in `Scales`; sizes and hours that are near are alike. Values and arrays
only; knows nothing of strikes.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Final

import numpy as np

from bot.advice.data import Exposure, Kind
from bot.advice.layout import Array, alike

SIZE_REACH_IN: Final = 3.0
"""Sizes so far apart still tell much about each other; larger makes the size curve smoother."""
HOUR_REACH: Final = 2.0
"""Hours so far apart still tell much about each other."""


@dataclass(frozen=True, slots=True)
class Scales:
    """How far the log rates may lie apart before any record: standard deviations (our estimates)."""

    level: float = 0.8
    today: float = 0.4
    """A day against the usual day."""
    position: float = 0.35
    size: float = 0.6
    colour: float = 0.6
    head: float = 0.4
    lure: float = 0.2
    """A lure against others of its size, colour and head."""
    hour: float = 0.35


@dataclass(frozen=True)
class Layout:
    """The levels that a record may hold, in a fixed order; equal layouts have equal columns."""

    positions: tuple[str, ...]
    kinds: tuple[Kind, ...]
    hours: tuple[int, ...]
    sizes: tuple[float, ...] = field(init=False)
    colours: tuple[str, ...] = field(init=False)
    heads: tuple[str, ...] = field(init=False)

    def __post_init__(self) -> None:
        sizes = {kind.size_in for kind in self.kinds if kind.size_in is not None}
        object.__setattr__(self, "sizes", tuple(sorted(sizes)))
        object.__setattr__(
            self, "colours", tuple(sorted({c for k in self.kinds for c in k.colours}))
        )
        heads = {kind.head for kind in self.kinds if kind.head is not None}
        object.__setattr__(self, "heads", tuple(sorted(heads)))

    @property
    def width(self) -> int:
        """Count the columns: level and today, and one for every level of every term."""
        return 2 + sum(len(part) for part in self._parts)

    @property
    def _parts(self) -> tuple[Sequence[object], ...]:
        return (self.positions, self.hours, self.sizes, self.colours, self.heads, self.kinds)

    def _starts(self) -> tuple[int, ...]:
        ends = np.cumsum([2, *(len(part) for part in self._parts)])
        return tuple(int(end) for end in ends)

    def kind_rows(self, kinds: Sequence[Kind] | None = None) -> Array:
        """Return the columns of the lure itself for each kind, without position and hour."""
        if kinds is None:
            return self._kind_rows
        return self._kind_rows[[self._number[kind] for kind in kinds]]

    @cached_property
    def _number(self) -> Mapping[Kind, int]:
        return {kind: number for number, kind in enumerate(self.kinds)}

    @cached_property
    def _kind_rows(self) -> Array:
        _, _, sizes, colours, heads, lures, _ = self._starts()
        rows = np.zeros((len(self.kinds), self.width))
        for number, (row, kind) in enumerate(zip(rows, self.kinds, strict=True)):
            if kind.size_in is not None:
                row[sizes + self.sizes.index(kind.size_in)] = 1.0
            for colour in kind.colours:
                row[colours + self.colours.index(colour)] = 1.0 / len(kind.colours)
            if kind.head is not None:
                row[heads + self.heads.index(kind.head)] = 1.0
            row[lures + number] = 1.0
        return rows

    def term_rows(self, kinds: Sequence[Kind], term: str) -> Array:
        """Return the columns of one term of each kind: `size`, `colour`, `head` or `lure`."""
        starts = self._starts()
        at = {"size": 2, "colour": 3, "head": 4, "lure": 5}[term]
        rows = np.zeros((len(kinds), self.width))
        rows[:, starts[at] : starts[at + 1]] = self.kind_rows(kinds)[:, starts[at] : starts[at + 1]]
        return rows

    def place_row(self, position: str, hour: int, *, today: bool) -> Array:
        """Return the columns of a position and an hour."""
        positions, hours, *_ = self._starts()
        row = np.zeros(self.width)
        row[0] = 1.0
        row[1] = float(today)
        row[positions + self.positions.index(position)] = 1.0
        if hour in self.hours:
            row[hours + self.hours.index(hour)] = 1.0
        return row

    def rows(self, cells: Sequence[Exposure]) -> Array:
        """Return the columns of every cell."""
        positions, hours, *_ = self._starts()
        rows = self.kind_rows([cell.kind for cell in cells])
        line = np.arange(len(cells))
        rows[:, 0] = 1.0
        rows[:, 1] = [float(cell.age_days == 0) for cell in cells]
        rows[line, [positions + self.positions.index(cell.position) for cell in cells]] = 1.0
        rows[line, [hours + self.hours.index(cell.hour) for cell in cells]] = 1.0
        return rows

    def start(
        self,
        scales: Scales,
        contrast: float = 1.0,
        usual_per_h: float = 0.15,
        size_reach_in: float = SIZE_REACH_IN,
    ) -> tuple[Array, Array]:
        """Return mean and covariance before any record; `contrast` scales all that is of the lure."""
        positions, hours, sizes, colours, heads, lures, end = self._starts()
        mean = np.zeros(self.width)
        mean[0] = np.log(usual_per_h)
        spread = np.zeros((self.width, self.width))
        spread[0, 0], spread[1, 1] = scales.level**2, scales.today**2
        blocks: tuple[tuple[int, int, float, Array], ...] = (
            (positions, hours, scales.position, np.eye(hours - positions)),
            (hours, sizes, scales.hour, alike(self.hours, HOUR_REACH, around=24.0)),
            (sizes, colours, scales.size * contrast, alike(self.sizes, size_reach_in)),
            (colours, heads, scales.colour * contrast, np.eye(heads - colours)),
            (heads, lures, scales.head * contrast, np.eye(lures - heads)),
            (lures, end, scales.lure * contrast, np.eye(end - lures)),
        )
        for first, after, scale, shape in blocks:
            spread[first:after, first:after] = scale**2 * shape
        return mean, spread
