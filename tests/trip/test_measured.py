"""The crew's word against the thermometer; which place an entry gets, that of the phone or the boat's own."""

from bot.stamps import Fix, Stamp
from bot.trip.measured import SharedPlace, differences, news, place_event, water_c
from tests.builders import at, call, entry

PHONE, BOAT = (-35.1, 174.1), (-35.2, 174.2)
STAMP = Stamp("instruments", cog_deg=50.0, water_c=21.4)


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


def fix(clock: str, age_s: float = 0.0, within_m: float | None = None) -> Fix:
    return Fix(at(clock), *BOAT, age_s, within_m, STAMP)


def test_what_is_fresher_wins_and_the_stamp_says_whose_it_is() -> None:
    now = at("07:00")

    old_phone = place_event(now, now, SharedPlace(PHONE, at("06:58")), fix("07:00", 1))
    old_boat = place_event(now, now, SharedPlace(PHONE, now), fix("07:00", 9))

    assert old_phone == (BOAT, STAMP)
    assert old_boat == (PHONE, Stamp("shared", cog_deg=50.0, water_c=21.4))


def test_what_is_more_exact_wins_where_both_are_fresh() -> None:
    now, phone = at("07:00"), SharedPlace(PHONE, at("07:00"))

    assert place_event(now, now, phone, fix("07:00", 0, within_m=4.5))[0] == BOAT
    assert place_event(now, now, phone, fix("07:00", 0, within_m=100.0))[0] == PHONE
    assert place_event(now, now, phone, fix("07:00"))[0] == BOAT  # none better: the boat's own


def test_a_shared_place_is_not_that_of_what_happened_long_before() -> None:
    phone = SharedPlace(PHONE, at("07:00"))

    assert place_event(at("06:40"), at("07:00"), phone, None) == (None, Stamp())
    assert place_event(at("06:40"), at("07:00"), phone, fix("06:40"))[0] == BOAT
    assert place_event(at("06:59"), at("07:00"), phone, None) == (PHONE, Stamp("shared"))


def test_what_is_measured_without_a_place_is_kept_too() -> None:
    water = Fix(at("07:00"), stamp=Stamp(water_c=21.4))

    assert place_event(at("07:00"), at("07:00"), None, water) == (None, Stamp(water_c=21.4))
