"""What somebody asks to be reminded of, and when, out of the words of a note."""

import pytest
from hypothesis import given, strategies as st

from bot.calls.meant.reminder import cancelled_in, reminder_in
from bot.trip.meant import CancelsReminder, Reminder
from tests.meanings import reader


def asked(text: str) -> Reminder:
    found = reminder_in(text, reader())
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("text", "about", "minutes"),
    [
        ("remind me to check for weed in twenty minutes", "check for weed", 20),
        ("remind me in 20 min to check for weed", "check for weed", 20),
        ("remind us in half an hour that the tide turns", "the tide turns", 30),
        ("remind me to call home in an hour and a half", "call home", 90),
        ("remind me in an hour to swap the shotgun", "swap the shotgun", 60),
    ],
)
def test_a_span_of_time_is_understood_and_taken_out_of_the_words(
    text: str, about: str, minutes: float
) -> None:
    assert asked(text) == Reminder(about, after_min=minutes)


@pytest.mark.parametrize(
    ("text", "about", "clock"),
    [
        ("remind me about lunch at half past twelve", "lunch", "12:30"),
        ("Remind me at 14:10 to look at the leaders.", "look at the leaders", "14:10"),
        ("remind me to turn back at two", "turn back", "02:00"),
        ("remind me to turn back by noon", "turn back", "12:00"),
    ],
)
def test_a_time_of_day_is_understood_and_taken_out_of_the_words(
    text: str, about: str, clock: str
) -> None:
    assert asked(text) == Reminder(about, clock=clock, is_exact=clock == "12:00")


@pytest.mark.parametrize(
    ("text", "line", "minutes"),
    [
        ("tell me when the long rigger has been out two hours", "long rigger", 120),
        (
            "let me know when the short corner has been in for an hour and a half",
            "short corner",
            90,
        ),
        ("remind me when the shotgun has been out 45 minutes", "shotgun", 45),
        ("tell me when the sr has been out an hour", "short rigger", 60),
    ],
)
def test_a_lure_that_is_out_for_long_can_be_asked_for(text: str, line: str, minutes: float) -> None:
    found = asked(text)

    assert (found.position, found.out_min, found.after_min) == (line, minutes, None)


def test_the_side_of_the_line_is_kept() -> None:
    assert asked("tell me when the port long rigger has been out two hours").side == "port"


def test_it_may_be_every_so_often_or_before_sunset_or_without_a_time() -> None:
    assert asked("remind me to check for weed every half hour").every_min == 30
    assert asked("remind me to check for weed every hour").every_min == 60
    assert asked("remind me of the sunset").sunset
    assert asked("remind me to buy milk") == Reminder("buy milk")


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("remaind me to check for weed in ten minutes", Reminder("check for weed", after_min=10)),
        ("remind me to check for weed in tem minuts", Reminder("check for weed", after_min=10)),
        ("remid us of the ice evry half hour", Reminder("the ice", every_min=30)),
        ("tell me when the long riger has been out two huors",
         Reminder("the long riger has been out two huors", position="long rigger", out_min=120)),
    ],
)  # fmt: skip
def test_slips_of_the_thumb_are_put_right(text: str, meant: Reminder) -> None:
    assert asked(text) == meant


@pytest.mark.parametrize(
    "text", ["out of ice", "he will remind me to pay", "tell me in an hour", ""]
)
def test_a_plain_note_asks_for_nothing(text: str) -> None:
    assert reminder_in(text, reader()) is None


@given(st.text("abcdefghijklmnopqrstuvwxyz 0123456789:'.,/\u00e9", max_size=80))
def test_no_words_after_it_raise(rest: str) -> None:
    found = reminder_in(f"remind me {rest}", reader())

    assert found is not None or rest[:1] not in ("", " ", ",", ".")


@pytest.mark.parametrize(
    ("text", "cancels"),
    [
        ("cancel the ice", CancelsReminder("ice")),
        ("cancel the reminder about the ice", CancelsReminder("ice", is_named=True)),
        ("cancel the weed reminder", CancelsReminder("weed", is_named=True)),
        ("cancel the reminder", CancelsReminder("", is_named=True)),
        ("no more reminders", CancelsReminder("", is_named=True, everything=True)),
        ("cancel all reminders", CancelsReminder("", is_named=True, everything=True)),
        ("stop reminding us of the ice", CancelsReminder("ice", is_named=True)),
        ("cancel that", None),
        ("undo", None),
        ("the ice", None),
    ],
)
def test_taking_a_reminder_back_says_which(text: str, cancels: CancelsReminder | None) -> None:
    assert cancelled_in(reader().line(text), reader()) == cancels
