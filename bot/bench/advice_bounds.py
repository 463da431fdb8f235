"""What could be won with fewer rules or more knowledge, beside the advice: how far off is what it may know?

`Factors` is given that sizes, leading colours and lines act each by themselves and stay, which no boat knows;
`UnruledAdvice` has the belief of the advice and makes every change that it expects to gain by, however
unlikely.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any, ClassVar, Final

import numpy as np

from bot.advice.bites import prey_of
from bot.advice.data import LureChange
from bot.advice.layout import Levels, layout_of
from bot.advice.season import believe
from bot.bench.advice_factors import Scales
from bot.bench.advice_policies import Direct, RightModel, asks
from bot.bench.advice_sea import FIRST_HOUR, POSITIONS, Array, Lure, Swap, World

USUAL_PER_H: Final = 0.15


@dataclass(frozen=True, slots=True)
class LedByOne:
    """A sea whose lures are told by size and leading colour alone."""

    lures: tuple[Lure, ...]
    start: tuple[int, ...]
    whole: World

    @classmethod
    def of(cls, world: World) -> "LedByOne":
        """Return a sea as it is told so."""
        lures = (
            replace(one, kind=replace(one.kind, colours=one.kind.colours[:1]))
            for one in world.lures
        )
        return cls(tuple(lures), world.start, world)

    def best(self, at_h: float) -> tuple[int, ...]:
        """Return the best spread at a time of the day."""
        return self.whole.best(at_h)


class Factors(RightModel):
    """Greedy on own draws for every size, leading colour and line; right on a plain sea, and told so."""

    scales: ClassVar[Scales] = Scales(0.7, 0.3, 0.3, 0.6, 0.5, 1e-3, 1e-3, 0.3)
    size_reach_in: ClassVar[float] = 0.05

    def __init__(self, world: World, seed: int) -> None:
        super().__init__(LedByOne.of(world), seed)

    def changes(self, at_h: float, spread: tuple[int, ...]) -> Iterator[Swap]:
        """Make the changes that gain most, five in a morning and two at any other time."""
        held = list(spread)
        for _ in range(asks(at_h)):
            found = list(super().changes(at_h, tuple(held)))
            if not found:
                return
            held[found[0].line] = found[0].lure
            yield found[0]


class UnruledAdvice(Direct):
    """The belief of the advice without its rules: whatever is expected to gain goes out at once."""

    def changes(self, at_h: float, spread: tuple[int, ...]) -> Iterator[Swap]:
        """Make the changes that gain most by the mean of what is believed."""
        if at_h < 1.0 and not self.earlier.cells:
            return
        rates, held = self._rates(at_h), list(spread)
        for _ in range(asks(at_h)):
            gains = rates - rates[np.arange(len(held)), held][:, None]
            gains[:, held] = 0.0
            line, lure = (int(one) for one in np.unravel_index(int(gains.argmax()), gains.shape))
            if gains[line, lure] <= LEAST_GAIN:
                return
            old = self.sea.lures[held[line]].name
            new = self.sea.lures[lure].name
            self.swaps.append(LureChange(POSITIONS[line], new, old, self._time(at_h)))
            held[line] = lure
            yield Swap(line, lure)

    def _rates(self, at_h: float) -> Array:
        """Return strikes per hour of every lure on every line, as expected."""
        cells = self.cells_today()
        shown = Levels(frozenset(POSITIONS), frozenset(self.kinds))
        layout = layout_of(self.earlier.levels | Levels.of(cells) | shown)
        days = [(self._day + at_h / 24.0 - when, size) for when, size in self._prey]
        outlook = believe(cells, self.earlier, layout, USUAL_PER_H, prey_of(days))
        found: list[Any] = []
        for position in POSITIONS:
            rows = layout.laid_rows(self.kinds, position, FIRST_HOUR + int(at_h))
            rows = rows + layout.place_row(position, today=True)
            spread = np.einsum("ij,ij->i", rows @ outlook.gauss.cov, rows)
            found.append(np.exp(rows @ outlook.gauss.mean + 0.5 * spread))
        return np.array(found)


LEAST_GAIN: Final = 0.01
"""Strikes in an hour that a change must gain."""
