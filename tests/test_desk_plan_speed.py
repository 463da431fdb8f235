"""For which speed a plan is, and where that comes from; no outside source: a question about our own plans."""

from pathlib import Path

import pytest

from bot.messages import Reply
from tests.desk_rig import boxed, call, rows

BOX = """\
name,size_in,colours,head,ready,speed_min_kn,speed_max_kn
Garden Shed,12,purple black,cupped,yes,6,9
Post Box,9,red,blunt,yes,7,10
Oil Lamp,7,purple,slim,yes,7,10
Soap Dish,8,green,slanted,yes,4,5.5
Tea Strainer,6,green yellow,slim,yes,4,5.5
"""
SAID = (
    "what speed is that plan for",
    "what speed are we planned for?",
    "which speed did you plan for",
    "what's the speed of the plan",
    "how fast is the plan",
    "what's the planned speed",
)


def after(home: Path, *said: str) -> Reply:
    with boxed(home, BOX) as desk:
        return call(desk, *said)


@pytest.mark.parametrize("said", SAID)
def test_the_speed_of_a_plan_is_told_and_no_new_plan_is_made(tmp_path: Path, said: str) -> None:
    reply = after(tmp_path, "05:00 plan a spread", f"05:01 {said}")

    assert reply.text == "The plan is for 8 kn, the boat's usual speed."
    assert not rows(tmp_path)


@pytest.mark.parametrize(
    ("before", "told"),
    [
        (("plan a spread for seven and a half knots",), "7.5 kn, as it was asked for."),
        (("speed seven", "plan a spread"), "7 kn, as called at 05:00."),
        (("plan a slow spread",), "5.5 kn, at which most of the slow runners run."),
        (
            ("put the soap dish in tray two", "tray two is for five knots", "plan tray two"),
            "5 kn, which is that of tray two.",
        ),
    ],
)
def test_where_the_speed_of_a_plan_comes_from_is_told(
    tmp_path: Path, before: tuple[str, ...], told: str
) -> None:
    said = [f"05:0{n} {line}" for n, line in enumerate(before)]

    assert after(tmp_path, *said, f"05:09 {SAID[0]}").text == f"The plan is for {told}"


def test_lures_that_do_not_run_at_the_usual_speed_have_a_plan_of_their_own(tmp_path: Path) -> None:
    said = ("05:00 plan a spread without purple, without red", f"05:01 {SAID[0]}")

    told = "5.5 kn, as none of its lures runs at 8, the boat's usual speed."
    assert after(tmp_path, *said).text == f"The plan is for {told}"


def test_the_speed_of_a_plan_that_went_out_stays_what_it_was(tmp_path: Path) -> None:
    said = ("05:00 plan a spread", "05:01 set it", "05:02 lines in", "05:30 speed seven")

    assert "8 kn, the boat's usual speed" in after(tmp_path, *said, f"05:31 {SAID[0]}").text


def test_without_a_plan_the_speed_of_one_is_told(tmp_path: Path) -> None:
    told = "No plan has been made; one would be for 8 kn, the boat's usual speed."
    assert after(tmp_path, f"05:00 {SAID[1]}").text == told


def test_the_speed_asked_about_stays_on_offer_as_a_plan(tmp_path: Path) -> None:
    reply = after(tmp_path, "05:00 plan a spread", f"05:01 {SAID[0]}", "05:02 set it")

    assert reply.text.startswith("Set: ")
