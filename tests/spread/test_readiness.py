"""The life cycle of a ready lure: common practice, no source (reference, practice 12 and 13)."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime

import pytest
from uuid_utils import uuid7

from bot.spread.readiness import Readiness, find_unready, readiness, ready_lures
from bot.spread.standby import before_lines_in
from bot.tackle.items import Lure
from bot.trip.meant import Concerns, LostLure
from bot.trip.state import Trip
from tests.builders import at, entry, trip

BOX = (
    Lure("Mug", 8, ("purple",), ready=True),
    Lure("Jug", 10, ("blue", "white"), ready=True),
    Lure("Cup", 12, ("black",), ready=False),
)
EARLY = at("04:00")


def stands(
    *trips: Trip, box: tuple[Lure, ...] = BOX, imported: datetime = EARLY
) -> Mapping[str, Readiness]:
    return readiness(box, {lure.name: imported for lure in box}, trips, at("18:00"))


def states(*trips: Trip) -> list[str]:
    return [one.state for one in stands(*trips).values()]


START = (
    entry("06:00", "set", "long rigger", "@Mug"),
    entry("06:10", "lines_in"),
)


def test_a_lure_that_the_box_calls_ready_is_ready_and_the_other_is_to_check() -> None:
    assert states() == ["ready", "ready", "to check"]
    assert stands()["Cup"].reason == "not made ready yet"


def test_a_lure_laid_out_before_lines_in_is_still_ready() -> None:
    assert states(trip(START[0])) == ["ready", "ready", "to check"]


def test_in_the_water_it_says_where() -> None:
    found = stands(trip(*START, entry("07:00", "note", text="calm")))["Mug"]

    assert (found.state, found.position) == ("in water", "long rigger")


@pytest.mark.parametrize(
    "last",
    [
        entry("08:10", "clear", "long rigger"),
        entry("08:10", "lines_out"),
        entry("08:10", "trip_end"),
        entry("08:10", "swap", "long rigger", "@Jug"),
        entry("08:10", "set", "long rigger", "@Jug"),
    ],
)
def test_a_lure_that_has_been_in_the_water_needs_a_check(last: object) -> None:
    found = stands(trip(*START, last))["Mug"]  # type: ignore[arg-type]

    assert found.state == "to check"
    assert found.hours == pytest.approx(2)
    assert found.reason == "2.0 h in the water since it was checked"


def test_a_bite_is_told_with_the_hours() -> None:
    found = stands(
        trip(
            *START,
            entry("07:10", "strike", "long rigger"),
            entry("07:11", "miss"),
            entry("08:10", "clear", "long rigger"),
        )
    )["Mug"]

    assert found.bites == 1
    assert found.reason == "2.0 h in the water and bitten once since it was checked"


def test_a_raise_is_no_bite() -> None:
    found = stands(trip(*START, entry("07:10", "raise", "long rigger")))["Mug"]

    assert found.bites == 0


def test_checked_again_it_is_ready_again() -> None:
    day = trip(
        *START, entry("08:10", "clear", "long rigger"), entry("08:30", "ready", None, "@Mug")
    )

    assert stands(day)["Mug"] == Readiness("ready", "")


def test_checked_in_the_second_in_which_another_takes_its_place_it_is_ready() -> None:
    """Both said in one message: "swap the long rigger for the jug, the mug is ready"."""
    day = trip(
        *START, entry("08:10", "swap", "long rigger", "@Jug"), entry("08:10", "ready", None, "@Mug")
    )

    assert stands(day)["Mug"] == Readiness("ready", "")
    assert stands(day)["Jug"].state == "in water"


def test_what_needs_work_is_rework_until_it_is_called_ready() -> None:
    torn = entry("08:20", "rework", None, "@Mug", text="new leader")
    out = entry("08:10", "clear", "long rigger")

    assert stands(trip(*START, out, torn))["Mug"].state == "rework"
    assert stands(trip(*START, out, torn))["Mug"].reason == "new leader"
    mended = entry("09:00", "ready", None, "@Mug")
    assert stands(trip(*START, out, torn, mended))["Mug"].state == "ready"


def test_a_lure_that_went_with_the_line_is_lost_until_it_is_called_ready() -> None:
    gone = entry("07:10", "break_off", "long rigger")

    assert (
        stands(trip(*START, entry("07:09", "strike", "long rigger"), gone))["Mug"].state == "lost"
    )
    back = entry("09:00", "ready", None, "@Mug")
    assert (
        stands(trip(*START, entry("07:09", "strike", "long rigger"), gone, back))["Mug"].state
        == "ready"
    )


def test_a_lure_that_is_called_lost_is_lost() -> None:
    called = entry("07:00", "rework", None, "@Cup", text="lost", meant=(LostLure(),))

    assert stands(trip(called))["Cup"].state == "lost"


def test_the_state_is_kept_from_trip_to_trip() -> None:
    first = trip(*START, entry("08:10", "trip_end"))
    second = trip(entry("10:00", "trip_start", trip="second"))

    assert states(first, second)[0] == "to check"


def test_a_later_import_of_the_box_says_it_anew() -> None:
    day = trip(*START, entry("08:10", "lines_out"))

    assert stands(day, imported=at("09:00"))["Mug"].state == "ready"


def test_a_lure_known_by_its_looks_is_found_in_the_box() -> None:
    day = trip(
        entry("06:00", "set", "long rigger", "purple 8"),
        entry("06:10", "lines_in"),
        entry("08:10", "lines_out"),
    )

    assert states(day)[0] == "to check"


def test_of_two_that_look_alike_one_goes_out_and_the_other_stays_ready() -> None:
    twins = (Lure("One", 8, ("purple",), ready=True), Lure("Two", 8, ("purple",), ready=True))
    day = trip(
        entry("06:00", "set", "long rigger", "purple 8"),
        entry("06:10", "lines_in"),
        entry("07:00", "strike", "long rigger"),
        entry("07:01", "miss"),
        entry("08:10", "clear", "long rigger"),
    )

    found = stands(day, box=twins)

    assert [one.state for one in found.values()] == ["to check", "ready"]
    assert found["One"].bites == 1


def test_of_two_that_look_alike_the_one_that_needs_it_is_called_ready() -> None:
    twins = (Lure("One", 8, ("purple",), ready=True), Lure("Two", 8, ("purple",)))

    found = stands(trip(entry("06:00", "ready", None, "purple 8")), box=twins)

    assert [one.state for one in found.values()] == ["ready", "ready"]


def test_a_lure_that_is_not_in_the_box_changes_nothing() -> None:
    day = trip(entry("06:00", "set", "shotgun", "pink 5"), entry("06:10", "lines_in"))

    assert states(day) == ["ready", "ready", "to check"]


def test_only_ready_lures_are_given_to_a_plan() -> None:
    day = trip(*START)

    assert [lure.name for lure in ready_lures(BOX, stands(day))] == ["Jug"]


def test_setting_an_unchecked_lure_is_found_and_a_ready_one_is_not() -> None:
    found = find_unready(BOX[2], stands(), "shotgun")

    assert found is not None
    assert (found.severity, found.position, found.code) == ("caution", "shotgun", "unchecked-lure")
    assert find_unready(BOX[0], stands(), "shotgun") is None


def test_before_lines_in_the_unchecked_lure_and_the_standbys_are_named() -> None:
    day = trip(
        entry("06:00", "set", "shotgun", "@Cup"), entry("06:00", "set", "long rigger", "@Mug")
    )

    found = before_lines_in(BOX, stands(day), day)

    assert [f.code for f in found] == ["unchecked-lure", "standby", "standby"]
    assert "Cup" in found[0].text


def test_a_standby_that_was_noted_or_is_ready_in_the_box_is_not_asked_for() -> None:
    box = (*BOX, Lure("Deep Diver", 7, ("silver",), ready=True))
    day = trip(entry("05:00", "note", meant=(Concerns(("casting outfit",)),)))

    assert before_lines_in(box, stands(day, box=box), day) == ()


def test_called_ready_while_it_is_in_the_water_it_needs_a_check_when_it_comes_out() -> None:
    day = trip(*START, entry("07:10", "ready", None, "@Mug"), entry("08:10", "lines_out"))

    assert stands(day)["Mug"].state == "to check"
    assert stands(day)["Mug"].hours == pytest.approx(1)


def test_an_import_while_it_is_in_the_water_does_not_make_it_ready() -> None:
    day = trip(*START, entry("08:10", "lines_out"))

    found = stands(day, imported=at("07:40"))["Mug"]

    assert found.state == "to check"
    assert found.hours == pytest.approx(0.5)


def test_a_day_played_back_after_the_import_counts_though_it_was_fished_before() -> None:
    made = [replace(one, id=str(uuid7())) for one in (*START, entry("08:10", "lines_out"))]

    found = stands(trip(*made), imported=at("12:00"))["Mug"]

    assert found.state == "to check"
    assert found.hours == pytest.approx(2)


def test_the_life_of_a_lure_goes_on_over_several_trips() -> None:
    first = trip(*START, entry("08:10", "trip_end"))
    second = trip(
        entry("10:00", "ready", None, "@Mug", trip="second"),
        entry("10:10", "set", "shotgun", "@Mug", trip="second"),
        entry("10:20", "lines_in", trip="second"),
        entry("10:30", "strike", "shotgun", trip="second"),
        entry("10:31", "miss", "shotgun", trip="second"),
        entry("10:40", "lines_out", trip="second"),
    )
    third = trip(entry("13:00", "ready", None, "@Mug", trip="third"))

    assert states(first)[0] == "to check"
    assert (
        stands(first, second)["Mug"].reason
        == "0.3 h in the water and bitten once since it was checked"
    )
    assert states(first, second, third)[0] == "ready"


def test_in_and_out_within_a_second_it_was_in_the_water_all_the_same() -> None:
    day = (
        entry("06:00", "ready", None, "@Mug"),
        entry("06:00", "set", "long rigger", "@Mug"),
        entry("06:00", "lines_in"),
        entry("06:00", "lines_out"),
    )
    checked = entry("06:00", "ready", None, "@Mug")

    assert stands(trip(*day))["Mug"].state == "to check"
    assert stands(trip(*day, checked))["Mug"].state == "ready"
