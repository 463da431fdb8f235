"""What a call means on top of the log: what is filled in, what is found odd, when a trip begins."""

from datetime import UTC, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from bot.tackle.items import Lure
from bot.trip.call import Call
from bot.trip.decide import needs_new_trip
from bot.trip.decision import Decision
from bot.trip.entry import Record
from bot.trip.fold import fold
from bot.trip.history import standing_entries
from bot.trip.meant import FromOtherLine
from bot.trip.state import Trip
from tests.builders import at, call, log_of, said

BOX = (
    Lure("Tin Roof", 8, ("purple",), "slanted"),
    Lure("Wet Sunday", 12, ("black", "white"), "blunt"),
    Lure("Toll Booth", 12, ("black", "red")),
)
OUT = log_of(
    ("06:30", call("trip_start")),
    ("07:00", call("lines_in")),
    ("07:00", call("set", "short corner", "black 12")),
    ("07:00", call("set", "long rigger", "purple 8")),
)


def codes(decision: Decision) -> list[str]:
    return [finding.code for finding in decision.findings]


def state(records: tuple[Record, ...]) -> Trip:
    return fold(standing_entries(records))


def only(decision: Decision) -> Call:
    (entry,) = decision.entries
    return entry.call


def test_a_strike_is_filled_with_the_lure_that_is_in_the_water_there() -> None:
    decision, _ = said(OUT, "08:00", call("strike", "long rigger"))

    assert only(decision) == call("strike", "long rigger", "purple 8")
    assert decision.entries[0].inferred == ("colours", "size_in")
    assert codes(decision) == []


def test_a_strike_on_a_lure_is_placed_where_that_lure_is() -> None:
    decision, _ = said(OUT, "08:00", call("strike", None, "purple"))

    assert only(decision) == call("strike", "long rigger", "purple 8")


def test_missed_him_has_the_position_of_the_latest_open_strike() -> None:
    records = said(OUT, "08:00", call("strike", "long rigger"))[1]

    decision, _ = said(records, "08:01", call("miss"))

    assert only(decision) == call("miss", "long rigger")
    assert decision.entries[0].inferred == ("position",)


def test_two_calls_of_one_breath_are_taken_one_after_the_other() -> None:
    decision, records = said(OUT, "08:00", call("strike", "long rigger"), call("hookup"))

    assert [e.call.position for e in decision.entries] == ["long rigger", "long rigger"]
    assert [f.position for f in state(records).fish_on] == ["long rigger"]


def test_a_release_has_the_species_that_was_called_before() -> None:
    records = said(OUT, "08:00", call("hookup", "short corner", species="blue marlin"))[1]

    decision, _ = said(records, "08:40", call("release"))

    assert only(decision) == call("release", "short corner", species="blue marlin")


def test_a_call_that_contradicts_the_log_is_logged_as_said_and_offers_to_mend_it() -> None:
    decision, records = said(OUT, "08:00", call("strike", "short corner", "purple 8"))

    assert only(decision) == call("strike", "short corner", "purple 8")
    assert codes(decision) == ["contradiction"]
    assert decision.oddities[0].mend == call("swap", "short corner", "purple 8")
    assert "black 12-inch" in decision.findings[0].text
    assert state(records).spread["short corner"].label == "black 12-inch"


def test_a_strike_on_an_empty_position_offers_to_set_the_lure() -> None:
    decision, _ = said(OUT, "08:00", call("strike", "shotgun", "green 9"))

    assert codes(decision) == ["empty-position"]
    assert decision.oddities[0].mend == call("set", "shotgun", "green 9")


def test_a_strike_while_lines_are_out_offers_lines_in() -> None:
    records = said(OUT, "07:30", call("lines_out"))[1]

    decision, _ = said(records, "08:00", call("strike", "long rigger"))

    assert codes(decision) == ["lines-not-in"]
    assert decision.oddities[0].mend == call("lines_in")


def test_lines_in_twice_is_not_logged_again() -> None:
    decision, _ = said(OUT, "08:00", call("lines_in"))

    assert not decision.entries
    assert [one.reason[:20] for one in decision.refused] == ["Lines are in already"]


def test_lines_in_while_a_fish_is_on_is_logged_and_found_odd() -> None:
    records = said(OUT, "07:30", call("hookup", "long rigger"))[1]

    decision, _ = said(records, "08:00", call("lines_in"))

    assert only(decision) == call("lines_in")
    assert codes(decision) == ["lines-already-in", "fish-still-on"]


def test_a_lure_that_only_one_of_the_box_can_be_gets_its_name() -> None:
    decision, _ = said(OUT, "08:00", call("set", "shotgun", "purple 8"), box=BOX)

    assert only(decision) == Call(
        "set", "shotgun", colours=("purple",), size_in=8, lure="Tin Roof", head="slanted"
    )


def test_a_lure_that_two_of_the_box_can_be_gets_no_name() -> None:
    decision, _ = said(OUT, "08:00", call("set", "shotgun", "black 12"), box=BOX)

    assert only(decision) == call("set", "shotgun", "black 12")


