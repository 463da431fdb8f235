"""Items sorted by size as a chain along an order of the slots, and the programmes over it.

Sizes never rise along the chain, so what can follow an item starts at one place of the sorted list, and
the best that can follow is a running maximum. Knows the plain numbers of `choice` only.
"""

from collections.abc import Sequence
from typing import Final

import numpy as np
import numpy.typing as npt

from bot.spread.choice import FORBIDDEN, Ints, Problem

CAUTION: Final = 10**12
NEW_SIZE: Final = 10**9
"""Worth of one caution less and of one more size; points of a whole choice stay below."""
NEVER: Final = -(10**16)
_SLACK: Final = 1e-6


class Chain:
    """The items along one order of the slots, and the programmes over them."""

    def __init__(self, problem: Problem, order: Sequence[int]) -> None:
        self.problem = problem
        self.order = tuple(order)
        self.sizes = np.array(problem.sizes)
        self.falling = -self.sizes
        self.cost = problem.cost[:, order]
        self.worth = np.where(
            self.cost < FORBIDDEN, problem.points[:, order] - CAUTION * self.cost, NEVER
        )
        self.old = np.array(problem.old or (False,) * len(self.sizes))
        self.budget = problem.most_old if problem.old else 0

    def least_cautions(self, gap: float) -> int | None:
        """Give the fewest cautions with this gap, exact for a gap above nought, else at most too few."""
        worth = np.where(self.cost < FORBIDDEN, -CAUTION * self.cost, NEVER)
        best = self.tables(worth, gap, new_size=0)[0][:, -1].max(initial=NEVER)
        return None if best <= NEVER // 2 else int(-best // CAUTION)

    def widest_gap(self, cautions: int) -> float:
        """Give the greatest gap that needs no more cautions; 0 where sizes must repeat."""
        if len(self.order) < 2:
            return 0.0
        sizes = np.unique(self.sizes)
        gaps = np.unique(np.round(np.subtract.outer(sizes, sizes), 9))
        gaps = gaps[gaps > 0]
        low, high = -1, len(gaps)
        while high - low > 1:
            middle = (low + high) // 2
            needed = self.least_cautions(float(gaps[middle]))
            if needed is not None and needed <= cautions:
                low = middle
            else:
                high = middle
        return float(gaps[low]) if low >= 0 else 0.0

    def next_from(self, gap: float) -> Ints:
        """Give for each item the first one that is smaller by the gap (for no gap: smaller at all)."""
        if gap <= 0:
            return np.searchsorted(self.falling, self.falling, side="right")
        return np.searchsorted(self.falling, self.falling + gap - _SLACK, side="left")

    def tables(self, worth: Ints, gap: float, new_size: int) -> list[Ints]:
        """Give for each place in the order: item by old items left to the best that can follow from it.

        Among items of one size the same one may be taken twice here: then it is a bound, no more.
        """
        places = worth.shape[1]
        follows = self.next_from(gap)
        first = np.searchsorted(self.falling, self.falling, side="left")
        alone = self.next_from(0.0) - first == 1
        table: list[Ints] = []
        after: Ints | None = None
        for place in reversed(range(places)):
            here = np.repeat(worth[:, place, None], self.budget + 1, axis=1)
            if after is not None:
                rest = _suffix_max(after)
                ahead = rest[follows] + new_size
                if gap <= 0:
                    same = np.where(alone[:, None], NEVER, rest[first])
                    ahead = np.maximum(ahead, same)
                here = here + (_less_one(ahead, self.old) if self.old.any() else ahead)
            elif self.old.any():
                here[self.old, 0] = NEVER
            after = np.maximum(here, NEVER)
            table.append(after)
        return table[::-1]


def _suffix_max(after: Ints) -> Ints:
    """Give the greatest from each row to the last, and a row of never after it."""
    rest = np.maximum.accumulate(after[::-1], axis=0)[::-1]
    return np.vstack((rest, np.full((1, after.shape[1]), NEVER, dtype=np.int64)))


def _less_one(ahead: Ints, old: npt.NDArray[np.bool_]) -> Ints:
    """Give what can follow when an old item leaves one fewer of them for the rest."""
    shifted = np.hstack((np.full((len(ahead), 1), NEVER, dtype=np.int64), ahead[:, :-1]))
    return np.where(old[:, None], shifted, ahead)
