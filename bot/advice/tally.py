"""Strikes and lure-hours by size, by colour, by anything a cell knows. Pure sums."""

import math
from collections.abc import Callable, Hashable, Iterable
from dataclasses import dataclass
from typing import Final, TypeVar

from bot.advice.data import Exposure
from bot.advice.rates import Belief, Interval, garwood, rate_per_10h

Key = TypeVar("Key", bound=Hashable)
A_RAISE: Final = 0.5
"""What a fish that came up without biting counts for beside a strike."""
LEAST_AWAITED: Final = 1e-6


@dataclass(frozen=True, slots=True)
class StrikeTally:
    """Strikes, the lure-hours in which they came, and raises that came to nothing."""

    strikes: int = 0
    hours: float = 0.0
    raises: int = 0

    def __add__(self, other: "StrikeTally") -> "StrikeTally":
        return StrikeTally(
            self.strikes + other.strikes, self.hours + other.hours, self.raises + other.raises
        )

    @property
    def rate_per_10h(self) -> float | None:
        """Return strikes per ten lure-hours; None without hours."""
        return rate_per_10h(self.strikes, self.hours)

    @property
    def interval(self) -> Interval | None:
        """Return the exact 95 % interval of the rate per hour; None without hours."""
        return garwood(self.strikes, self.hours)

    def update(self, prior: Belief) -> Belief:
        """Return the belief after these strikes and hours."""
        return prior.after(self.strikes, self.hours)

    @property
    def words(self) -> str:
        """Return the numbers as said on deck, e.g. `3 strikes in 4.1 lure-hours`."""
        strikes = "1 strike" if self.strikes == 1 else f"{self.strikes} strikes"
        return f"{strikes}{self._raised} in {self.hours:.1f} lure-hours"

    @property
    def figures(self) -> str:
        """Return them once it is clear what is counted, e.g. `3 in 4.1`."""
        return f"{self.strikes}{self._raised} in {self.hours:.1f}"

    @property
    def _raised(self) -> str:
        if not self.raises:
            return ""
        return f" and {self.raises} raise{'s' * (self.raises != 1)}"


def by_position(cell: Exposure) -> tuple[str, ...]:
    """Return the position."""
    return (cell.position,)


def add_cells(cells: Iterable[Exposure]) -> StrikeTally:
    """Add all cells up."""
    total = StrikeTally()
    for cell in cells:
        total += StrikeTally(cell.strikes, cell.hours, cell.raises)
    return total


def seen_by(
    cells: Iterable[Exposure], keys: Callable[[Exposure], Iterable[Key]]
) -> dict[Key, StrikeTally]:
    """Add cells up by key: the sum of strikes over the sum of hours, never a mean of rates."""
    found: dict[Key, StrikeTally] = {}
    for cell in cells:
        for key in keys(cell):
            more = StrikeTally(cell.strikes, cell.hours, cell.raises)
            found[key] = found.get(key, StrikeTally()) + more
    return found


def deviance(mine: StrikeTally, theirs: StrikeTally) -> float:
    """Return how much two counts say that their rates differ: a deviance, above 0 where the first is higher.

    A raise counts as half a strike. McCullagh and Nelder, Generalized Linear Models, 2nd ed., section 2.3.
    """
    hours = mine.hours + theirs.hours
    one, other = (seen.strikes + A_RAISE * seen.raises for seen in (mine, theirs))
    if hours <= 0 or one + other <= 0:
        return 0.0
    awaited = (one + other) * mine.hours / hours
    parts = ((one, awaited), (other, one + other - awaited))
    off = 2.0 * sum(many * math.log(many / max(due, LEAST_AWAITED)) for many, due in parts if many)
    return off if one > awaited else -off
