"""The plan on offer, asked to be seen or drawn: it stays the one on offer."""

from pathlib import Path

import pytest

from tests.desk_rig import at, boxed, call, rows

BOX = """\
name,size_in,colours,head,ready,speed_min_kn,speed_max_kn
Garden Shed,12,purple black,cupped,yes,6.5,9
Rain Gutter,9,green,slanted,yes,6.5,9
Oil Lamp,7,purple,slim,yes,6.5,9
Candle End,6,pink,jet,yes,6.5,9
Tin Snail,8,brown,slanted,yes,,6
Soap Dish,10,pink,cupped,yes,,6
"""
PLANNED = "06:01 plan a spread for wahoo, two lines"


@pytest.mark.parametrize(
    "said",
    [
        "picture of the plan", "draw the plan", "can I see the plan", "what does the plan look like",
        "picture of it", "draw it please", "what was the plan again", "drawing of the plan please",
    ],
)  # fmt: skip
def test_the_plan_on_offer_is_shown_as_it_is_with_its_picture(tmp_path: Path, said: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        offered = call(desk, "06:00 trip start", PLANNED)
        seen = call(desk, f"06:02 {said}")
        call(desk, "06:03 set it")
        out = {one.position for one in desk.view(at("06:04")).trip.spread.values()}

    assert seen.text == offered.text
    assert [one.caption for one in seen.pictures] == ["The plan"]
    assert out == {"short corner", "long corner"}


def test_a_plan_for_a_tray_that_was_seen_still_goes_into_the_tray(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        seen = call(desk, "06:00 plan the slow tray", "06:01 picture of the plan")
        call(desk, "06:02 set it")
        trays = {one.name: len(one.lures) for one in desk.view(at("06:03")).trays}

    assert seen.pictures
    assert trays == {"slow": 2}


def test_a_picture_of_it_is_of_the_spread_where_no_plan_is_on_offer(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, "06:00 put oil lamp on the shotgun", "06:01 lines in")
        reply = call(desk, "06:10 picture of it")

    assert [one.caption for one in reply.pictures] == ["The spread"]


def test_another_plan_drawn_is_another_and_none_is_planned_for_talk(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, "06:00 trip start", PLANNED)
        other = call(desk, "06:02 show me another plan")
        before = len(rows(tmp_path))
        talk = call(desk, "06:03 what's the plan for dinner")

    assert other.calls == ({"act": "plan"},)
    assert talk.calls == ()
    assert len(rows(tmp_path)) == before
