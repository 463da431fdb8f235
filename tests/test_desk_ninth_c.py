"""What is seen, pressed and read aloud; common practice, no source."""

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from bot import Desk
from bot.answers.board import between_trips, board, helm
from bot.desk.fleet import open_desks
from bot.messages import Message, Reply
from bot.replies.aloud import MOST_WORDS, brief
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


def _words(reply: Reply) -> int:
    return len(reply.spoken.split())


@pytest.mark.parametrize(
    "said",
    ["man overboard", "pete is hurt, he is bleeding", "engine room is on fire", "why",
     "what did we catch", "plan a spread for heavy tackle", "tally by position"],
)  # fmt: skip
def test_what_is_read_aloud_takes_a_breath(tmp_path: Path, said: str) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *START, "07:00 strike long rigger", "07:01 fish on", "07:09 boated a wahoo")
        reply = call(desk, f"07:20 {said}")

    assert 0 < _words(reply) <= MOST_WORDS


def test_what_is_cut_keeps_whole_sentences_and_the_question() -> None:
    steps = (
        "Man overboard. Shout. Throw a float. One person points and never looks away. " + "x " * 30
    )
    asks = f"{'Set, shotgun, black 14. ' * 9}Shall I log lines in?"
    one = "; ".join(f"line {n}, lure {n}" for n in range(12)) + "."

    assert (
        brief(steps)
        == "Man overboard. Shout. Throw a float. One person points and never looks away."
    )
    assert brief(asks).endswith("black 14. Shall I log lines in?")
    assert brief(one) == "; ".join(f"line {n}, lure {n}" for n in range(6)) + "."
    assert brief("Strike, long rigger.") == "Strike, long rigger."


def test_a_new_proposal_is_read_aloud_after_what_was_logged(tmp_path: Path) -> None:
    (tmp_path / "box.csv").write_text(
        "name,size_in,colours,ready\nTea Cosy,9,green yellow,yes\nOil Lamp,8,purple,yes\n"
        "Wet Slate,10,blue,yes\nPocket Watch,8,purple black,yes\n"
    )
    replies = []
    with Desk(tmp_path) as desk:
        desk.box_import(tmp_path / "box.csv")
        call(desk, "06:00 trip start", "06:05 set short corner wet slate",
             "06:06 set long rigger oil lamp", "06:10 lines in")  # fmt: skip
        for hour in range(7, 12):
            replies.append(call(desk, f"{hour:02}:00 strike long rigger"))
            replies.append(call(desk, f"{hour:02}:02 missed him"))

    told = [one for one in replies if one.advice and "Better with" in one.text]
    still = [one for one in replies if one.advice and "Next: still" in one.text]
    assert told
    assert all(": " in one.spoken and "Next: " in one.spoken for one in told)
    assert not any("Next: " in one.spoken for one in still)


def test_that_it_holds_is_said_once_for_a_fish(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *START, "07:00 strike long rigger")
        on = call(desk, "07:01 fish on")
        fight = [call(desk, line) for line in ("07:05 its a wahoo", "07:09 leader")]
        over = call(desk, "07:12 boated him")

    assert "Hold until it is off" in on.text
    assert not any("Hold" in one.text for one in fight)
    assert "Hold" in over.text or "Next:" in over.text


def test_a_mark_says_whether_a_place_was_kept(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *START)
        nowhere = _web(desk, "07:00", "mark this spot")
        there = _web(desk, "07:05", "mark this spot", latitude=-35.2, longitude=174.3)

    assert "No place was kept with it" in nowhere.text
    assert "No place was kept" not in there.text


def test_the_weight_of_several_fish_is_of_each(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *START, "07:00 strike long rigger", "07:01 fish on")
        many = call(desk, "07:05 boated three skipjack, 2 kilos each")
        call(desk, "08:00 strike short corner", "08:01 fish on")
        one = call(desk, "08:05 boated a wahoo, 14 kilos")
        asked = call(desk, "08:10 what did we catch")

    assert "3 skipjack tuna, 2 kg each" in many.text
    assert "3 skipjack tuna, 2 kg each" in asked.text
    assert "14 kg each" not in one.text + asked.text


def test_the_report_tells_what_was_said_of_an_injury_and_by_whom(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *START, "07:00 strike long rigger")
        call(desk, "07:20 hook through his hand, it is Pete", crew="Clive")
        trip = _web(desk, "07:30", "where is the report").report
    found = load(options={"home": tmp_path})
    with open_desks(found, lambda one: Desk(settings=one)) as fleet:
        page = fleet.report("", trip, "md").decode()

    line = next(line for line in page.splitlines() if "hook through his hand" in line)
    assert "injury" in line
    assert "Clive" in line


def test_a_late_message_is_answered_from_its_own_time(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *START)
        call(desk, "12:00 swap the long rigger to green 12", "12:05 strike short corner")
        late = call(desk, "07:10 strike long rigger", crew="Ben")
        now = call(desk, "12:10 strike long rigger", crew="Ben")

    assert late.text.startswith("Strike, long rigger, purple 8-inch. 1 h 00 min in the water.")
    assert "12:" not in late.text
    assert late.advice is None
    assert "green 12-inch" in now.text


def test_the_board_names_what_was_called_last_though_it_happened_before(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *START, "08:00 strike long rigger")
        call(desk, "08:10 missed a bite on the short corner at 7:30")
        _, text, _ = board(desk.view(at("08:11"))) or ("", "", False)

    assert "Last: " in text
    assert "Last: strike, long rigger" not in text


def test_yes_to_an_offer_works_after_the_call_of_another_and_is_told_as_open(
    tmp_path: Path,
) -> None:
    with Desk(tmp_path) as desk:
        call(desk, "06:00 trip start", "06:05 set short corner black 14")
        offered = call(desk, "06:10 strike short corner")
        _web(desk, "06:11", "note: birds everywhere", crew="Ben", skipper=False)
        yes = offered.buttons[0]
        still_open = (helm(desk.view(at("06:12"))) or {})["open"]
        said = Message("Mate", at("06:12"), "web", text=yes.say, about=yes.about)
        taken = desk.answer(said)
        closed = (helm(desk.view(at("06:13"))) or {})["open"]

    assert "Shall I log lines in?" in offered.text
    assert yes.about in still_open
    assert taken.text.startswith("Lines in")
    assert yes.about not in closed


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("plan a spread for tomorrow", False),
        ("plan a spread for the morning", False),
        ("plan a spread with flubberwings", True),
    ],
)
def test_for_which_day_a_plan_is_asked_is_no_wish_that_was_not_understood(
    tmp_path: Path, said: str, told: bool
) -> None:
    with Desk(tmp_path) as desk:
        desk.box_import("fixtures/calls/box.csv")
        reply = call(desk, f"06:00 {said}")

    assert ("not understood" in reply.text) is told
