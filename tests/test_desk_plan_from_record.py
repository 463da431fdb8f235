"""The plan of a morning takes in what has bitten: size first, then colour; common practice, no source."""

from datetime import timedelta
from pathlib import Path

import pytest

from bot import Desk
from bot.messages import Reply
from tests.desk_rig import at, boxed, call, standing

BOX = (
    "name,head,size_in,colours,ready\n"
    "Plum Jam,slim,8,purple,yes\nBed Knob,slim,8,purple pink,yes\nSea Boot,slanted,8,green,yes\n"
    "Rag Doll,slanted,10,green,yes\nWall Clock,cupped,12,black,yes\nTin Lid,jet,6,silver,yes\n"
    "Hot Dog,slanted,9,orange,yes\nSoap Dish,slim,7,blue,yes\nOld Chair,cupped,14,white,yes\n"
)
OUT = (
    "06:00 trip start", "06:01 set short corner wall clock", "06:01 set long corner rag doll",
    "06:01 set long rigger plum jam", "06:01 set shotgun tin lid", "06:02 lines in",
)  # fmt: skip
ALL_OVER = (
    "14:00 lines out", "14:10 plum jam is ready", "14:10 wall clock is ready", "14:10 rag doll is ready",
    "14:10 tin lid is ready", "14:20 trip over",
)  # fmt: skip


def after(home: Path, *bites: str) -> Desk:
    """Return a desk on the evening of a day with these bites."""
    desk = boxed(home, BOX)
    call(desk, *OUT)
    for number, line in enumerate(bites):
        clock = f"{7 + number // 2:02}:{10 + 30 * (number % 2)}"
        call(desk, f"{clock} strike {line}", f"{clock} missed it")
    call(desk, *ALL_OVER)
    return desk


def morning(desk: Desk, said: str) -> Reply:
    return desk.say(said, crew="Mate", at=at("05:00") + timedelta(days=1))


def line_of(plan: Reply, lure: str) -> str:
    return next((x.split(":")[0] for x in plan.text.splitlines() if f": {lure} (" in x), "")


FIVE = ("long rigger",) * 5


def test_a_plan_has_what_bit_the_day_before_and_says_so(tmp_path: Path) -> None:
    with after(tmp_path, *FIVE) as desk:
        plan = morning(desk, "plan a spread")
        why = morning(desk, "why")

    said = "8-inch had 5 of 5 strikes yesterday, purple 5: Plum Jam and Bed Knob are in for it."
    assert said in plan.text
    assert line_of(plan, "Plum Jam") == "long rigger"  # where it was bitten
    assert line_of(plan, "Bed Knob")
    assert said in why.text


def test_few_or_spread_strikes_leave_a_plan_as_it_is(tmp_path: Path) -> None:
    with after(tmp_path, "long rigger", "long rigger") as desk:
        few = morning(desk, "plan a spread")
    (tmp_path / "other").mkdir()
    with after(tmp_path / "other", "long rigger", "shotgun", "short corner", "long corner") as desk:
        spread = morning(desk, "plan a spread")

    assert "in for it" not in few.text
    assert "in for it" not in spread.text


@pytest.mark.parametrize(
    "said",
    ["plan a spread for what bit yesterday", "plan a spread with what worked yesterday",
     "give me a spread from what they ate yesterday", "plan for yesterday's bites"],
)  # fmt: skip
def test_what_bit_can_be_asked_for_by_its_day(tmp_path: Path, said: str) -> None:
    with after(tmp_path, "long rigger") as desk:
        plan = morning(desk, said)

    assert (
        "8-inch had 1 of 1 strike yesterday, purple 1: Plum Jam, Bed Knob and Sea Boot are in for it."
        in plan.text
    )
    assert "not understood" not in plan.text


def test_a_time_without_a_strike_is_said(tmp_path: Path) -> None:
    with after(tmp_path, *FIVE) as desk:
        plan = morning(desk, "plan a spread for what bit last week")

    assert "No strike last week in the log, so nothing could be taken from it." in plan.text


def test_what_bit_and_is_not_ready_is_said(tmp_path: Path) -> None:
    with after(tmp_path, *FIVE) as desk:
        morning(desk, "plum jam needs work, bent hook")
        plan = morning(desk, "plan a spread, no bed knob, no sea boot")

    assert (
        "8-inch had 5 of 5 strikes yesterday, purple 5; nothing like it is ready that fits."
        in plan.text
    )


@pytest.mark.parametrize(
    "said", ["what worked yesterday", "what bit yesterday", "and what did they eat last trip"]
)
def test_what_worked_yesterday_is_a_question_for_its_tally(tmp_path: Path, said: str) -> None:
    with after(tmp_path, *FIVE) as desk:
        reply = morning(desk, said)

    assert reply.ask is None
    assert "5 strikes" in reply.text
    assert "Plum Jam" in reply.text or "purple" in reply.text.casefold()
    assert not standing(tmp_path, "note")
