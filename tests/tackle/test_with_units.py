"""Cells of a table of lures with their unit. Factors: the international yard and pound (1959)."""

import pytest

from bot.tackle import box
from bot.tackle.with_units import with_unit


@pytest.mark.parametrize(
    ("cell", "column", "value"),
    [
        ("400lb", "leader_kg", 181.44), ("300 LBS", "leader_kg", 136.08), ("180 kg", "leader_kg", 180),
        ("15 ft", "leader_m", 4.57), ("4,5", "leader_m", 4.5), ("8.5 in", "size_in", 8.5),
        ('14"', "size_in", 14),
        ("7.5", "size_in", 7.5), ("2 kg", "hooks", None), ("8 kg", "size_in", None), ("", "size_in", None),
        ("\u0667", "size_in", None),
    ],
)  # fmt: skip
def test_a_unit_in_a_cell_is_taken_into_that_of_its_column(
    cell: str, column: str, value: float | None
) -> None:
    assert with_unit(cell, column) == value


def test_an_inch_mark_in_a_cell_without_quotes_is_read_and_a_quote_that_stays_open_is_refused() -> (
    None
):
    file = box.parse(
        'name,size_in,colours,leader_kg\nBig,14",purple,400 lb\nSmall,8.5",pink,\n"Old, grey",9",red,\n'
        '"Open,9,red,\n'
    )

    assert [(lure.name, lure.size_in) for lure in file.lures] == [
        ("Big", 14.0), ("Small", 8.5), ("Old, grey", 9.0),
    ]  # fmt: skip
    assert [line for line, _ in file.refused] == [5]