def test_a_name_brings_its_size_and_colours() -> None:
    decision, _ = said(OUT, "08:00", call("set", "shotgun", "@Wet Sunday"), box=BOX)

    full = only(decision)
    assert (full.size_in, full.colours, full.head) == (12, ("black", "white"), "blunt")


def test_a_swap_without_a_position_is_where_the_old_lure_is() -> None:
    swap = call("swap", None, "green 9", old_colours=("purple",), old_size_in=8.0)

    decision, records = said(OUT, "08:00", swap)

    assert only(decision).position == "long rigger"
    assert state(records).spread["long rigger"].label == "green 9-inch"


def test_a_swap_of_a_lure_that_is_not_there_says_so() -> None:
    swap = call("swap", "long rigger", "green 9", old_colours=("pink",))

    decision, _ = said(OUT, "08:00", swap)

    assert codes(decision) == ["contradiction"]


def test_a_moved_lure_keeps_what_is_known_of_it() -> None:
    decision, records = said(
        OUT, "08:00", call("set", "shotgun", "purple", meant=(FromOtherLine(),))
    )

    assert only(decision) == call("set", "shotgun", "purple 8")
    assert sorted(state(records).spread) == ["short corner", "shotgun"]


@pytest.mark.parametrize(
    ("slots", "clock"),
    [({"ago_min": 20}, "08:40"), ({"clock": "08:10"}, "08:10"), ({"clock": "09:03"}, "09:00")],
)
def test_a_back_dated_call_is_placed_at_its_time(slots: dict[str, Any], clock: str) -> None:
    decision, _ = said(OUT, "09:00", call("strike", "long rigger", **slots))

    assert decision.entries[0].at == at(clock)
    assert decision.entries[0].call.said() == call("strike", "long rigger", "purple 8").said()


def test_a_clock_time_still_to_come_was_yesterday() -> None:
    decision, _ = said((), "09:00", call("strike", "long rigger", clock="22:30"))

    assert decision.entries[-1].at == at("22:30") - timedelta(days=1)


def test_a_clock_time_is_of_the_boat() -> None:
    auckland = ZoneInfo("Pacific/Auckland")  # UTC+13 in March

    decision, _ = said(OUT, "20:00", call("strike", "long rigger", clock="08:30"), tz=auckland)

    assert decision.entries[0].at.astimezone(UTC) == at("19:30")


def test_ten_past_two_after_lunch_is_not_before_the_trip() -> None:
    decision, _ = said(OUT, "15:00", call("strike", "long rigger", clock="02:10"))

    assert decision.entries[0].at == at("14:10")


def test_a_back_dated_strike_has_the_lure_of_its_own_time() -> None:
    records = said(OUT, "08:30", call("swap", "long rigger", "green 9"))[1]

    decision, _ = said(records, "09:00", call("strike", "long rigger", clock="08:00"))

    assert only(decision) == call("strike", "long rigger", "purple 8")


def test_an_event_without_a_trip_starts_one() -> None:
    decision, records = said((), "08:00", call("strike", "long rigger"))

    assert decision.new_trip
    assert [(e.call.act, e.implied) for e in decision.entries] == [
        ("trip_start", True),
        ("strike", False),
    ]
    assert state(records).is_open


def test_a_trip_that_is_started_is_not_started_twice() -> None:
    decision, _ = said((), "06:30", call("trip_start"), call("lines_in"))

    assert [e.call.act for e in decision.entries] == ["trip_start", "lines_in"]


@pytest.mark.parametrize(
    ("act", "hours", "expected"),
    [
        ("strike", 1, True),
        ("trip_start", 1, True),
        ("rework", 1, False),
        ("note", 1, False),
        ("note", 13, True),
        ("strike", -1, False),
    ],
)
def test_what_comes_after_the_end_of_a_trip(act: str, hours: int, expected: bool) -> None:
    ended = state(said(OUT, "15:00", call("trip_end"))[1])

    assert needs_new_trip(ended, call(act), at("15:00") + timedelta(hours=hours)) is expected


@pytest.mark.parametrize(
    ("act", "hours", "expected"),
    [
        ("strike", 15, False),
        ("strike", 17, True),
        ("trip_start", 5, False),
        ("trip_start", 7, True),
    ],
)
def test_a_trip_that_nobody_ended_is_left_behind(act: str, hours: int, expected: bool) -> None:
    assert needs_new_trip(state(OUT), call(act), at("07:00") + timedelta(hours=hours)) is expected


def test_questions_change_nothing() -> None:
    decision, records = said(OUT, "08:00", call("ask_spread"), call("yes"))

    assert not decision.changes_log
    assert [c.act for c in decision.asides] == ["ask_spread", "yes"]
    assert records == OUT


def test_a_double_hookup_on_two_lines_is_one_entry_and_two_fish() -> None:
    records = said(OUT, "08:00", call("strike", "short corner"), call("strike", "long rigger"))[1]

    decision, records = said(records, "08:01", call("hookup", count=2))

    assert only(decision).position is None
    assert len(state(records).fish_on) == 2
