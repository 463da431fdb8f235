"""Items sorted by size as a chain, and the programmes over it.

A way through the slots takes items in falling order of size, so what can follow an item starts at one place
of the sorted list, and the best that can follow is a running maximum. All goals are in one number: cautions
weigh more than inversions, these more than different sizes, these more than points. Knows plain numbers only.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from bot.spread.choice import FORBIDDEN, Ints, Problem
from bot.spread.ways import Level, levels

CAUTION: Final = 10**11
INVERSION: Final = 10**9
NEW_SIZE: Final = 10**7
"""Worth of one caution less, one inversion less, one more size; points of a whole choice stay below."""
NEVER: Final = -(10**16)
_SLACK: Final = 1e-6

Step = tuple[int, int]
"""A step by its number within its level, and the item that is put there."""


@dataclass(frozen=True, slots=True)
class Links:
    """What may follow what along the chain, for one least gap between sizes."""

    ties: bool
    """True where sizes may repeat (no gap)."""
    follows: Ints
    """For each item the first one that is smaller by the gap; without a gap: smaller at all."""
    first: Ints
    """For each item the first one of its size."""
    alone: npt.NDArray[np.bool_]
    """True for an item that is the only one of its size."""
    new_size: int
    """Worth of a step to another size."""


class Chain:
    """The items in falling order of size, the ways through the slots, and the programmes over both."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.levels = levels(problem.cost)
        self.sizes = np.array(problem.sizes)
        allowed = problem.cost < FORBIDDEN
        self.burden = np.where(allowed, -CAUTION * problem.cost, NEVER)
        self.worth = np.where(allowed, problem.points + self.burden, NEVER)
        self.old = np.array(problem.old or (False,) * len(self.sizes))
        self.any_old = bool(self.old.any())
        self.budget = problem.most_old if problem.old else 0

    def links(self, gap: float) -> Links:
        """Return what may follow what with this gap."""
        falling = -self.sizes
        first = np.searchsorted(falling, falling, side="left")
        past = np.searchsorted(falling, falling, side="right")
        follows = (
            past if gap <= 0 else np.searchsorted(falling, falling + gap - _SLACK, side="left")
        )
        return Links(gap <= 0, follows, first, past - first == 1, NEW_SIZE if gap <= 0 else 0)

    def least_burden(self, gap: float) -> int | None:
        """Return the least cautions and inversions, weighed, exact for a gap above nought, else a bound."""
        links = self.links(gap)
        best = int(self.tables(self.burden, links, new_size=0)[0][:, :, -1].max(initial=NEVER))
        return None if best <= NEVER // 2 else -best

    def widest_gap(self, burden: int) -> float:
        """Return the greatest gap that costs no more; 0 where sizes must repeat."""
        gaps = self.gaps()
        low, high = -1, len(gaps)
        while high - low > 1:
            middle = (low + high) // 2
            needed = self.least_burden(gaps[middle])
            if needed is not None and needed <= burden:
                low = middle
            else:
                high = middle
        return gaps[low] if low >= 0 else 0.0

    def gaps(self) -> list[float]:
        """Return the least gaps above nought that a choice may have, rising."""
        between = len(self.levels) - 1
        if between < 1:
            return []
        sizes = np.unique(self.sizes)
        gaps = np.unique(np.round(np.subtract.outer(sizes, sizes), 9))
        fits = (gaps > 0) & (gaps * between <= sizes[-1] - sizes[0] + _SLACK)
        return [float(gap) for gap in gaps[fits]]

    def tables(self, worth: Ints, links: Links, new_size: int | None = None) -> list[Ints]:
        """Return for each level: step by item by old items left to the best from here to the end.

        Among items of one size the same one may be taken twice here: then it is a bound, no more.
        """
        fresh = links.new_size if new_size is None else new_size
        found: list[Ints] = []
        rest: Ints | None = None
        for level in reversed(self.levels):
            here = worth[:, level.slot].T[:, :, None] - (INVERSION * level.passed)[:, None, None]
            if rest is None:
                here = np.repeat(here, self.budget + 1, axis=2)
                here[:, self.old, 0] = NEVER
            else:
                ahead = rest[:, links.follows] + fresh
                if links.ties:
                    same = np.where(links.alone[None, :, None], NEVER, rest[:, links.first])
                    ahead = np.maximum(ahead, same)
                here = here + (_less_one(ahead, self.old) if self.any_old else ahead)[level.after]
            here = np.maximum(here, NEVER)
            found.append(here)
            rest = _from_each_item(np.maximum.reduceat(here, level.first, axis=0))
        return found[::-1]

    def trace(
        self, tables: Sequence[Ints], links: Links, *, once: bool = False
    ) -> tuple[Step, ...]:
        """Return the best steps by the tables, or none where they lead nowhere.

        They may take one of several items of a size twice, unless each is to be taken `once`; then they are
        a choice, though seldom the best.
        """
        state, left, last = 0, self.budget, -1
        steps: list[Step] = []
        for level, table in zip(self.levels, tables, strict=True):
            open_steps = _steps_from(level, state)
            part = table[open_steps, :, left]
            if once and steps:
                part = part.copy()
                part[:, [item for _, item in steps]] = NEVER
            start = 0 if last < 0 else int(links.follows[last])
            step, item = _best(part, start, last, links)
            if part[step, item] <= NEVER // 2:
                return ()
            steps.append((open_steps.start + step, item))
            state, left = int(level.after[open_steps.start + step]), left - int(self.old[item])
            last = item
        return tuple(steps)

    def by_slot(self, steps: Sequence[Step]) -> tuple[int, ...]:
        """Return the items in the order of the slots."""
        placed = {
            int(level.slot[step]): item
            for level, (step, item) in zip(self.levels, steps, strict=True)
        }
        return tuple(placed[slot] for slot in range(len(placed)))


def _steps_from(level: Level, state: int) -> slice:
    end = level.first[state + 1] if state + 1 < len(level.first) else len(level.slot)
    return slice(int(level.first[state]), int(end))


def _best(part: Ints, start: int, last: int, links: Links) -> Step:
    """Return the best step and item that may follow, counting what another size is worth."""
    best, most = (0, max(last, 0)), NEVER * 2
    if start < part.shape[1]:
        step, item = divmod(int(part[:, start:].argmax()), part.shape[1] - start)
        best, most = (step, start + item), int(part[step, start + item]) + links.new_size
    if links.ties and last >= 0 and not links.alone[last]:
        first = int(links.first[last])
        step, item = divmod(int(part[:, first:start].argmax()), start - first)
        if int(part[step, first + item]) > most:
            best = (step, first + item)
    return best


def _from_each_item(best: Ints) -> Ints:
    """Return for each state and item the greatest from that item to the last, and a row of never after it."""
    rest = np.maximum.accumulate(best[:, ::-1], axis=1)[:, ::-1]
    never = np.full((best.shape[0], 1, best.shape[2]), NEVER, dtype=np.int64)
    return np.concatenate((rest, never), axis=1)


def _less_one(ahead: Ints, old: npt.NDArray[np.bool_]) -> Ints:
    """Return what can follow when an old item leaves one fewer of them for the rest."""
    never = np.full((*ahead.shape[:2], 1), NEVER, dtype=np.int64)
    return np.where(old[None, :, None], np.concatenate((never, ahead[:, :, :-1]), axis=2), ahead)
