"""Distance and bearing against published lines."""

import pytest

from bot.water.bearing import METRES_A_NM, leg


def dms(degrees: int, minutes: int, seconds: float) -> float:
    return (abs(degrees) + minutes / 60 + seconds / 3600) * (-1 if degrees < 0 else 1)


def test_flinders_peak_to_buninyong() -> None:
    # Published by Geoscience Australia for Vincenty's formulae: 54972.271 m, 306-52-05.37. It is on
    # GRS 80, whose flattening differs from that of WGS 84 by 1e-10 relative: below 1 mm on this line.
    flinders = (dms(-37, 57, 3.72030), dms(144, 25, 29.52440))
    buninyong = (dms(-37, 39, 10.15610), dms(143, 55, 35.38390))

    way, back = leg(flinders, buninyong), leg(buninyong, flinders)

    assert way.distance_nm * METRES_A_NM == pytest.approx(54972.271, abs=0.001)
    assert way.bearing_deg == pytest.approx(dms(306, 52, 5.37), abs=0.01 / 3600)
    assert back.bearing_deg == pytest.approx(dms(127, 10, 25.07), abs=0.01 / 3600)


def test_to_the_other_side_of_the_earth() -> None:
    # Published example of the GeographicLib documentation (WGS 84): 19959679.267 m.
    found = leg((-41.32, 174.81), (40.96, -5.50))

    assert found.distance_nm * METRES_A_NM == pytest.approx(19959679.267, abs=0.001)


def test_one_minute_of_latitude_and_the_date_line() -> None:
    # 1842.90 m at the equator, 1861.57 m at the pole: the meridian of WGS 84 (recomputed with pyproj).
    equator = leg((-1 / 120, 179.0), (1 / 120, 179.0))
    across = leg((0.0, 179.99), (0.0, -179.99))

    assert equator.distance_nm * METRES_A_NM == pytest.approx(1842.90, abs=0.01)
    assert equator.bearing_deg == 0.0
    assert across.bearing_deg == pytest.approx(90.0)
    assert across.distance_nm == pytest.approx(1.2 * 1855.32 / 1852, rel=1e-4)


def test_no_way_at_all_has_no_bearing() -> None:
    assert (leg((-36.5, 175.0), (-36.5, 175.0)).distance_nm) == 0.0
