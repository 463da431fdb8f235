"""Questions, the report and the next morning: what a sixth day stumbled over; common practice, no source."""

from pathlib import Path

from bot import Desk
from bot.reports.compose import compose
from tests.desk_rig import at, call

BOX = """name,size_in,colours,head,ready
Aunt Mabel,12,purple black,slanted,yes
Ginger Ale,10,red brown,cupped,yes
Beet,7,green,slim,yes
Marigold,11,gold orange,blunt,yes
"""


def boat(home: Path) -> Desk:
    box = home / "box.csv"
    box.write_text(BOX)
    desk = Desk(home)
    desk.box_import(box)
    return desk


def test_the_crew_of_the_report_has_everybody_once(tmp_path: Path) -> None:
    with boat(tmp_path) as desk:
        call(desk, "06:10 set long corner aunt mabel", "06:12 lines in", crew="Walt")
        desk.say("strike long corner", crew="Ray", at=at("07:20"))
        desk.say("strike long corner", crew="Walt", at=at("07:20"))
        desk.say("missed him", crew="Dusty", at=at("07:21"))
        desk.say("missed him", crew="Ray", at=at("07:22"))

        report = compose(desk.view(at("12:00")))

    assert report.day.crew == ("Walt", "Ray", "Dusty")


def test_a_lure_is_on_one_line_at_a_time_in_the_report(tmp_path: Path) -> None:
    with boat(tmp_path) as desk:
        call(
            desk, "06:10 set short rigger ginger ale", "06:11 set long corner aunt mabel", "06:12 lines in",
            "07:06 move ginger ale to the long corner", "10:51 swap long corner to marigold",
            "10:52 set short rigger ginger ale", "12:42 lines out",
        )  # fmt: skip

        laid = compose(desk.view(at("13:00"))).placements

    where = [(one.line, one.start, one.end) for one in laid if one.lure == "Ginger Ale"]
    assert where[:2] == [
        ("short rigger", at("06:12"), at("07:06")),
        ("long corner", at("07:06"), at("10:51")),
    ]
    assert where[2][:2] == ("short rigger", at("10:52"))


def test_a_lure_that_was_only_brought_in_with_the_lines_stays_one_row(tmp_path: Path) -> None:
    with boat(tmp_path) as desk:
        call(
            desk, "06:10 set short rigger ginger ale", "06:12 lines in", "08:00 lines out",
            "09:00 lines in", "12:00 lines out",
        )  # fmt: skip
        laid = compose(desk.view(at("13:00"))).placements

    assert [(one.lure, one.start) for one in laid] == [("Ginger Ale", at("06:12"))]
