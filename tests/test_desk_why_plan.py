"""Why a plan is as it is: asked while it is on offer."""

from pathlib import Path

from bot import Desk
from tests.desk_rig import call

BOX = Path(__file__).parents[1] / "fixtures/calls/box.csv"


def test_why_after_a_plan_is_about_the_plan(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        desk.box_import(BOX)
        offered = call(desk, "06:00 plan a spread")
        why = call(desk, "06:01 why this plan")

    first, *lines = why.text.splitlines()
    assert first.startswith("First every lure fits its rod's line class")
    told = {line.split(":")[0] for line in offered.text.splitlines() if " back on wave " in line}
    assert told
    assert {line.split(",")[0].casefold() for line in lines} >= told


def test_why_of_a_lure_is_about_that_one(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        desk.box_import(BOX)
        offered = call(desk, "06:00 plan a spread")
        line = next(x for x in offered.text.splitlines() if "Church Hat (" in x)
        why = call(desk, "06:01 why the church hat")

    assert why.text.startswith(f"{line.split(':')[0].capitalize()}, Church Hat: ")
    assert "Sunday Suit" not in why.text


def test_a_lure_that_is_not_in_the_plan_is_answered_by_its_state(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        desk.box_import(BOX)
        call(desk, "05:58 church hat needs a new leader", "06:00 plan a spread")
        why = call(desk, "06:01 why not the church hat")

    assert why.text.startswith("Church Hat is not in it: rework")


def test_a_lure_that_is_out_is_not_in_the_plan_because_it_is_out(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        desk.box_import(BOX)
        call(desk, "06:00 set short corner church hat", "06:01 lines in", "06:02 plan a spread")
        why = call(desk, "06:03 why not the church hat")

    assert why.text.startswith("Church Hat is not in it: it is out on the short corner")


def test_a_plan_that_cannot_be_made_says_that_the_one_before_is_still_on_offer(
    tmp_path: Path,
) -> None:
    with Desk(tmp_path) as desk:
        desk.box_import(BOX)
        first = call(desk, "06:00 plan a spread at three knots")
        second = call(desk, "06:01 plan a spread", "06:02 plan a spread at three knots")

    assert "No spread can be planned." in first.text
    assert "still on offer" not in first.text
    assert second.text.endswith("The plan before is still on offer.")


def test_why_after_something_was_logged_is_about_the_next_change_again(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        desk.box_import(BOX)
        call(
            desk,
            "06:00 plan a spread",
            "06:02 set it",
            "06:03 lines in",
            "07:00 strike short corner",
        )
        why = call(desk, "07:01 why")

    assert "First every lure fits" not in why.text
