"""Whether a line is to be changed: asked of the program, or talk among the crew. Common practice."""

from dataclasses import replace
from pathlib import Path

import pytest

from bot.messages import Message, Reply
from tests.desk_rig import at, boxed, call, rigged, rows

BOX = """\
name,size_in,colours,head,ready,speed_min_kn,speed_max_kn
Plum Jam,8,purple,slim,yes,6,10
Tin Lid,6,red,jet,yes,6,10
Soap Dish,9,green,slanted,yes,4,5.5
"""
OF_A_LINE = (
    "should we change the shotgun",
    "should I change the shotgun?",
    "can we swap the shotgun now",
    "is it time to change the shotgun",
    "worth changing the shotgun or leave it",
)
SLOW = ("can we go slow", "should we go slow?", "should we run the slow ones", "time to go slow")
ALONE = Message("Mate", at("09:30"), "console", private=True)


def said(home: Path, message: Message, text: str) -> Reply:
    with rigged(home, BOX, "07:00 strike long rigger", "07:01 missed him") as desk:
        before = len(rows(home))
        reply = desk.answer(replace(message, text=text))
    assert len(rows(home)) == before
    return reply


@pytest.mark.parametrize("text", OF_A_LINE)
def test_a_question_about_a_line_is_answered_where_nobody_else_is_asked(
    tmp_path: Path, text: str
) -> None:
    lines = said(tmp_path, ALONE, text).text.splitlines()

    assert " on the shotgun" in lines[0]
    assert any(line.startswith(("Hold until", "Next: ")) for line in lines)


@pytest.mark.parametrize("text", SLOW)
def test_going_slow_is_a_plan_of_slow_runners(tmp_path: Path, text: str) -> None:
    reply = said(tmp_path, ALONE, text)

    assert reply.text.startswith("Plan for 5.5 kn")
    assert "Soap Dish" in reply.text


@pytest.mark.parametrize("text", [*OF_A_LINE[:3], *SLOW[:3]])
def test_the_same_among_the_crew_is_talk(tmp_path: Path, text: str) -> None:
    for message in (replace(ALONE, private=False), replace(ALONE, in_group=True)):
        with boxed(tmp_path, BOX) as desk:
            assert not desk.answer(replace(message, text=text)).text.startswith(("Next", "Plan"))


@pytest.mark.parametrize("text", OF_A_LINE[:2])
def test_who_names_the_program_asks_it(tmp_path: Path, text: str) -> None:
    for named in (f"deckcall, {text}", f"{text.rstrip('?')}, deckcall"):
        reply = said(tmp_path, replace(ALONE, private=False), named)
        assert "Hold until" in reply.text or "Next: " in reply.text


def test_the_name_of_the_program_is_no_wish_for_a_plan(tmp_path: Path) -> None:
    reply = said(tmp_path, replace(ALONE, private=False), f"deckcall, {SLOW[0]}")

    assert reply.text.startswith("Plan for 5.5 kn")
    assert "not understood" not in reply.text


@pytest.mark.parametrize(
    "text",
    [
        "should we change the shotgun before the rip",
        "should we change the shotgun rod",
        "can we go slow past the moorings",
        "should we change the oil",
        "can we slow down",
    ],
)
def test_more_than_the_question_is_talk_to_nobody(tmp_path: Path, text: str) -> None:
    assert not said(tmp_path, ALONE, text).text.startswith(("Hold", "Next", "Plan"))


def test_what_to_put_on_a_line_speaks_of_that_line_first(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX) as desk:
        reply = call(desk, "08:00 what would you put on the short corner")

    assert " on the short corner" in reply.text.splitlines()[0]
