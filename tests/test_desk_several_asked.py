"""Several of the crew are asked at once: each question is answered by itself, by name, button or words.

What is right stands beside each talk; common practice, no source.
"""

from datetime import timedelta
from pathlib import Path

import pytest

from bot import Desk
from bot.messages import Message, Reply
from tests.desk_rig import DAY, LINES, rows

THREE_ON = (
    "0 Ana: fish on short corner",
    "0.3 Ben: fish on the shotgun",
    "0.6 Tom: fish on long rigger",
)
THREE_IN = ("5 Ana: boated it, 20 kg", "5.3 Ben: boated it, 31 kilos", "5.6 Tom: boated it, 12 kg")
WEIGHTS = {"short corner": 20.0, "shotgun": 31.0, "long rigger": 12.0}


def told(home: Path, *lines: str, skippers: bool = True) -> list[Reply]:
    """Return the replies to lines such as `10 Ana: wired him`; `[Shotgun]` presses the last such button."""
    replies: list[Reply] = []
    with Desk(home) as desk:
        for number, text in enumerate(LINES):
            desk.say(text, crew="Skipper", at=DAY + timedelta(seconds=10 * number))
        for line in lines:
            who, text = line.split(": ", 1)
            minute, crew = who.split()
            about = ""
            if text.startswith("["):
                buttons = (button for one in reversed(replies) for button in one.buttons)
                button = next(one for one in buttons if one.label == text.strip("[]"))
                text, about = button.say, button.about
            at = DAY + timedelta(minutes=31 + float(minute))
            message = Message(crew, at, "console", text=text, about=about, skipper=skippers)
            replies.append(desk.answer(message))
    return replies


def boated(home: Path) -> dict[str, float | None]:
    """Return the weight of each fish that was boated, by its line."""
    found = rows(home, "SELECT position, weight_kg FROM entries WHERE NOT void AND act = 'boat'")
    return {row["position"]: row["weight_kg"] for row in found}


@pytest.mark.parametrize("skippers", [True, False])
def test_three_who_are_asked_at_once_each_answer_their_own(tmp_path: Path, skippers: bool) -> None:
    answers = ("6 Ana: short corner", "6.2 Ben: shotgun", "6.4 Tom: long rigger")

    replies = told(tmp_path, *THREE_ON, *THREE_IN, *answers, skippers=skippers)

    assert all(one.ask for one in replies[3:6])
    assert boated(tmp_path) == WEIGHTS


def test_a_skipper_answers_for_others_by_their_names(tmp_path: Path) -> None:
    answers = ("6 Skipper: Tom's is the long rigger", "6.2 Skipper: Ben's is the shotgun")

    told(tmp_path, *THREE_ON, *THREE_IN, *answers, "6.4 Ana: short corner")

    assert boated(tmp_path) == WEIGHTS


def test_the_same_call_of_another_closes_the_question(tmp_path: Path) -> None:
    told(
        tmp_path,
        *THREE_ON,
        "5 Ana: boated one",
        "5.2 Ben: boated it on the shotgun",
        "9 Tom: tally",
    )

    assert boated(tmp_path) == {"shotgun": None}


def test_the_other_one_tells_which_fish_was_asked_about(tmp_path: Path) -> None:
    replies = told(tmp_path, *THREE_ON[1:], "5 Ben: boated one, mahi", "7 Tom: the other one's off")

    assert len(boated(tmp_path)) == 1
    assert "Taken, as nobody answered: boated, mahi-mahi, " in replies[-1].text
    ended = rows(
        tmp_path, "SELECT position FROM entries WHERE NOT void AND act IN ('boat', 'pulled_hook')"
    )
    assert {row["position"] for row in ended} == {"shotgun", "long rigger"}


def test_a_late_button_puts_right_what_was_taken(tmp_path: Path) -> None:
    lines = (*THREE_ON[1:], "5 Ben: boated him, 9 kilos", "6 Tom: the other one's off")
    first = told(tmp_path / "first", *lines)
    (taken,) = boated(tmp_path / "first")
    other = next(one for one in ("Shotgun", "Long rigger") if one.lower() != taken)

    replies = told(tmp_path / "then", *lines, f"7 Ben: [{other}]")

    assert first[-1].text.startswith("Taken, as nobody answered")
    assert replies[-1].text.startswith("Corrected")
    assert boated(tmp_path / "then") == {other.lower(): 9.0}
    lost = rows(
        tmp_path / "then", "SELECT position FROM entries WHERE NOT void AND act = 'pulled_hook'"
    )
    assert [row["position"] for row in lost] == [taken]


def test_a_late_button_that_agrees_says_what_is_in_the_log(tmp_path: Path) -> None:
    lines = (*THREE_ON[1:], "5 Ben: boated him, 9 kilos", "8 Tom: eight knots")
    told(tmp_path / "first", *lines)
    (taken,) = boated(tmp_path / "first")

    replies = told(tmp_path / "then", *lines, f"9 Ben: [{taken.capitalize()}]")

    assert replies[-1].text == f"That question is over. In the log: Boated, {taken}."
    assert boated(tmp_path / "then") == {taken: 9.0}


def test_a_late_no_takes_back_what_was_taken(tmp_path: Path) -> None:
    told(tmp_path, *THREE_ON[1:], "5 Ben: boated him", "8 Tom: eight knots", "9 Ben: [No]")

    assert boated(tmp_path) == {}


def test_a_button_of_an_answered_question_is_not_silent(tmp_path: Path) -> None:
    lines = (
        "5 Ben: boated him, mahi",
        "5.2 Ben: shotgun",
        "20 Tom: released the other",
        "25 Ben: [Long rigger]",
    )

    replies = told(tmp_path, *THREE_ON[1:], *lines)

    assert replies[-1].text
    assert sum(one.ask is not None for one in replies) == 1


def test_which_fish_ended_is_put_right_for_both(tmp_path: Path) -> None:
    """Two in the boat whose lines were mixed up: the catches change places, the hook-ups stay."""
    lines = ("5 Ben: boated the shotgun fish, mahi", "6 Tom: boated the long rigger, wahoo")

    told(tmp_path, *THREE_ON[1:], *lines, "7 Ana: the mahi was the long rigger")

    found = rows(
        tmp_path,
        "SELECT act, position, species FROM entries WHERE NOT void AND act IN ('hookup', 'boat')",
    )
    assert sorted(f"{r['act']} {r['position']} {r['species'] or ''}".strip() for r in found) == [
        "boat long rigger mahi-mahi", "boat shotgun wahoo", "hookup long rigger", "hookup shotgun",
    ]  # fmt: skip


def test_what_another_adds_is_read_back(tmp_path: Path) -> None:
    lines = ("0 Ana: fish on shotgun", "9 Ana: boated, mahi", "10 Tom: mahi in the box, 8 kilos")

    replies = told(tmp_path, *lines)

    assert replies[-1].text.startswith("Added to that of Ana: boated, mahi-mahi, 8 kg, shotgun")
    assert boated(tmp_path) == {"shotgun": 8.0}
