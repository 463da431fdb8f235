"""The moon against Meeus' examples and dates of eclipses, which are new and full moons known to all."""

from datetime import UTC, datetime, timedelta

import pytest

from bot.sky.moon import moon


def at(*when: int) -> datetime:
    return datetime(*when, tzinfo=UTC)  # type: ignore[arg-type,misc]


def test_the_lit_share_is_that_of_the_book() -> None:
    # J. Meeus, Astronomical Algorithms, 2nd ed., example 48.a: 1992 April 12, 0 h TD (59 s earlier in UT),
    # k = 0.6786. astral's moon (Van Flandern and Pulkkinen's short series) is good to some arc minutes, which
    # changes k by about 0.001 at half moon.
    found = moon(at(1992, 4, 11, 23, 59, 1))

    assert found.lit == pytest.approx(0.6786, abs=0.002)
    assert found.waxing


@pytest.mark.parametrize(
    "new",
    [
        at(1977, 2, 18, 3, 36, 54),  # Meeus, example 49.a: 3:37:42 TD, 48 s earlier in UT
        at(2024, 4, 8, 18, 21),  # total eclipse of the sun
    ],
)
def test_at_new_moon_it_wanes_before_and_waxes_after(new: datetime) -> None:
    # The least lit moment may lie some minutes from new moon, which goes by longitude alone.
    assert moon(new).lit < 0.002
    assert not moon(new - timedelta(hours=7)).waxing
    assert moon(new + timedelta(hours=1)).waxing
    assert moon(new).name == "new moon"


@pytest.mark.parametrize("full", [at(2024, 1, 25, 17, 54), at(2025, 3, 14, 6, 55)])
def test_at_full_moon_it_is_lit(full: datetime) -> None:
    # The second is an eclipse of the moon; both times of the almanac, as ephem gives them.
    assert moon(full).lit > 0.998
    assert moon(full - timedelta(hours=7)).waxing
    assert not moon(full + timedelta(hours=1)).waxing
    assert moon(full).name == "full moon"


def test_half_is_lit_at_the_last_quarter() -> None:
    # Meeus, example 49.b: 2044 January 21, 23:48:17 TD.
    found = moon(at(2044, 1, 21, 23, 46, 42))

    assert found.lit == pytest.approx(0.5, abs=0.005)
    assert not found.waxing
    assert found.name == "waning"
