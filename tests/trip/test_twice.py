"""The same event called by two people, as calls beside a log: no desk, no words."""

from datetime import UTC
from typing import Any

import pytest

from bot.trip.call import Call
from bot.trip.entry import Entry
from bot.trip.history import standing_entries
from bot.trip.meant import OneMore
from bot.trip.twice import Twice, called_twice
from tests.builders import at, call, entry, trip

SPREAD = (
    entry("06:00", "lines_in"),
    entry("06:00", "set", "long rigger", "purple 8"),
    entry("06:00", "set", "short corner", "black 12"),
)


def twice(clock: str, what: Call, *before: Entry, crew: str = "Bo") -> Twice:
    stood = standing_entries((*SPREAD, *before))
    return called_twice((what,), stood, trip(*stood).fish, crew, at(clock), UTC)


def strike(clock: str, position: str | None = "long rigger", **more: Any) -> Entry:
    return entry(clock, "strike", position, crew="Ana", **more)


def test_the_same_strike_within_a_minute_is_one() -> None:
    first = strike("07:00:10")

    found = twice("07:01:10", call("strike", "long rigger"), first)

    assert [(s.entry, s.more, s.crew) for s in found.seconds] == [(first, Call("amend"), "Bo")]
    assert (found.rest, found.doubt) == ((), None)


@pytest.mark.parametrize(
    ("clock", "what", "crew"),
    [
        ("07:01:11", call("strike", "long rigger"), "Bo"),
        ("07:00:20", call("strike", "short corner"), "Bo"),
        ("07:00:20", call("strike", "long rigger", meant=(OneMore(),)), "Ana"),
        ("07:01:41", call("strike", "long rigger"), "Ana"),
        ("07:00:20", call("strike", "long rigger"), ""),
        ("07:00:20", call("hookup", "long rigger"), "Bo"),
        ("07:00:20", call("strike", "long rigger", ago_min=30), "Bo"),
    ],
)
def test_what_is_later_elsewhere_or_by_the_same_person_is_another(
    clock: str, what: Call, crew: str
) -> None:
    found = twice(clock, what, strike("07:00:10"), crew=crew)

    assert found == Twice((what,))


@pytest.mark.parametrize("said", ["long rigger", None])
@pytest.mark.parametrize("other", ["long rigger", None])
def test_a_position_that_one_of_them_did_not_say_joins_them(
    said: str | None, other: str | None
) -> None:
    found = twice("07:00:30", call("strike", said), strike("07:00:10", other))

    (second,) = found.seconds
    assert second.more.position == (said if other is None else None)


def test_what_the_second_knows_better_is_kept() -> None:
    first = entry("07:00", "boat", "long rigger", species="marlin", crew="Ana")

    found = twice("07:00:30", call("boat", species="blue marlin", weight_kg=90.0), first)

    assert found.seconds[0].more == Call("amend", species="blue marlin", weight_kg=90.0)


@pytest.mark.parametrize(
    "what",
    [
        call("strike", "long rigger", "green 7"),
        call("strike", "long rigger", count=2),
        call("strike", "long rigger", species="wahoo"),
    ],
)
def test_other_details_are_a_doubt(what: Call) -> None:
    first = strike("07:00", lure="purple 8", species="sailfish", count=1)

    found = twice("07:00:30", what, first)

    assert (found.rest, found.seconds, found.doubt) == ((what,), (), first)


def test_a_strike_after_a_miss_may_be_the_fish_that_came_back() -> None:
    first = strike("07:00:00")
    miss = entry("07:00:20", "miss", "long rigger", crew="Ana")

    found = twice("07:00:40", call("strike", "long rigger"), first, miss)

    assert found.doubt == first


def test_a_hook_up_without_a_place_is_a_doubt_where_two_fish_were_struck() -> None:
    fish = (strike("07:00:00"), strike("07:00:05", "short corner"))
    hooked = entry("07:00:20", "hookup", "long rigger", crew="Ana", inferred=("position",))

    assert twice("07:00:40", call("hookup"), *fish, hooked).doubt == hooked
    assert twice("07:00:40", call("hookup"), fish[0], hooked).seconds[0].entry == hooked


def test_a_place_that_only_followed_from_the_log_is_a_doubt_where_another_is_said() -> None:
    hooked = entry("07:00:20", "hookup", "long rigger", crew="Ana", inferred=("position",))

    assert twice("07:00:40", call("hookup", "short corner"), hooked).doubt == hooked


def test_notes_and_speeds_are_everybodys_own() -> None:
    note = entry("07:00", "note", text="cold", crew="Ana")
    speed = entry("07:00", "speed", speed_kn=7.0, crew="Ana")

    assert twice("07:00:10", call("note", text="cold"), note).seconds == ()
    assert twice("07:00:10", call("speed", speed_kn=7.0), speed).seconds == ()


def test_birds_and_whales_are_two_sightings() -> None:
    birds = entry("07:00", "sighting", what="birds", crew="Ana")

    assert twice("07:00:10", call("sighting", what="birds"), birds).seconds[0].entry == birds
    assert twice("07:00:10", call("sighting", what="whales"), birds).rest
