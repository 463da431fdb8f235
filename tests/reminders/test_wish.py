"""What somebody asks to be reminded of, and when."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.reminders.wish import Wish, wish
from bot.trip.call import POSITIONS
from tests.builders import at

MINUTE, HOUR = timedelta(minutes=1), timedelta(hours=1)


def asked(text: str, said: str = "10:00") -> Wish:
    found = wish(text, at(said), UTC, POSITIONS)
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("text", "about", "clock"),
    [
        ("remind me to check for weed in twenty minutes", "check for weed", "10:20"),
        ("remind me in 20 min to check for weed", "check for weed", "10:20"),
        ("remind us in half an hour that the tide turns", "the tide turns", "10:30"),
        ("remind me to call home in an hour and a half", "call home", "11:30"),
        ("remind me in an hour to swap the shotgun", "swap the shotgun", "11:00"),
        ("remind me about lunch at half past twelve", "lunch", "12:30"),
        ("Remind me at 14:10 to look at the leaders.", "look at the leaders", "14:10"),
        ("remind me to turn back at two", "turn back", "14:00"),
        ("remind me to turn back by noon", "turn back", "12:00"),
    ],
)
def test_a_time_is_understood_and_taken_out_of_the_words(text: str, about: str, clock: str) -> None:
    assert asked(text) == Wish(about, at(clock))


def test_a_time_that_has_gone_by_is_that_of_tomorrow() -> None:
    assert asked("remind me at half past nine p.m. to sleep", "22:00").at == at("21:30") + 24 * HOUR


def test_the_clock_is_the_boats_own() -> None:
    said = datetime(2026, 2, 6, 20, 0, tzinfo=UTC)  # nine in the morning there
    found = wish("remind me to check the ice at eleven", said, ZoneInfo("Pacific/Auckland"))

    assert found is not None
    assert found.at == said + 2 * HOUR


@pytest.mark.parametrize(
    ("text", "line", "time"),
    [
        ("tell me when the long rigger has been out two hours", "long rigger", 2 * HOUR),
        ("let me know when the short corner has been in for an hour and a half", "short corner",
         90 * MINUTE),
        ("remind me when the shotgun has been out 45 minutes", "shotgun", 45 * MINUTE),
    ],
)  # fmt: skip
def test_a_lure_that_is_out_for_long_can_be_asked_for(
    text: str, line: str, time: timedelta
) -> None:
    found = asked(text)

    assert (found.position, found.out_for, found.at) == (line, time, None)
    assert found.is_clear


def test_it_may_be_every_so_often_or_before_sunset_or_without_a_time() -> None:
    assert asked("remind me to check for weed every half hour").every == 30 * MINUTE
    assert asked("remind me to check for weed every hour").every == HOUR
    assert asked("remind me of the sunset").sunset
    assert not asked("remind me to buy milk").is_clear


@pytest.mark.parametrize(
    "text", ["out of ice", "he will remind me to pay", "tell me in an hour", ""]
)
def test_a_plain_note_is_no_wish(text: str) -> None:
    assert wish(text, at("10:00"), UTC, POSITIONS) is None


@given(st.text("abcdefghijklmnopqrstuvwxyz 0123456789:'.,/\u00e9", max_size=80))
def test_no_words_after_it_raise(rest: str) -> None:
    found = wish(f"remind me {rest}", at("10:00"), UTC, POSITIONS)

    assert found is not None
    assert found.at is None or found.at > at("10:00") - MINUTE
