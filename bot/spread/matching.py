"""Each slot its item, so that the sum of a table is least: the assignment problem, solved by `lap`.

A hundred times smaller to install than scipy, whose solver the tests compare it with.
"""

import lap
import numpy as np

from bot.spread.choice import Ints


def least(cost: Ints) -> tuple[Ints, Ints]:
    """Return rows and columns of a table, as many as its shorter side, whose cells sum to the least."""
    if 0 in cost.shape:
        return np.zeros(0, np.int64), np.zeros(0, np.int64)
    of_row, _ = lap.lapjv(cost.astype(np.float64), extend_cost=True, return_cost=False)
    rows = np.flatnonzero(of_row >= 0)
    return rows, of_row[rows].astype(np.int64)


def greatest(worth: Ints) -> tuple[Ints, Ints]:
    """Return rows and columns of a table, as many as its shorter side, whose cells sum to the most."""
    return least(-worth)
