"""What the search for a spread is given and what it gives, on plain numbers.

Knows no lures and no positions: items stand for lures, slots for positions. See `search`.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Final

import numpy as np
import numpy.typing as npt

FORBIDDEN: Final = 1000
"""A cost from here on: the item does not go in that slot."""
Ints = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Problem:
    """Items in falling order of size, slots in their order."""

    sizes: tuple[float, ...]
    cost: Ints
    """Cautions of item (row) in slot (column); `FORBIDDEN` where it cannot go."""
    points: Ints
    """What an item in a slot gives by itself, from 0."""
    colour: tuple[int, ...]
    """Kind of colour of every item, from 0."""
    head: tuple[int, ...]
    """Kind of head of every item, from 0; below 0 counts for nothing."""
    tone: tuple[int, ...]
    """-1 dark, 0 between, 1 light."""
    colour_points: int = 0
    head_points: int = 0
    tone_points: int = 0
    """Points for every item that is not one too many on the dark or the light side."""
    old: tuple[bool, ...] = ()
    """Items of which at most `most_old` may be chosen; empty for none."""
    most_old: int = 0
    before: tuple[tuple[bool, ...], ...] = ()
    """Further sets of items, of each of which at most `most_shared` may be chosen."""
    most_shared: int = 0
    must: tuple[tuple[int, int], ...] = ()
    """Items that are to be chosen, each with its slot; below 0 for any slot."""
    least_different: int = 0
    """Different sizes that the choice has at least."""


@dataclass(frozen=True, slots=True)
class Choice:
    """The best choice and how far it meets each goal."""

    items: tuple[int, ...]
    """Item for every slot."""
    cautions: int
    inversions: int
    gap: float
    different: int
    points: int
    proven: bool = True
    """False where the search was broken off: then a better one may be left."""

    @property
    def rank(self) -> tuple[int, int, float, int, int]:
        """Return the goals met, so that the greater is the better."""
        return (-self.cautions, -self.inversions, self.gap, self.different, self.points)


def measure_choice(problem: Problem, items: Sequence[int], *, proven: bool = True) -> Choice:
    """Return how far a choice, an item for every slot, meets each goal."""
    sizes = [problem.sizes[item] for item in items]
    dark_light = sum(problem.tone[item] for item in items)
    heads = {problem.head[item] for item in items if problem.head[item] >= 0}
    points = int(sum(problem.points[item, slot] for slot, item in enumerate(items)))
    points += problem.colour_points * len({problem.colour[item] for item in items})
    points += problem.head_points * len(heads)
    points += problem.tone_points * (len(items) - abs(dark_light))
    return Choice(
        tuple(items),
        cautions=int(sum(problem.cost[item, slot] for slot, item in enumerate(items))),
        inversions=sum(near < far for near, far in combinations(sizes, 2)),
        gap=min((abs(a - b) for a, b in combinations(sizes, 2)), default=0.0),
        different=len(set(sizes)),
        points=points,
        proven=proven,
    )
