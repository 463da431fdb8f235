"""The crew's word against the thermometer."""

from bot.stamps import Stamp
from bot.trip.measured import differences, news, water_c
from tests.builders import call, entry


def test_a_called_temperature_stands_for_an_hour() -> None:
    measured = Stamp(water_c=22.3)
    day = [
        entry("06:00", "strike", stamp=measured),
        entry("06:30", "water", water_c=24.2, stamp=measured),
        entry("07:30", "strike", stamp=measured),
        entry("07:31", "strike", stamp=measured),
        entry("07:32", "strike"),
    ]

    assert water_c(day) == [22.3, 24.2, 24.2, 22.3, None]


def test_a_difference_is_news_once() -> None:
    first = entry("06:30", "water", water_c=24.2, stamp=Stamp(water_c=22.3))
    again = entry("06:33", "water", water_c=24.3, stamp=Stamp(water_c=22.4))

    assert news(first, []) == {"water_c": (24.2, 22.3)}
    assert news(again, [first]) == {}


def test_what_is_nearly_the_same_is_no_difference() -> None:
    stamp = Stamp(water_c=22.3, stw_kn=7.6, depth_m=205.0)

    assert differences(call("water", water_c=22.6, depth_m=200.0), stamp) == {}
    assert differences(call("speed", speed_kn=7.5), stamp) == {}
    assert differences(call("speed", speed_kn=8.5), stamp) == {"speed_kn": (8.5, 7.6)}
    assert differences(call("water", depth_m=100.0), stamp) == {"depth_m": (100.0, 205.0)}
    assert differences(call("water", water_c=24.0), Stamp()) == {}
