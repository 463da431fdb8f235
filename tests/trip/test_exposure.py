"""Lure-hours. Worked values: reference.md section 8 (catch per unit effort), hand calculation."""

from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest

from bot.trip.call import POSITIONS
from bot.trip.exposure import Only, line_hours, lure_hours
from bot.trip.meant import FromOtherLine
from tests.builders import at, day_of, entry, trip
from tests.trip.hours import hours_by

FIVE = [f"06:50 set | {position} | purple 8" for position in POSITIONS]
MIXED = [
    "07:00 lines_in",
    "07:00 set | short corner | purple black 10",
    "07:00 set | long rigger | purple 8",
    "08:30 swap | long rigger | green 8",
    "10:00 lines_out",
]


def test_five_lures_with_all_lines_out_for_a_fight() -> None:
    # reference.md section 8: 5 lures, 07:00 to 11:30, out of the water 25 min: 20.4167 lure-hours
    state = trip(
        *day_of([*FIVE, "07:00 lines_in", "09:00 lines_out", "09:25 lines_in", "11:30 lines_out"])
    )

    assert lure_hours([state], at("12:00")) == pytest.approx((4.5 - 25 / 60) * 5, abs=1e-12)
    assert lure_hours([state], at("12:00")) == pytest.approx(20.4167, abs=5e-5)


def test_a_fight_on_one_line_takes_only_that_line_off() -> None:
    state = trip(
        *day_of(
            [*FIVE, "07:00 lines_in", "09:00 strike | shotgun", "09:01 hookup", "09:25 release",
             "11:30 lines_out"]
        )
    )  # fmt: skip

    assert lure_hours([state], at("12:00")) == pytest.approx(4.5 * 5 - 25 / 60, abs=1e-12)


def test_a_moved_lure_keeps_its_total_and_splits_by_position() -> None:
    # reference.md section 8: moved at 09:00 of 07:00 to 11:30: position totals 2.0 and 2.5 h
    state = trip(
        *day_of(["07:00 lines_in", "07:00 set | short corner | purple 8"]),
        entry("09:00", "set", "long rigger", "purple 8", meant=(FromOtherLine(),)),
        entry("11:30", "lines_out"),
    )

    assert hours_by([state], "position", at("12:00")) == {"short corner": 2.0, "long rigger": 2.5}
    assert hours_by([state], "lure", at("12:00")) == {"purple 8-inch": 4.5}


def test_both_colours_of_a_lure_have_its_hours() -> None:
    hours = hours_by([trip(*day_of(MIXED))], "colour", at("12:00"))

    assert hours == {"purple": 4.5, "black": 3.0, "green": 1.5}


def test_hours_by_size_and_by_side() -> None:
    state = trip(*day_of(MIXED))

    assert hours_by([state], "size", at("12:00")) == {"10": 3.0, "8": 3.0}
    assert hours_by([state], "side", at("12:00")) == {"unknown": 6.0}


def test_hours_by_the_hour_of_the_boats_day() -> None:
    state = trip(*day_of(["07:15 lines_in", "07:15 set | shotgun | black 12", "08:45 lines_out"]))
    adelaide = ZoneInfo("Australia/Adelaide")  # UTC+10:30 in March

    assert hours_by([state], "hour", at("12:00")) == {"07:00": 0.75, "08:00": 0.75}
    assert hours_by([state], "hour", at("12:00"), adelaide) == {
        "17:00": 0.25,
        "18:00": 1.0,
        "19:00": 0.25,
    }


def test_hours_by_speed_follow_the_calls() -> None:
    state = trip(
        *day_of(["07:00 lines_in", "07:00 set | shotgun | black 12"]),
        entry("07:30", "speed", speed_kn=8.2),
        entry("08:30", "speed", speed_kn=7.0),
        entry("09:00", "lines_out"),
    )

    assert hours_by([state], "speed", at("12:00")) == {"unknown": 0.5, "8 kn": 1.0, "7 kn": 0.5}


def test_what_is_fishing_now_counts_up_to_now() -> None:
    state = trip(*day_of(["07:00 lines_in", "07:00 set | shotgun | black 12"]))

    assert lure_hours([state], at("07:36")) == pytest.approx(0.6, abs=1e-12)
    assert line_hours(state, state.spread["shotgun"], at("07:36")) == pytest.approx(0.6, abs=1e-12)


def test_a_trip_that_was_forgotten_counts_up_to_its_last_word() -> None:
    state = trip(*day_of(["07:00 lines_in", "07:00 set | shotgun | black 12", "09:00 note"]))

    assert lure_hours([state], at("09:00") + timedelta(hours=17)) == 2.0


def test_only_part_of_the_spread_and_of_the_day() -> None:
    state = trip(*day_of(MIXED))

    assert lure_hours([state], at("12:00"), Only(colours=("purple",))) == 4.5
    assert lure_hours([state], at("12:00"), Only(position="long rigger", size_in=8)) == 3.0
    assert lure_hours([state], at("12:00"), Only(since=at("09:00"))) == 2.0


def test_the_hours_of_a_lure_on_its_line_go_through_lines_out_and_end_with_a_swap() -> None:
    state = trip(
        *day_of(
            ["07:00 lines_in", "07:00 set | shotgun | black 12", "08:00 swap | shotgun | green 9",
             "09:00 lines_out", "10:00 lines_in"]
        )
    )  # fmt: skip

    assert line_hours(state, state.spread["shotgun"], at("10:30")) == 1.5
