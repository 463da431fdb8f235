"""What stands by, and what the crew leaves out of advice and plans; common practice, no source."""

from pathlib import Path

import pytest

from bot import Desk
from bot.messages import Advice
from tests.desk_rig import boxed, call, rigged, standing

BOX = (
    "name,head,size_in,colours,ready\n"
    "Plum Jam,slim,8,purple,yes\nBed Knob,slim,8,purple pink,yes\nSea Boot,plug,7.5,purple,yes\n"
    "Rag Doll,slanted,10,green,yes\nWall Clock,cupped,12,black,yes\nTin Lid,jet,6,silver,yes\n"
)
BITTEN = tuple(
    f"{clock} {words}"
    for clock in ("07:10", "07:50", "08:20", "08:50")
    for words in ("strike long rigger", "missed it")
)


def fishing(home: Path, *lines: str) -> Desk:
    return rigged(home, BOX, *BITTEN, *lines)


def proposed(desk: Desk, clock: str = "09:00") -> Advice:
    found = call(desk, f"{clock} what next").advice
    assert isinstance(found, Advice)
    return found


def test_what_stands_by_is_not_proposed_and_why_not_says_so(tmp_path: Path) -> None:
    with fishing(tmp_path) as desk:
        first = proposed(desk)
        why = call(desk, "09:01 why not the sea boot")

    assert first.lure != "Sea Boot"
    assert "stands by as the deep diver" in why.text


def test_what_stands_by_is_planned_only_where_it_is_asked_for(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        plan = call(desk, "05:00 plan a spread").text
        wished = call(desk, "05:05 plan a spread with the sea boot").text

    assert "Sea Boot" not in plan
    assert ": Sea Boot (" in wished


@pytest.mark.parametrize(
    "said",
    ["leave the {} out", "leave the {} out of the spread today", "don't propose the {}", "no, not the {}",
     "not the {}, it has weak hooks", "leave out the {}", "keep the {} out of the plans",
     "the {} is poison, leave it out of the spread", "leave the {} aboard"],
)  # fmt: skip
def test_what_is_left_out_brings_the_next_best_and_stays_out(tmp_path: Path, said: str) -> None:
    with fishing(tmp_path) as desk:
        first = proposed(desk).lure
        reply = call(desk, f"09:01 {said.format(first.lower())}")
        later = call(desk, "10:30 what next")
        plan = call(desk, "10:31 plan a spread")

    assert f"Left out of advice and plans for the day: {first}." in reply.text
    assert isinstance(reply.advice, Advice)
    assert reply.advice.lure != first
    assert later.advice is None or later.advice.lure != first
    assert f"Left out for the day: {first}." in plan.text
    assert f": {first}, " not in plan.text
    assert len(standing(tmp_path, "note")) == 1


@pytest.mark.parametrize(
    "said",
    ["leave the plum jam out of it?", "keep the plum jam out", "leave the plum jam out there, it's working",
     "not the rag doll", "the plum jam is out", "no plum jam left in the fridge"],
)  # fmt: skip
def test_what_leaves_nothing_out_keeps_no_note(tmp_path: Path, said: str) -> None:
    with fishing(tmp_path, "08:55 swap short corner plum jam") as desk:
        call(desk, "09:00 what next", f"09:01 {said}")

    assert standing(tmp_path, "note") == []


def test_it_may_be_proposed_again_and_undo_takes_it_back(tmp_path: Path) -> None:
    with fishing(tmp_path) as desk:
        first = proposed(desk).lure
        call(desk, f"09:01 leave the {first.lower()} out of it")
        again = call(desk, f"09:02 propose the {first.lower()} again")
        call(desk, f"09:03 don't propose the {first.lower()}", "09:04 undo")
        why = call(desk, f"09:05 why not the {first.lower()}")

    assert "left out" not in why.text
    assert f"In again for advice and plans: {first}." in again.text


def test_what_was_left_out_in_the_evening_is_so_in_the_morning(tmp_path: Path) -> None:
    with fishing(
        tmp_path, "15:00 lines out", "15:30 leave the wall clock out of the plans"
    ) as desk:
        call(desk, "15:40 trip over")
        plan = call(desk, "23:30 plan a spread")

    assert "Left out for the day: Wall Clock." in plan.text


def test_a_plan_on_offer_comes_again_without_it_and_with_the_others(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        plan = call(desk, "05:00 plan a spread").text
        other = call(desk, "05:01 leave the wall clock out of it").text

    assert "Wall Clock" in plan
    assert ": Wall Clock, " not in other
    assert "Plan for" in other
