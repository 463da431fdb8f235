"""The life of a lure through the desk: ready, in the water, to check, ready again; undone, late, amended.

Common practice, no source: made ready it is ready until first used, then it needs a check.
"""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from bot import Desk

BOX = """name,size_in,colours,ready
Tea Tray,12,black purple,yes
Door Bell,8,purple,yes
Hat Stand,6,pink,no
"""
DAYS = (datetime(2025, 3, 1, tzinfo=UTC), datetime(2027, 3, 1, tzinfo=UTC))
"""Before and after the day on which the box is imported: a day played back, a clock that is wrong."""


@pytest.fixture(params=DAYS, ids=["earlier", "later"])
def day(request: pytest.FixtureRequest) -> datetime:
    found = request.param
    assert isinstance(found, datetime)
    return found


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    (tmp_path / "box.csv").write_text(BOX, encoding="utf-8")
    with Desk(tmp_path) as made:
        assert made.box_import(tmp_path / "box.csv") == ()
        yield made


def say(desk: Desk, day: datetime, lines: str) -> datetime:
    """Return lines such as `06:10 lines in`; give the time of the last."""
    at = day
    for line in lines.strip().splitlines():
        clock, text = line.strip().split(maxsplit=1)
        hours, minutes = clock.split(":")
        at = day + timedelta(hours=int(hours), minutes=int(minutes))
        desk.say(text, crew="Ann", at=at)
    return at


def state(desk: Desk, at: datetime, name: str = "Door Bell") -> str:
    return desk.view(at).readiness[name].state


FISHED = """
06:00 trip start
06:05 set long rigger door bell
06:10 lines in
"""


def test_in_the_water_then_to_check_then_ready_again(desk: Desk, day: datetime) -> None:
    assert state(desk, say(desk, day, FISHED)) == "in water"
    assert state(desk, say(desk, day, "08:00 lines out")) == "to check"
    assert state(desk, say(desk, day, "08:10 purple eight is ready")) == "ready"
    assert state(desk, day + timedelta(hours=9), "Tea Tray") == "ready"
    assert state(desk, day + timedelta(hours=9), "Hat Stand") == "to check"


def test_what_is_undone_never_was(desk: Desk, day: datetime) -> None:
    say(desk, day, FISHED + "07:00 clear the long rigger\n07:05 purple eight is ready")

    assert state(desk, say(desk, day, "07:06 undo")) == "to check"
    at = say(desk, day, "07:10 purple eight needs a new leader")
    assert state(desk, at) == "rework"
    assert state(desk, say(desk, day, "07:11 undo")) == "to check"


def test_a_lure_corrected_after_the_fact_is_the_one_that_was_in_the_water(
    desk: Desk, day: datetime
) -> None:
    at = say(desk, day, FISHED + "06:12 no, tea tray\n08:00 lines out")

    assert (state(desk, at), state(desk, at, "Tea Tray")) == ("ready", "to check")


def test_a_call_that_comes_late_counts_from_when_it_happened(desk: Desk, day: datetime) -> None:
    at = say(desk, day, FISHED + "08:00 lines out\n08:30 purple eight was checked\n")
    at = say(desk, day, "09:00 strike long rigger at seven thirty")
    bitten = desk.view(at).readiness["Door Bell"]

    assert (bitten.state, bitten.bites) == ("ready", 0)  # bitten before it was checked
    at = say(desk, day, "09:10 strike long rigger at eight forty")
    late = desk.view(at).readiness["Door Bell"]
    assert (late.state, late.bites) == ("to check", 1)


def test_lost_with_the_line_until_it_is_called_ready(desk: Desk, day: datetime) -> None:
    at = say(desk, day, FISHED + "07:00 hooked up long rigger\n07:05 broke him off")

    assert state(desk, at) == "lost"
    assert state(desk, say(desk, day, "09:00 door bell is ready")) == "ready"


def test_it_goes_on_over_three_trips(desk: Desk, day: datetime) -> None:
    say(desk, day, FISHED + "08:00 lines out\n09:00 trip end")
    second = day + timedelta(days=1)
    at = say(desk, second, "06:00 trip start\n06:01 what's ready")
    assert state(desk, at) == "to check"
    say(desk, second, "06:10 door bell is ready\n06:20 set shotgun door bell")
    at = say(desk, second, "06:30 lines in\n08:00 lines out\n09:00 trip end")
    assert state(desk, at) == "to check"
    third = day + timedelta(days=2)
    assert state(desk, say(desk, third, "06:00 trip start")) == "to check"


def test_a_lost_lure_that_fits_several_is_asked_about_by_name(desk: Desk, day: datetime) -> None:
    at = say(desk, day, "06:10 put the tea tray on the long rigger")

    asked = desk.say("lost the purple lure", at=at)
    logged = desk.say("door bell", at=at + timedelta(minutes=1))

    assert asked.ask == "Which lure: Tea Tray or Door Bell?"
    assert [button.label for button in asked.buttons] == ["Tea Tray", "Door Bell", "No"]
    assert logged.text.startswith("Lost: Door Bell.")


def test_a_lost_lure_that_fits_one_that_is_left_is_that_one(desk: Desk, day: datetime) -> None:
    at = say(desk, day, "06:10 put the tea tray on the long rigger, 06:11 lost the door bell")

    assert desk.say("lost the purple lure", at=at).text.startswith("Lost: Tea Tray.")
