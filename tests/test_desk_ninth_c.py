"""What is seen, pressed and read aloud; common practice, no source."""

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from bot import Desk
from bot.answers.board import between_trips, board, helm
from bot.desk.fleet import open_desks
from bot.messages import Message, Reply
from bot.settings import load
from tests.desk_rig import at, call

START = (
    "06:00 trip start", "06:05 set short corner black 14", "06:06 set long rigger purple 8",
    "06:10 lines in",
)  # fmt: skip
ASKS_REPORT = (
    "where's the report", "wheres the report", "send me the report", "can i have the report please",
    "show us the trip report", "report please", "where is the pdf",
)  # fmt: skip


def _web(desk: Desk, clock: str, text: str, crew: str = "Mate", **more: object) -> Reply:
    message = Message(crew, at(clock), "web", text=text, files=True, private=True, in_group=True)
    return desk.answer(replace(message, **more))  # type: ignore[arg-type]


@pytest.mark.parametrize("said", ASKS_REPORT)
def test_the_report_goes_with_the_answer_where_a_file_can_and_else_the_command(
    tmp_path: Path, said: str
) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *START, "07:00 strike long rigger")
        here = _web(desk, "07:10", said)
        terminal = call(desk, f"07:11 {said}")
        trip = desk.view().trip.id

    assert (here.report, "deckcall" in here.text) == (trip, False)
    assert (terminal.report, "deckcall report" in terminal.text) == ("", True)


@pytest.mark.parametrize(
    "said",
    ["report a strike long rigger", "send me the pliers please", "weather report says 20 knots"],
)
def test_other_reports_are_not_the_trips(tmp_path: Path, said: str) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *START)

        assert _web(desk, "07:10", said).report == ""


def test_the_end_of_a_trip_brings_its_report_and_a_repeated_message_too(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *START, "07:00 strike long rigger", "08:00 lines out")
        over = _web(desk, "08:10", "trip over", ref="web:1:abcdefgh")
        again = _web(desk, "08:10", "trip over", ref="web:1:abcdefgh")

    assert over.report
    assert again.report == over.report


def test_the_report_of_a_trip_is_made_in_the_forms_that_are_sent(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *START, "07:00 strike long rigger")
        trip = _web(desk, "07:10", "where is the report").report
    found = load(options={"home": tmp_path})
    with open_desks(found, lambda one: Desk(settings=one)) as fleet:
        assert fleet.report("", trip, "pdf").startswith(b"%PDF")
        assert b"<!doctype html>" in fleet.report("", trip, "html").lower()


def test_the_board_says_how_the_last_trip_ended(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        none = between_trips(desk.view(at("05:00")))
        call(desk, *START, "07:00 strike long rigger", "08:00 lines out", "08:10 trip over")
        same, later = (between_trips(desk.view(at("08:20") + timedelta(days=n))) for n in (0, 1))

    assert none == "No trip yet. Say: trip start."
    assert same.splitlines()[0] == "Trip ended, 08:10, after 2 h 10 min."
    assert same.splitlines()[1].startswith("1 strike, 0 hook-ups, 0 caught")
    assert later.startswith("Trip ended, 08:10 on 14 March, after")


def test_the_first_steps_stand_on_the_board_one_by_one_for_half_an_hour(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *START, "07:00 man overboard")
        soon, late = (helm(desk.view(at(clock))) or {} for clock in ("07:20", "07:40"))

    assert soon["trouble"].startswith("Man overboard, 07:00")
    assert soon["steps"][:2] == ["Shout.", "Throw a float."]
    assert (late["trouble"][:21], late["steps"]) == ("Man overboard, 07:00,", [])


def test_a_question_whose_button_still_works_is_not_told_as_over(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *START, "07:00 srtike")
        shown = [
            (board(desk.view(at(clock))) or ("", "", False))[1] for clock in ("07:01", "07:20")
        ]
        opened = [(helm(desk.view(at(clock))) or {})["open"] for clock in ("07:01", "07:20")]

    assert "Waiting for an answer, not logged yet" in shown[0]
    assert "Not answered, not logged" in shown[1]
    assert [len(one) for one in opened] == [1, 0]
