"""The assignment of lap against that of scipy, other code for the same problem."""

import numpy as np
import pytest
from hypothesis import given, strategies as st
from scipy.optimize import linear_sum_assignment

from bot.spread.matching import greatest, least

COSTS = st.sampled_from([0, 1, 2, 3, 7, 400, 1_000_000])


@given(st.data(), st.integers(0, 7), st.integers(0, 30))
def test_the_sum_is_that_of_scipy(data: st.DataObject, slots: int, items: int) -> None:
    cells = data.draw(st.lists(COSTS, min_size=slots * items, max_size=slots * items))
    for table in (np.array(cells).reshape(slots, items), np.array(cells).reshape(items, slots)):
        table = table.astype(np.int64)
        for found, maximize in ((least(table), False), (greatest(table), True)):
            rows, columns = found
            best = table[linear_sum_assignment(table, maximize)].sum()

            assert len(rows) == len(set(rows)) == len(set(columns)) == min(table.shape)
            assert table[rows, columns].sum() == best


def test_costs_of_a_million_are_no_infinity() -> None:
    worth = np.array([1_000_000, 0, 0, 0, 0, 0, 1_000_000, 0, 1, 1_000_000, 0, 0, 1_000_000, 0, 0])
    table = worth.reshape(3, 5)

    assert table[greatest(table)].sum() == table[linear_sum_assignment(table, maximize=True)].sum()


@pytest.mark.parametrize(
    ("table", "total"),
    [
        ([[4, 1, 3], [2, 0, 5], [3, 2, 2]], 5),  # the example of scipy's own documentation
        ([[400, 150, 400], [400, 450, 600], [300, 225, 300]], 850),  # scipy's tests (from memory)
    ],
)
def test_published_examples(table: list[list[int]], total: int) -> None:
    found = np.array(table, dtype=np.int64)

    assert found[least(found)].sum() == total
