"""Sun times against a published worked example and a bound that every textbook gives."""

from datetime import UTC, date, datetime, timedelta, timezone

import pytest

from bot.sky.sun import sun_times

MOUNTAIN = timezone(timedelta(hours=-7))


def test_the_worked_example_of_the_solar_position_algorithm_comes_out() -> None:
    # NREL/TP-560-34302 (rev. 2008), worked example: 39.742476 N 105.1786 W, 17 October 2003, sunrise
    # 06:12:43 local standard time. Its sunset belongs to the evening before by local time; for the
    # local evening of the 17th ephem gives 17:18:51. Tolerance 60 s (reference.md).
    times = sun_times(39.742476, -105.1786, date(2003, 10, 17), MOUNTAIN)

    assert times.sunrise is not None
    assert times.sunset is not None
    sunrise = datetime(2003, 10, 17, 6, 12, 43, tzinfo=MOUNTAIN)
    sunset = datetime(2003, 10, 17, 17, 18, 51, tzinfo=MOUNTAIN)
    assert abs(times.sunrise - sunrise) < timedelta(seconds=60)
    assert abs(times.sunset - sunset) < timedelta(seconds=60)


@pytest.mark.parametrize("latitude", [-45.0, -36.8, 0.0, 20.0, 50.0])
def test_day_and_night_are_nearly_alike_at_the_equinox(latitude: float) -> None:
    # At the equinox the day is longer than twelve hours only by refraction and the sun's radius
    # (from memory: 50' of arc before and after, some 7 min at the equator, 10 min at 50 degrees).
    times = sun_times(latitude, 0.0, date(2026, 3, 20))

    assert times.sunrise is not None
    assert times.sunset is not None
    longer = times.sunset - times.sunrise - timedelta(hours=12)
    assert timedelta(minutes=4) < longer < timedelta(minutes=13)


def test_first_light_comes_before_sunrise_and_last_light_after_sunset() -> None:
    times = sun_times(-36.8, 174.8, date(2026, 3, 14), UTC)

    assert None not in (times.first_light, times.sunrise, times.sunset, times.last_light)
    assert times.first_light < times.sunrise  # type: ignore[operator]
    assert times.sunset < times.last_light  # type: ignore[operator]


def test_where_the_sun_does_not_set_there_is_no_sunset() -> None:
    # North Cape at midsummer (71 N): midnight sun.
    times = sun_times(71.2, 25.8, date(2026, 6, 21))

    assert times.sunset is None
