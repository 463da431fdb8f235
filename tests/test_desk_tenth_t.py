"""A day with trays and plans: what is dropped, filled, taken out and put out (common practice, no source)."""

from pathlib import Path

import pytest

from bot import Desk
from tests.desk_rig import at, boxed, call, standing

BOX = """\
name,head,size_in,colours,hook_gauge,ready,speed_min_kn,speed_max_kn
Coffee Pot,cupped,14,black purple,heavy,yes,6.5,9
Barn Door,cupped,12,black red,heavy,yes,6.5,9
Pillow Case,slanted,10,green yellow,heavy,yes,6.5,9.5
Paper Boat,jet,8,purple silver,medium,yes,7,14
Night Train,slim,8,green yellow,medium,yes,7,12
Door Bell,slim,7,blue white,light,yes,7,12
Marble,slim,6,pink,light,yes,6,11
Old Boot,cupped,12,black blue,heavy,yes,4,6.5
Wet Sock,blunt,10,grey white,heavy,yes,4,7
Tea Leaf,slim,6,clear pink,light,yes,4,7
Bread Bin,cupped,8,red black,medium,no,4,7
"""
RED = (
    "05:00 put barn door on the short corner in the red tray",
    "05:01 put paper boat, night train and marble in the red tray",
)


def held(desk: Desk, clock: str, name: str = "red") -> list[str]:
    """Return the lures of a tray."""
    return [one.lure or "" for x in desk.view(at(clock)).trays if x.name == name for one in x.lures]


def out(desk: Desk, clock: str) -> dict[str, str | None]:
    return {one.position: one.lure for one in desk.view(at(clock)).trip.spread.values()}


@pytest.mark.parametrize(
    "said", ["forget it", "nah forget that", "never mind", "drop it", "scrap that plan"]
)
def test_a_plan_that_is_not_wanted_is_dropped_and_nothing_is_undone(
    tmp_path: Path, said: str
) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *RED, "05:10 plan a spread for marlin")
        dropped = call(desk, f"05:25 {said}").text
        set_now = call(desk, "05:26 set it").text

    assert dropped == "Left as it is."
    assert not set_now.startswith("Set:")
    assert len(standing(tmp_path, "tray")) == 4


def test_without_a_plan_on_offer_the_same_words_undo_and_so_does_undo_beside_one(
    tmp_path: Path,
) -> None:
    with boxed(tmp_path, BOX) as desk:
        no_plan = call(desk, *RED, "05:02 scrap the plan").text
        call(desk, "05:10 plan a spread", "05:11 door bell is ready")
        newest = call(desk, "05:12 forget it").text
        call(desk, "05:20 plan a spread")
        undone = call(desk, "05:21 undo").text

    assert no_plan == "No plan is on offer, so nothing is changed."
    assert newest == "Undone: ready, Door Bell."
    assert undone.startswith("Undone: tray, Paper Boat")
