"""What is said unasked and when; what is not said, and what is never said twice."""

from dataclasses import replace
from datetime import timedelta

import pytest

from bot.reminders.due import Due, Surroundings, due
from bot.reminders.wanted import NOTHING, Reminders
from bot.sky.sun import sun_times
from bot.trip.entry import Entry
from bot.trip.fold import fold
from tests.builders import at, entry
from tests.meanings import as_heard

SURROUNDINGS = Surroundings()
BEGUN = (
    entry("06:00", "trip_start"),
    entry("06:05", "set", "long rigger", "purple 8"),
    entry("06:06", "set", "shotgun", "pink 6"),
    entry("06:10", "lines_in"),
)


def says(
    clock: str,
    *more: Entry,
    wanted: Reminders = NOTHING,
    surroundings: Surroundings = SURROUNDINGS,
    said: tuple[str, ...] = (),
) -> list[str]:
    return [
        one.text for one in dues(clock, *more, wanted=wanted, surroundings=surroundings, said=said)
    ]


def dues(
    clock: str,
    *more: Entry,
    wanted: Reminders = NOTHING,
    surroundings: Surroundings = SURROUNDINGS,
    said: tuple[str, ...] = (),
) -> tuple[Due, ...]:
    return due(fold((*BEGUN, *more)), wanted, said, at(clock), surroundings)


def note(clock: str, text: str) -> Entry:
    return as_heard(entry(clock, "note", text=text, said=text, crew="Ruta"))


WEED = note("07:00", "remind me to check for weed in twenty minutes")


def test_what_was_asked_for_is_said_at_its_time_and_not_before() -> None:
    assert says("07:19", WEED) == []
    assert says("07:20", WEED) == ["Reminder for Ruta: Check for weed."]


def test_what_could_not_be_said_in_time_says_for_when_it_was() -> None:
    assert says("08:00", WEED) == ["Reminder for Ruta (for 07:20): Check for weed."]


def test_what_was_said_is_not_said_again() -> None:
    (one,) = dues("07:20", WEED)

    assert says("07:21", WEED, said=(one.key,)) == []


def test_the_key_outlives_that_somebody_else_joined_the_note() -> None:
    (one,) = dues("07:20", WEED)
    again = replace(WEED, id="99999999", crew="Ruta, Tomas")

    assert says("07:21", again, said=(one.key,)) == []


def test_nothing_is_said_while_a_fish_is_on_and_what_still_holds_is_said_after() -> None:
    on = entry("07:10", "hookup", "long rigger")
    wanted = Reminders(out_h=1.0)

    assert says("07:30", WEED, on, wanted=wanted) == []
    landed = entry("07:40", "boat", "long rigger", species="wahoo")
    after = says("07:40", WEED, on, landed, wanted=wanted)
    assert after[0] == "Reminder for Ruta (for 07:20): Check for weed."
    assert any("shotgun" in text for text in after)
    lines_out = entry("07:41", "lines_out")
    assert says("07:42", on, landed, lines_out, wanted=wanted) == []  # it does not hold any more


def test_nothing_is_said_after_the_end_of_the_trip_or_when_it_was_forgotten() -> None:
    end = entry("07:10", "trip_end")
    wanted = Reminders(weed_min=30, out_h=0.5)

    assert says("07:30", WEED, end, wanted=wanted) == []
    assert (
        due(fold((*BEGUN, WEED)), wanted, (), at("07:30") + timedelta(hours=24), SURROUNDINGS) == ()
    )


def test_weed_comes_every_half_hour_of_lines_in_and_only_the_last_that_was_missed() -> None:
    wanted = Reminders(weed_min=30)

    assert says("06:39", wanted=wanted) == []
    assert says("06:40", wanted=wanted) == ["Check the lures for weed: lines in for 30 min."]
    (first,) = dues("06:40", wanted=wanted)
    assert says("07:09", wanted=wanted, said=(first.key,)) == []
    assert len(says("09:00", wanted=wanted, said=(first.key,))) == 1
    assert says("07:30", entry("07:00", "lines_out"), wanted=wanted, said=(first.key,)) == []


def test_a_lure_that_is_out_for_long_is_named_once_each_time_it_goes_out() -> None:
    wanted = Reminders(out_h=2.0)
    swap = entry("08:00", "swap", "shotgun", "black 10")

    assert says("08:10", swap, wanted=wanted) == [
        "The long rigger, purple 8-inch, has been out 2 h 00 min."
    ]
    keys = tuple(one.key for one in dues("08:10", swap, wanted=wanted))
    assert says("09:59", swap, wanted=wanted, said=keys) == []
    assert says("10:00", swap, wanted=wanted, said=keys) == [
        "The shotgun, black 10-inch, has been out 2 h 00 min."
    ]


def test_one_line_can_be_asked_for() -> None:
    asked = note("06:30", "tell me when the long rigger has been out two hours")

    assert says("08:09", asked) == []
    assert says("08:10", asked) == [
        "Reminder for Ruta: The long rigger, purple 8-inch, has been out 2 h 00 min."
    ]
    assert says("08:10", asked, entry("08:00", "clear", "long rigger")) == []


def test_every_so_often_is_said_again_each_time_and_once_for_each() -> None:
    asked = note("07:00", "remind me to check the ice every hour")
    (first,) = dues("08:00", asked)

    assert says("08:59", asked, said=(first.key,)) == []
    assert says("09:00", asked, said=(first.key,)) == ["Reminder for Ruta: Check the ice."]


@pytest.mark.parametrize("asked", [(), (note("07:00", "remind me of the sunset"),)])
def test_sunset_is_said_before_it_and_not_after(asked: tuple[Entry, ...]) -> None:
    place = (-36.8, 174.8)
    sunset = sun_times(*place, at("06:00").date()).sunset
    assert sunset is not None
    surroundings = replace(SURROUNDINGS, place=place)
    wanted = NOTHING if asked else Reminders(sunset_min=30)
    trip = fold((*BEGUN, *asked))

    def at_minutes(minutes: int) -> tuple[Due, ...]:
        return due(trip, wanted, (), sunset + timedelta(minutes=minutes), surroundings)

    assert at_minutes(-31) == ()
    assert "in 29 min" in at_minutes(-29)[0].text
    assert at_minutes(1) == ()


def test_silence_about_the_place_is_said_once_and_again_after_it_was_known() -> None:
    wanted = Reminders(no_position_min=15)
    lost = replace(SURROUNDINGS, placed_at=at("07:00"))

    assert says("07:14", wanted=wanted, surroundings=lost) == []
    (one,) = dues("07:15", wanted=wanted, surroundings=lost)
    assert one.text == "No position for 15 min: entries carry no place."
    assert says("07:40", wanted=wanted, surroundings=lost, said=(one.key,)) == []
    again = replace(SURROUNDINGS, placed_at=at("08:00"))
    assert len(says("08:20", wanted=wanted, surroundings=again, said=(one.key,))) == 1
    assert says("09:00", wanted=wanted) == []  # nothing ever told where the boat is
