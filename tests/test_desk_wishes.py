"""Plans, reasons and refusals as a crew asks for them: what is planned, what a question changes."""

from pathlib import Path

from tests.desk_rig import boxed, call, rows

BOX = """\
name,size_in,colours,head,ready
Garden Shed,12,purple black,cupped,yes
Wet Slate,11,black,blunt,yes
Rain Gutter,9,green,slanted,yes
Oil Lamp,7,purple,slim,yes
Lamp Post,7,blue silver,jet,yes
Fire Bucket,7,red white,slim,yes
Tea Strainer,6,green yellow,slim,yes
"""
FISHING = (
    "06:00 set short corner garden shed, long corner wet slate, short rigger rain gutter",
    "06:00 set long rigger oil lamp, shotgun fire bucket",
    "06:01 lines in",
    "07:00 strike long rigger",
    "07:01 missed him",
    "07:30 strike long rigger",
    "07:31 missed him",
    "07:50 strike long rigger",
    "07:51 missed him",
)


def test_a_fish_with_a_colour_in_its_name_narrows_no_colours(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        blue = call(desk, "05:00 plan a spread for blue marlin").text
        yellow = call(desk, "05:01 plan a spread for yellowfin tuna").text
        colour = call(desk, "05:02 plan a blue spread").text

    assert "5 lures" in blue
    assert "Only" not in blue + yellow
    assert "Only blue (1 ready)." in colour


def test_why_not_a_lure_is_answered_and_leaves_nothing_out(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        proposed = call(desk, *FISHING, "08:25 what next").advice
        assert proposed is not None
        before = len(rows(tmp_path))
        reply = call(desk, f"08:26 why not the {proposed.lure}")

    assert "Left out" not in reply.text
    assert proposed.lure in reply.text
    assert "Against it:" in reply.text
    assert len(rows(tmp_path)) == before
