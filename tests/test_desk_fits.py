"""Of two readings the one that can be is taken: what is on, what was struck and what is over decides.

What fits beside each is common practice of a deck, no source.
"""

import pytest

from bot.calls.understand import Option
from bot.desk.fits import fitting_reading
from bot.trip.call import Call
from bot.trip.fold import fold
from bot.trip.history import standing_entries
from bot.trip.state import Trip
from tests.builders import at
from tests.trip.test_lives import Log, Saying

STRUCK, ON = (Call("strike", "shotgun"),), (Call("strike", "shotgun"), Call("hookup", "shotgun"))
GONE = (*ON, Call("pulled_hook", "shotgun"))


def trip(*calls: Call) -> Trip:
    log = Log()
    for minute, call in enumerate(calls):
        log.say(Saying(10.0 + minute, "Ana", (call,)))
    return fold(standing_entries(log.records))


def chosen(now: Trip, first: tuple[Call, ...], second: tuple[Call, ...]) -> tuple[Call, ...] | None:
    return fitting_reading((Option(first, 0.6), Option(second, 0.3)), now, at("06:15"))


LOST, BIT = (Call("pulled_hook"),), (Call("strike"),)
LET_GO, CLEAR = (Call("boat", "shotgun"),), (Call("clear", "shotgun"),)


@pytest.mark.parametrize(
    ("before", "first", "second", "want"),
    [
        ((), LOST, (Call("strike", "shotgun"),), "second"),
        (ON, LOST, BIT, "first"),
        (ON, BIT, LOST, "second"),
        (ON, CLEAR, LET_GO, "second"),
        (ON, LET_GO, CLEAR, "first"),
        (ON, (Call("break_off"),), (Call("strike"), Call("break_off")), "first"),
        (STRUCK, (Call("miss"),), (Call("set"),), "first"),
        (STRUCK, (Call("set", "shotgun"),), (Call("hookup", "shotgun"),), "second"),
        ((), (Call("strike", "shotgun"), Call("miss")), (Call("pulled_hook"),), "first"),
        (ON, (Call("boat", "shotgun"),), (Call("release", "shotgun"),), None),
        ((), (Call("strike", "shotgun"),), (Call("strike", "long rigger"),), None),
        (GONE, (Call("pulled_hook"),), (Call("break_off"),), None),
    ],
)
def test_the_reading_that_alone_can_be_is_taken(
    before: tuple[Call, ...],
    first: tuple[Call, ...],
    second: tuple[Call, ...],
    want: str | None,
) -> None:
    found = chosen(trip(*before), first, second)

    assert found == {"first": first, "second": second, None: None}[want]


def test_a_bite_that_stuck_is_both() -> None:
    bite = Call("strike", "long rigger", angler="Ana")
    both = (Call("strike", "long rigger"), Call("hookup"))

    assert chosen(trip(), (bite,), both) == (both[0], Call("hookup", angler="Ana"))


def test_how_many_are_on_is_taken_where_it_was_said_once() -> None:
    each = (Call("hookup", "long rigger"), Call("hookup", "shotgun"))
    twos = tuple(call.with_slots(count=2) for call in each)

    assert chosen(trip(), (Call("hookup"),), (Call("hookup", count=2),)) == (
        Call("hookup", count=2),
    )
    assert chosen(trip(), each, twos) == each


def test_a_correction_of_what_was_logged_just_now_is_made() -> None:
    log = Log()
    for minute, call in enumerate((*ON, Call("boat", species="wahoo"))):
        log.say(Saying(10.0 + minute, "Ana", (call,)))
    stood = standing_entries(log.records)
    now, weighed = fold(stood), (Call("amend", weight_kg=19.0),)

    def done(sure: float, calls: tuple[Call, ...], clock: str) -> tuple[Call, ...] | None:
        return fitting_reading((Option(calls, sure),), now, at(clock), stood[-1])

    assert done(0.6, weighed, "06:15") == weighed
    assert done(0.4, weighed, "06:15") is None
    assert done(0.6, weighed, "06:45") is None
    assert done(0.6, (Call("amend", water_c=20.0),), "06:15") is None
    assert done(0.6, (Call("release"),), "06:15") is None


def test_a_weight_with_the_name_of_its_fish_is_taken_before_one_without() -> None:
    bare, named = (Call("amend", weight_kg=5.0),), (Call("amend", weight_kg=5.0, species="wahoo"),)

    assert chosen(trip(*ON), bare, named) == named
    assert chosen(trip(*ON), named, bare) == named


def test_lines_go_where_they_are_not() -> None:
    come, go = (Call("lines_in"),), (Call("lines_out"),)

    assert chosen(trip(), go, come) == go
    assert chosen(trip(Call("lines_out")), go, come) == come


def test_a_reading_that_is_hardly_likely_is_asked_about_whatever_fits() -> None:
    options = (Option(LOST, 0.3), Option(BIT, 0.2))

    assert fitting_reading(options, trip(*ON), at("06:15")) is None


def test_a_weight_goes_with_the_name_that_a_fish_of_the_trip_has() -> None:
    landed = (*ON, Call("boat", "shotgun", species="yellowfin tuna"))
    tuna = (Call("amend", species="yellowfin tuna", weight_kg=42.6),)
    shark = (Call("amend", species="shark", weight_kg=42.6),)

    assert chosen(trip(*landed), tuna, shark) == tuna
    assert chosen(trip(*landed), shark, tuna) == tuna


@pytest.mark.parametrize(
    ("before", "said", "sure", "is_taken"),
    [
        (STRUCK, (Call("hookup"),), 0.7, True),
        (STRUCK, (Call("hookup"),), 0.5, False),
        (STRUCK, (Call("hookup", "long rigger"),), 0.7, False),
        (ON, (Call("leader"),), 0.7, True),
        (ON, LOST, 0.7, True),
        (ON, (Call("raise"),), 0.7, False),
        (GONE, LOST, 0.7, False),
    ],
)
def test_what_a_fish_does_next_needs_less_to_be_taken(
    before: tuple[Call, ...], said: tuple[Call, ...], sure: float, is_taken: bool
) -> None:
    log = Log()
    for minute, one in enumerate(before):
        log.say(Saying(10.0 + minute, "Ana", (one,)))
    stood = standing_entries(log.records)

    found = fitting_reading((Option(said, sure),), fold(stood), stood[-1].at, stood[-1])

    assert found == (said if is_taken else None)
