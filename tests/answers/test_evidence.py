"""Why: what the record says for a change and against it, and what would change the judgement."""

import re
from dataclasses import replace
from datetime import timedelta

import pytest

from bot.advice.data import Hold
from bot.advice.tally import add_cells
from bot.answers.advise import cells, clumping, speaking_for, verdict
from bot.answers.evidence import asked_why, turning_point
from bot.messages import Advice
from bot.tackle.items import Lure
from bot.trip.call import Call
from bot.trip.exposure import Only
from bot.trip.tally import tally
from tests.answers.views import view
from tests.builders import call, log_of
from tests.meanings import asked

BOX = tuple(
    Lure(name, size, colours, ready=True)
    for name, size, colours in (
        ("Garden Gate", 8, ("purple",)),
        ("Milk Jug", 8, ("purple", "white")),
        ("Tea Cosy", 10, ("green",)),
        ("Tin Whistle", 6, ("silver",)),
    )
)
QUIET_START = (
    ("06:00", call("lines_in")),
    ("06:00", call("set", "short corner", "black 12")),
    ("06:00", call("set", "long rigger", "purple 8")),
    ("06:00", call("set", "shotgun", "red 10")),
)
BITES = tuple(
    message
    for clock in ("07:10", "08:20", "09:05", "09:50")
    for message in ((clock, call("strike", "long rigger")), (clock, call("miss")))
)
DAY = log_of(*QUIET_START, *BITES)


def test_why_gives_evidence_and_counter_evidence_and_what_would_change_it() -> None:
    found = asked_why(view(DAY, "10:00", BOX), Call("ask_why")).text

    assert "For it:" in found
    assert "Against it:" in found
    assert "What would change it:" in found


def test_asked_what_would_change_it_that_comes_first() -> None:
    found = asked_why(view(DAY, "10:00", BOX), asked("What would change your mind", "ask_why"))
    why = asked_why(view(DAY, "10:00", BOX), asked("why would you pick that", "ask_why"))

    assert found.text.startswith("What would change it:")
    assert found.spoken.startswith("What would change it:")
    assert not why.spoken.startswith("What would change it:")


def test_the_numbers_of_why_are_those_of_the_tally() -> None:
    seen_now = view(DAY, "10:00", BOX)
    advice = verdict(seen_now)
    assert isinstance(advice, Advice)

    told = speaking_for(seen_now, advice)

    assert told
    for one in told:
        for words, numbers in ((one.new, one.new_seen), (one.old, one.old_seen)):
            only = (
                Only(size_in=float(words.removesuffix("-inch")))
                if one.what == "size"
                else Only(colours=tuple(words.split(" and ")))
            )
            row = tally((seen_now.trip,), "none", seen_now.now, seen_now.tz, only).total
            assert (row.strikes, round(row.hours, 6)) == (numbers.strikes, round(numbers.hours, 6))


def test_all_that_is_weighed_adds_up_to_the_tally() -> None:
    seen_now = view(DAY, "10:00", BOX)
    total = tally((seen_now.trip,), "none", seen_now.now, seen_now.tz).total

    found = add_cells(cells(seen_now.trip, seen_now))

    assert (found.strikes, round(found.hours, 9)) == (total.strikes, round(total.hours, 9))


MOMENTS = ((0, "06:40"), (2, "07:12"), (2, "07:40"), (4, "08:22"), (6, "09:06"), (8, "12:00"))
"""Messages of `BITES` that have come in by a time."""


@pytest.mark.parametrize(("messages", "clock"), MOMENTS)
def test_what_is_said_to_change_it_does_and_less_does_not(messages: int, clock: str) -> None:
    before = verdict(view(log_of(*QUIET_START, *BITES[:messages]), clock, BOX))

    said = turning_point(view(log_of(*QUIET_START, *BITES[:messages]), clock, BOX), before)

    assert said.startswith("What would change it: ")
    least = re.search(r"(\d) more strikes? on the ([a-z ]+) \(", said)
    if least is not None:
        strikes, position = int(least[1]), least[2]
        found = [_after(messages, clock, position, number) for number in range(strikes + 1)]
        assert [_same(before, one) for one in found] == [True] * strikes + [False]
    quiet = re.search(r"([\d.]+ (?:min|h)) without a strike", said)
    if quiet is not None:
        place = ["30 min", "1.0 h", "2.0 h"].index(quiet[1])
        later = [_quiet(messages, clock, minutes) for minutes in (30, 60, 120)[: place + 1]]
        assert [_same(before, one) for one in later] == [True] * place + [False]


def test_the_moments_above_try_strikes_and_quiet_time() -> None:
    said = []
    for messages, clock in MOMENTS:
        now = view(log_of(*QUIET_START, *BITES[:messages]), clock, BOX)
        said.append(turning_point(now, verdict(now)))

    bitten = (("09:30", call("strike", "short corner")), ("09:30", call("miss")))
    both = log_of(*QUIET_START[:3], *BITES[:6], *bitten, *BITES[6:])
    said.append(turning_point(view(both, "10:00", BOX), verdict(view(both, "10:00", BOX))))

    assert any("more strike" in one for one in said)
    assert "without a strike, then Milk Jug on the short corner" in said[-1]


def test_a_hold_says_what_would_end_it() -> None:
    now = view(log_of(*QUIET_START), "06:40", BOX)

    said = asked_why(now, Call("ask_why")).text

    assert isinstance(verdict(now), Hold)
    assert "no change is worth its cost" in said
    assert "What would change it: " in said


def test_bursts_of_strikes_are_told_of() -> None:
    together = tuple(
        message
        for minute in range(10, 34, 2)
        for message in (
            (f"08:{minute}", call("strike", "long rigger")),
            (f"08:{minute + 1}", call("miss")),
        )
    )
    burst = view(log_of(*QUIET_START, *together), "12:00", BOX)

    assert clumping(burst) > 1.2
    assert "come in bursts" in asked_why(burst, Call("ask_why")).text
    assert "come in bursts" not in asked_why(view(DAY, "10:00", BOX), Call("ask_why")).text


def _after(messages: int, clock: str, position: str, strikes: int) -> object:
    more = [(clock, call("strike", position)), (clock, call("miss"))] * strikes
    return verdict(view(log_of(*QUIET_START, *BITES[:messages], *more), clock, BOX))


def _quiet(messages: int, clock: str, minutes: int) -> object:
    now = view(log_of(*QUIET_START, *BITES[:messages]), clock, BOX)
    return verdict(replace(now, now=now.now + timedelta(minutes=minutes)))


def _same(one: object, other: object) -> bool:
    if isinstance(one, Advice) and isinstance(other, Advice):
        return (one.position, one.lure) == (other.position, other.lure)
    return isinstance(one, Hold) == isinstance(other, Hold)
