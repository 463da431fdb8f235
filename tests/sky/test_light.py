"""Light by the height of the sun, against published positions and the definitions of twilight."""

from datetime import UTC, datetime, timedelta, timezone

import pytest

from bot.sky.light import Sun, light_at, sun_at

GOLDEN_CO = (39.742476, -105.1786)
"""Where the worked example of the NREL report stands, at 1830 m."""


def test_the_sun_stands_where_the_worked_example_of_nrel_has_it() -> None:
    # I. Reda, A. Andreas, "Solar Position Algorithm for Solar Radiation Applications", NREL/TP-560-34302
    # (2008), table A5.1: 17 October 2003, 12:30:30 at UTC-7: topocentric zenith 50.11162° with refraction
    # of some 0.017°, azimuth 194.34024°
    at = datetime(2003, 10, 17, 12, 30, 30, tzinfo=timezone(timedelta(hours=-7)))

    sun = sun_at(*GOLDEN_CO, at)

    assert sun.elevation_deg == pytest.approx(90 - 50.11162, abs=0.03)
    assert sun.azimuth_deg == pytest.approx(194.34024, abs=0.05)
    assert not sun.rising


@pytest.mark.parametrize(
    ("elevation_deg", "rising", "setting"),
    [(-6.1, "dark", "dark"), (-5.9, "dawn", "dusk"), (-0.84, "dawn", "dusk"),
     (-0.82, "low sun", "low sun"), (9.9, "low sun", "low sun"), (10.1, "day", "day")],
)  # fmt: skip
def test_the_bounds_are_those_of_the_almanacs(
    elevation_deg: float, rising: str, setting: str
) -> None:
    # U.S. Naval Observatory, "Rise, Set, and Twilight Definitions": centre at -50', civil twilight at -6°
    assert Sun(elevation_deg, 90.0).light == rising
    assert Sun(elevation_deg, 270.0).light == setting


def test_at_the_equinox_on_the_equator_day_and_twilight_last_as_they_should() -> None:
    # The sun goes through the zenith there, 15° an hour: from 6° to 50' below the horizon it takes 20.7 min,
    # from there to 10° above 43.3 min, and from 10° over the zenith to 10° 640 min (geometry, by hand)
    start = datetime(2026, 3, 20, 0, 0, tzinfo=UTC)
    found: list[str] = [light_at(0.0, 0.0, start + timedelta(minutes=m)) for m in range(24 * 60)]

    assert list(dict.fromkeys(found)) == ["dark", "dawn", "low sun", "day", "dusk"]
    for key, minutes in (("dawn", 20.7), ("dusk", 20.7), ("low sun", 86.7), ("day", 640)):
        assert found.count(key) == pytest.approx(minutes, abs=1.5)


def test_under_the_midnight_sun_it_is_never_dark() -> None:
    # North Cape at the solstice: at midnight the sun stands at 71.17 + 23.44 - 90 = 4.61° (geometry)
    day = [datetime(2026, 6, 21, hour, tzinfo=UTC) for hour in range(24)]

    assert {light_at(71.17, 25.78, at) for at in day} == {"low sun", "day"}
    lowest = min(sun_at(71.17, 25.78, at).elevation_deg for at in day)
    assert lowest == pytest.approx(4.61, abs=0.3)
