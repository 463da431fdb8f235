"""Trays as values and as a file."""

import pytest
from hypothesis import given, strategies as st

from bot.tackle.items import STANDARD_POSITIONS, Lure
from bot.tackle.trays import (
    TEMPLATE,
    Tray,
    TrayLure,
    format,
    lure_in_tray,
    named_tray,
    parse,
    tray_key,
)

BOX = tuple(
    Lure(name, 8, ("purple",))
    for name in ("Paper Lantern", "Wet Slate", "Rain Gutter", "Soap Dish", "=Trick")
)


def test_the_example_is_read_without_a_word() -> None:
    read = parse(TEMPLATE, BOX, STANDARD_POSITIONS)

    assert read.refused == ()
    heavy, slow = read.trays
    assert (heavy.name, heavy.tackle, heavy.speed_kn) == ("heavy", "heavy", 8.0)
    assert [one.position for one in heavy.runners] == ["short corner", "long corner"]
    assert [one.lure for one in heavy.spares] == ["Rain Gutter"]
    assert (slow.tackle, slow.speed_kn) == (24.0, 5.5)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("heavy,Wet Stone,,,,", "not in the box"),
        ("heavy,Wet Slate,bow,,,", "position 'bow' is not known"),
        ("heavy,Wet Slate,,perhaps,,", "spare 'perhaps' is not known"),
        ("heavy,Wet Slate,,,ropes,", "tackle 'ropes' is not known"),
        ("heavy,Wet Slate,,,,fast", "speed_kn 'fast' is no speed"),
        (",Wet Slate,,,,", "tray is empty or no name"),
        ("heavy,Paper Lantern,,,,", "is in the heavy tray already"),
        ("heavy,Wet Slate,short corner,,,", "has a lure for the short corner already"),
    ],
)
def test_a_bad_line_is_refused_by_its_number_with_what_to_do(line: str, said: str) -> None:
    first = "tray,lure,position,spare,tackle,speed_kn\nheavy,Paper Lantern,short corner,,,\n"

    ((number, why),) = parse(f"{first}{line}\n", BOX, STANDARD_POSITIONS).refused

    assert number == 3
    assert said in why


@pytest.mark.parametrize(
    "data", ["", "lure\nWet Slate\n", "tray,lure,weight\n", b"\xff\xfe\x00", "tray,lure\n"]
)
def test_a_file_that_is_none_is_refused_in_one_line(data: str | bytes) -> None:
    read = parse(data, BOX, STANDARD_POSITIONS)

    assert read.trays == ()
    assert len(read.refused) == 1


@pytest.mark.parametrize(
    ("one", "other"),
    [("two", "2"), ("Tray Two", "two"), ("the Heavy tray", "heavy"), ("tray number 3", "three")],
)
def test_a_tray_is_found_however_its_name_is_said(one: str, other: str) -> None:
    tray = Tray(one.casefold(), (TrayLure("Wet Slate"),))

    assert tray_key(one) == tray_key(other)
    assert named_tray([tray], other) is tray
    assert named_tray([tray], "") is None


@given(st.permutations(BOX), st.integers(0, 5), st.booleans())
def test_what_is_written_is_read_back_the_same(
    lures: list[Lure], runners: int, heavy: bool
) -> None:
    laid = [lure_in_tray(x, p) for x, p in zip(lures[:runners], STANDARD_POSITIONS, strict=False)]
    spares = [lure_in_tray(x, spare=True) for x in lures[runners:]]
    tray = Tray("one", (*laid, *spares), "heavy" if heavy else 15.0, 5.5)

    assert parse(format([tray]), BOX, STANDARD_POSITIONS).trays == (tray,)
