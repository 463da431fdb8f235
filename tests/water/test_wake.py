"""Outside sources: NIST Digital Library of Mathematical Functions, section 36.13 (Kelvin's ship waves,
half-angle 19.47122 degrees); W. Thomson, "On ship waves", 1887 (wave length from speed); BIPM, SI
Brochure (the knot). Wave lengths in metres at whole knots were computed from the published formula apart
from this code, with g = 9.80665."""

from math import radians, sqrt, tan

import pint
import pytest
from hypothesis import given, strategies as st

from bot.water import sea, wake

LENGTHS_M = {4: 2.713, 5: 4.239, 6: 6.104, 7: 8.309, 8: 10.852, 9: 13.735, 10: 16.956, 12: 24.417}
SPEEDS = st.floats(3, 15)
WAVES = st.integers(1, 9)


def test_the_wedge_widens_as_the_half_angle_of_the_handbook_says() -> None:
    assert wake.wedge_half_width_m(1) == pytest.approx(
        tan(radians(19.47122)), abs=1e-6
    )  # DLMF 36.13.5


@pytest.mark.parametrize("speed_kn", LENGTHS_M)
def test_waves_are_as_long_as_kelvin_says(speed_kn: int) -> None:
    assert wake.wave_length_m(speed_kn) == pytest.approx(LENGTHS_M[speed_kn], abs=6e-4)


def test_the_knot_and_standard_gravity_are_those_of_a_units_library() -> None:
    units: pint.UnitRegistry[float] = pint.UnitRegistry()

    assert pytest.approx(units.Quantity(1, "knot").to("m/s").magnitude, rel=1e-12) == sea.KNOT_MS
    assert units.Quantity(1, "g_0").to("m/s^2").magnitude == sea.GRAVITY_MS2


def test_twice_the_speed_makes_waves_four_times_as_long() -> None:
    assert wake.wave_length_m(8) / wake.wave_length_m(4) == pytest.approx(4, rel=1e-12)


def test_naval_architects_know_the_same_wave() -> None:
    # the rule "speed in knots = 1.34 times the root of the wave length in feet" (from memory)
    assert 1.34 * sqrt(wake.wave_length_m(8) / 0.3048) == pytest.approx(8, rel=2e-3)


@pytest.mark.parametrize(("speed_kn", "back_m"), [(7, 22.85), (8, 29.84), (9, 37.77)])
def test_the_face_of_the_third_wave_where_the_first_full_wave_is_one(
    speed_kn: float, back_m: float
) -> None:
    assert wake.face_m(3, speed_kn) == pytest.approx(back_m, abs=0.01)


@pytest.mark.parametrize(("speed_kn", "back_m"), [(7, 14.54), (8, 18.99)])
def test_the_face_of_the_third_wave_where_the_crest_at_the_transom_is_one(
    speed_kn: float, back_m: float
) -> None:
    assert wake.face_m(3, speed_kn, wake.WaveCount(skipped=0)) == pytest.approx(back_m, abs=0.01)


def test_the_face_is_a_quarter_of_a_wave_nearer_than_the_crest() -> None:
    gap_m = wake.crest_m(3, 8) - wake.face_m(3, 8)

    assert gap_m == pytest.approx(wake.wave_length_m(8) / 4)


def test_a_lure_left_at_its_length_falls_off_its_wave_when_the_boat_speeds_up() -> None:
    # from 7 to 8 knots: 22.85 m is 2.11 wave lengths, and the third face is 6.99 m further back
    back_m = wake.face_m(3, 7)

    assert back_m / wake.wave_length_m(8) == pytest.approx(2.11, abs=0.005)
    assert wake.wave_at(back_m, 8) == pytest.approx(2.355, abs=0.005)


@given(SPEEDS, WAVES, st.floats(5, 120))
def test_what_the_crew_gave_is_what_comes_back(speed_kn: float, wave: int, back_m: float) -> None:
    count = wake.crew_count(back_m, wave, speed_kn)

    assert wake.face_m(wave, speed_kn, count) == pytest.approx(back_m)
    assert wake.wave_at(back_m, speed_kn, count) == pytest.approx(wave)
    assert abs(count.shift_m) <= wake.wave_length_m(speed_kn) / 2 + 1e-9


@given(SPEEDS, SPEEDS, WAVES)
def test_a_crew_that_counts_the_crest_at_the_transom_does_so_at_every_speed(
    told_kn: float, now_kn: float, wave: int
) -> None:
    transom = wake.WaveCount(skipped=0)
    count = wake.crew_count(wake.face_m(3, told_kn, transom), 3, told_kn)

    assert wake.face_m(wave, now_kn, count) == pytest.approx(
        wake.face_m(wave, now_kn, transom), abs=1e-6
    )


def test_without_speed_there_is_no_wave_to_count() -> None:
    with pytest.raises(ValueError, match="no wave"):
        wake.crew_count(14, 2, 0)
    with pytest.raises(ValueError, match="no wave"):
        wake.wave_at(14, 0)
