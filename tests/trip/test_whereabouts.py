"""Cells of the sea, and where the boat was between fixes."""

from datetime import timedelta
from itertools import pairwise

import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given, strategies as st

from bot.trip.conditions import UNKNOWN, steps
from bot.trip.whereabouts import PlaceFix, cell_of, entered_cells, middle_of, place_at
from tests.builders import at

places = st.tuples(st.floats(-75, 75), st.floats(-180, 180, exclude_max=True))


@given(places)
def test_a_cell_is_named_by_its_middle_and_about_five_miles_wide(
    place: tuple[float, float],
) -> None:
    middle = middle_of(cell_of(place))

    assert cell_of(middle) == cell_of(place)
    # half a diagonal of 5 nm by 5 nm is 3.54 nm, and the name is rounded by 0.3 nm each way
    away_m = Geodesic.WGS84.Inverse(*place, *middle)["s12"]
    assert away_m / 1852 < 3.54 + 0.43


near = st.tuples(st.floats(-0.1, 0.1), st.floats(-0.1, 0.1))


@given(places, st.lists(st.tuples(st.integers(0, 600), near), min_size=1, max_size=8))
def test_at_any_minute_the_steps_tell_the_cell_where_the_boat_was(
    around: tuple[float, float],
    said: list[tuple[int, tuple[float, float]]],
) -> None:
    fixes = [
        PlaceFix(at("06:00") + timedelta(minutes=m), around[0] + north, around[1] + east)
        for m, (north, east) in sorted(said)
    ]
    passed = list(entered_cells(fixes))
    found = steps(passed)

    assert all(one[0] <= two[0] for one, two in pairwise(passed))
    for minute in range(-30, 640, 7):
        when = at("06:00") + timedelta(minutes=minute, seconds=1)
        place, cell = place_at(fixes, when), found.at(when)
        assert (place is None) == (cell == UNKNOWN)
        if place is not None:
            then = {found.at(when + timedelta(seconds=s)) for s in range(-3, 4)}
            assert cell_of(place) in then


def test_the_hours_on_a_straight_way_are_shared_out_by_its_length() -> None:
    # due north along 10° W from 30° N by a quarter of a degree in 30 min: 15 nm, three cells of 5 nm
    fixes = (PlaceFix(at("08:00"), 30.0, -10.01), PlaceFix(at("08:30"), 30.25, -10.01))
    found = list(steps(entered_cells(fixes)).between(at("08:00"), at("08:30")))

    assert [(end - start) / timedelta(minutes=1) for _, start, end in found] == [10, 10, 10]
    assert [key.split()[0] for key, _, _ in found] == ["30.04N", "30.12N", "30.21N"]


def test_across_the_date_line_the_boat_takes_the_short_way() -> None:
    fixes = (PlaceFix(at("08:00"), 0.01, 179.99), PlaceFix(at("08:10"), 0.01, -179.99))

    assert place_at(fixes, at("08:05")) == pytest.approx((0.01, -180.0))
    assert len({key for _, key in entered_cells(fixes) if key}) == 2


def test_a_fix_alone_holds_a_quarter_of_an_hour() -> None:
    fixes = (PlaceFix(at("08:00"), 10.0, 20.0), PlaceFix(at("10:00"), 11.0, 20.0))
    here, there = cell_of((10.0, 20.0)), cell_of((11.0, 20.0))
    found = list(steps(entered_cells(fixes)).between(at("07:00"), at("11:00")))

    assert [key for key, _, _ in found] == [UNKNOWN, here, UNKNOWN, there, UNKNOWN]
    assert found[1][1:] == (at("07:45"), at("08:15"))
    assert place_at(fixes, at("09:00")) is None
    assert place_at(fixes, at("09:00"), near=False) == pytest.approx((10.5, 20.0))
