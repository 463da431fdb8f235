"""Items sorted by size as a chain along an order of the slots, and the programmes over it.

Sizes never rise along the chain, so what can follow an item starts at one place of the sorted list, and
the best that can follow is a running maximum. Knows the plain numbers of `choice` only.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
import numpy.typing as npt

from bot.spread.choice import FORBIDDEN, Ints, Problem

CAUTION: Final = 10**12
NEW_SIZE: Final = 10**9
"""Worth of one caution less and of one more size; points of a whole choice stay below."""
NEVER: Final = -(10**16)
_SLACK: Final = 1e-6


@dataclass(frozen=True, slots=True)
class Links:
    """What may follow what along a chain, for one least gap between sizes."""

    ties: bool
    """True where sizes may repeat (no gap)."""
    follows: Ints
    """For each item the first one that is smaller by the gap; without a gap: smaller at all."""
    first: Ints
    """For each item the first one of its size."""
    alone: Ints
    """1 for an item that is the only one of its size."""
    new_size: int
    """Worth of a step to another size."""


class Chain:
    """The items along one order of the slots, and the programmes over them."""

    def __init__(self, problem: Problem, order: Sequence[int]) -> None:
        self.problem = problem
        self.order = tuple(order)
        self.sizes = np.array(problem.sizes)
        self.cost = problem.cost[:, order]
        self.worth = np.where(
            self.cost < FORBIDDEN, problem.points[:, order] - CAUTION * self.cost, NEVER
        )
        self.old = np.array(problem.old or (False,) * len(self.sizes))
        self.any_old = bool(self.old.any())
        self.budget = problem.most_old if problem.old else 0

    def links(self, gap: float) -> Links:
        """Give what may follow what with this gap."""
        falling = -self.sizes
        first = np.searchsorted(falling, falling, side="left")
        past = np.searchsorted(falling, falling, side="right")
        follows = (
            past if gap <= 0 else np.searchsorted(falling, falling + gap - _SLACK, side="left")
        )
        return Links(gap <= 0, follows, first, (past - first == 1) * 1, NEW_SIZE if gap <= 0 else 0)

    def least_cautions(self, gap: float) -> int | None:
        """Give the fewest cautions with this gap, exact for a gap above nought, else at most too few."""
        worth = np.where(self.cost < FORBIDDEN, -CAUTION * self.cost, NEVER)
        links = replace(self.links(gap), new_size=0)
        best = self.tables(worth, links)[0][:, -1].max(initial=NEVER)
        return None if best <= NEVER // 2 else int(-best // CAUTION)

    def widest_gap(self, cautions: int) -> float:
        """Give the greatest gap that needs no more cautions; 0 where sizes must repeat."""
        if len(self.order) < 2:
            return 0.0
        sizes = np.unique(self.sizes)
        gaps = np.unique(np.round(np.subtract.outer(sizes, sizes), 9))
        gaps = gaps[(gaps > 0) & (gaps * (len(self.order) - 1) <= sizes[-1] - sizes[0] + _SLACK)]
        low, high = -1, len(gaps)
        while high - low > 1:
            middle = (low + high) // 2
            needed = self.least_cautions(float(gaps[middle]))
            if needed is not None and needed <= cautions:
                low = middle
            else:
                high = middle
        return float(gaps[low]) if low >= 0 else 0.0

    def tables(self, worth: Ints, links: Links) -> list[Ints]:
        """Give for each place in the order: item by old items left to the best that can follow from it.

        Among items of one size the same one may be taken twice here: then it is a bound, no more.
        """
        table: list[Ints] = []
        after: Ints | None = None
        for place in reversed(range(worth.shape[1])):
            here = np.repeat(worth[:, place, None], self.budget + 1, axis=1)
            if after is not None:
                rest = _suffix_max(after)
                ahead = rest[links.follows] + links.new_size
                if links.ties:
                    same = np.where(links.alone[:, None] == 1, NEVER, rest[links.first])
                    ahead = np.maximum(ahead, same)
                here = here + (_less_one(ahead, self.old) if self.any_old else ahead)
            elif self.any_old:
                here[self.old, 0] = NEVER
            after = np.maximum(here, NEVER)
            table.append(after)
        return table[::-1]

    def trace(self, tables: Sequence[Ints], links: Links) -> tuple[int, ...] | None:
        """Give the path of the best entry of the tables; it may take one of several of a size twice."""
        left, start = self.budget, 0
        path: list[int] = []
        for table in tables:
            column = table[:, left]
            if not path:
                item = int(column.argmax())
            else:
                item = _best_after(column, path[-1], start, links)
            if column[item] <= NEVER // 2:
                return None
            path.append(item)
            left, start = left - int(self.old[item]), int(links.follows[item])
        return tuple(path)


def _best_after(column: Ints, last: int, start: int, links: Links) -> int:
    """Give the best item that may follow, counting what a step to another size is worth."""
    best, most = last, NEVER * 2
    if start < len(column):
        best = start + int(column[start:].argmax())
        most = int(column[best]) + links.new_size
    if links.ties and not links.alone[last]:
        group = int(links.first[last])
        same = group + int(column[group:start].argmax())
        if int(column[same]) > most:
            best = same
    elif most == NEVER * 2:
        raise AssertionError("a path of the tables has an item after this one")
    return best


def _suffix_max(after: Ints) -> Ints:
    """Give the greatest from each row to the last, and a row of never after it."""
    rest = np.maximum.accumulate(after[::-1], axis=0)[::-1]
    return np.vstack((rest, np.full((1, after.shape[1]), NEVER, dtype=np.int64)))


def _less_one(ahead: Ints, old: npt.NDArray[np.bool_]) -> Ints:
    """Give what can follow when an old item leaves one fewer of them for the rest."""
    shifted = np.hstack((np.full((len(ahead), 1), NEVER, dtype=np.int64), ahead[:, :-1]))
    return np.where(old[:, None], shifted, ahead)
