"""Each slot its item, so that the sum of a table is least: the assignment problem, solved by `lap`.

A hundred times smaller to install than scipy, whose solver the tests compare it with.
"""

from typing import Final

import lap
import numpy as np

from bot.spread.choice import Ints

_MOST: Final = 1e5
"""Largest cost that is given to `lap`, which takes a million for infinity."""


def least(cost: Ints) -> tuple[Ints, Ints]:
    """Return rows and columns of a table, as many as its shorter side, whose cells sum to the least."""
    if 0 in cost.shape:
        return np.zeros(0, np.int64), np.zeros(0, np.int64)
    small = cost.astype(np.float64) - cost.min()
    if (most := small.max()) > _MOST:
        small = np.ldexp(small, -int(np.ceil(np.log2(most / _MOST))))  # by a power of two: exact
    of_row, _ = lap.lapjv(small, extend_cost=True, return_cost=False)
    rows = np.flatnonzero(of_row >= 0)
    return rows, of_row[rows].astype(np.int64)


def greatest(worth: Ints) -> tuple[Ints, Ints]:
    """Return rows and columns of a table, as many as its shorter side, whose cells sum to the most."""
    return least(-worth)
