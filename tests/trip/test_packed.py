import numpy as np
import pytest
from hypothesis import given, strategies as st

from bot.trip.packed import PackedTable, pack

NUMBER = st.one_of(
    st.integers(-1, 60), st.sampled_from([-129, -128, 127, 128, -32769, -32768, 32767, 32768]),
    st.integers(-(2**31), 2**31 - 1),
)  # fmt: skip


@given(st.lists(st.tuples(NUMBER, NUMBER, NUMBER), max_size=40))
def test_every_number_comes_back_column_by_column(rows: list[tuple[int, int, int]]) -> None:
    table = pack(rows, 3)

    read = PackedTable(table.data, 3)
    assert len(read) == len(rows)
    for place in range(3):
        assert read.column(place).tolist() == [row[place] for row in rows]


def test_small_numbers_take_a_byte_and_large_ones_what_they_need() -> None:
    rows = [(1, 300, 70_000)] * 10

    assert len(pack(rows, 3).data) == 3 + 10 * (1 + 2 + 4)


def test_a_table_may_have_no_rows_or_no_bytes_at_all() -> None:
    assert len(pack([], 4)) == len(PackedTable(b"", 4)) == 0
    assert pack([], 4).column(3).tolist() == []


def test_a_number_of_more_than_32_bits_is_refused() -> None:
    with pytest.raises(OverflowError, match="32 bits"):
        pack([(2**31,)], 1)


def test_a_column_is_in_the_byte_order_that_is_kept_whatever_the_machine() -> None:
    assert pack([(258,)], 1).data == b"\x02\x02\x01"
    assert pack([(258,)], 1).column(0).dtype == np.dtype("<i2")
