"""A boat's computer whose clock steps back: order, ids and questions."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from bot import Desk
from bot.settings import load

DAY = datetime(2026, 3, 14, 10, 0, tzinfo=UTC)


class Clock:
    """Time as the test sets it."""

    def __init__(self) -> None:
        self.now = DAY

    def __call__(self) -> datetime:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def desk(tmp_path: Path, clock: Clock) -> Iterator[Desk]:
    with Desk(settings=load({"DECKCALL_HOME": str(tmp_path)}), clock=clock) as opened:
        yield opened


def test_calls_after_a_step_back_are_kept_in_one_trip_and_ids_go_on(
    desk: Desk, clock: Clock
) -> None:
    desk.say("lines in")
    desk.say("set long rigger purple eight")
    clock.now -= timedelta(hours=2)
    made = [desk.say(text).logged[0] for text in ("speed 7 knots", "strike long rigger")]

    view = desk.view(DAY)

    assert made == sorted(made)
    assert made[0] > max(entry.id for entry in view.stood if entry.id not in made)
    assert len({entry.trip for entry in view.stood}) == 1
    assert sorted(entry.call.act for entry in view.stood) == [
        "lines_in", "set", "speed", "strike", "trip_start",
    ]  # fmt: skip


def test_undo_after_a_step_back_takes_the_call_that_was_made_last(desk: Desk, clock: Clock) -> None:
    desk.say("lines in")
    desk.say("note: before the step")
    clock.now -= timedelta(hours=2)
    desk.say("note: after the step")

    desk.say("undo")

    texts = [entry.text for entry in desk.view(DAY).stood]
    assert "note: before the step" in texts
    assert "note: after the step" not in texts


def test_a_question_from_what_is_now_the_future_is_not_answered(desk: Desk, clock: Clock) -> None:
    desk.say("lines in")
    desk.say("set long rigger purple eight", crew="Ana")
    desk.say("strike long rigger", crew="Ana")
    asked = desk.say("strike long rigger green seven", crew="Bo")
    assert asked.ask is not None
    clock.now -= timedelta(hours=2)

    late = desk.say("yes", crew="Bo")

    assert late.logged == ()
    assert "question is over" in late.text
