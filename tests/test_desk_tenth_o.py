"""What is made ready in the evening, and days with trays and plans; common practice, no source."""

from datetime import timedelta
from pathlib import Path

from bot import Desk
from bot.messages import Reply
from tests.desk_rig import at, boxed

BOX = (
    "name,head,size_in,colours,hook_gauge,ready,speed_min_kn,speed_max_kn\n"
    "Church Hat,blunt,10,purple black,heavy,yes,6,9\n"
    "Tea Cosy,slanted,8,green,medium,yes,6,9\n"
    "Rusty Nail,slim,7,brown orange,medium,yes,6,10\n"
    "Broom Handle,jet,6,silver blue,light,yes,6,11\n"
    "Sunken Lane,plug,7,purple pink,medium,yes,4,9\n"
)


def said(desk: Desk, *lines: str, day: int = 0, crew: str = "Mate") -> Reply:
    """Return the last reply to lines such as `06:00 lines in`, said some days after the first."""
    reply = Reply("")
    for line in lines:
        clock, text = line.split(maxsplit=1)
        reply = desk.say(text, crew=crew, at=at(clock) + timedelta(days=day))
    return reply


EVENING = ("18:10 trip start", "18:20 casting outfit is ready", "19:10 trip over")
MORNING = ("05:00 trip start", "05:10 set shotgun broom handle")
HOME_AGAIN = ("12:00 lines out", "12:30 trip over")


def test_what_stands_by_since_the_evening_is_ready_in_the_morning(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        said(desk, *EVENING)
        lines_in = said(desk, *MORNING, "05:20 lines in", day=1)
        on_top = said(desk, "06:00 fish on top", day=1)

    assert "casting outfit" not in lines_in.text
    assert "The casting outfit is ready." in on_top.text


def test_after_a_days_fishing_it_is_called_ready_anew(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        said(desk, *EVENING)
        said(desk, *MORNING, "05:20 lines in", *HOME_AGAIN, day=1)
        evening = said(desk, "18:00 is the casting outfit ready", day=1)
        lines_in = said(desk, *MORNING, "05:20 lines in", day=2)

    assert "has not been called ready" in evening.text
    assert "The casting outfit has not been called ready" in lines_in.text


def test_packing_list_lines_in_and_the_question_agree_on_the_deep_diver(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        said(desk, "18:10 tray deep: sunken lane")
        packed = said(desk, "18:20 packing list")
        asked = said(desk, "18:21 is the deep diver ready")
        lines_in = said(desk, *MORNING, "05:20 lines in", day=1)

    assert "Deep diver (for fish marked deep): ready." in packed.text
    assert "The deep diver is ready: Sunken Lane" in asked.text
    assert "deep diver" not in lines_in.text


def test_a_diver_that_needs_work_is_ready_nowhere(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        said(desk, "18:10 tray deep: sunken lane", "18:15 sunken lane needs new hooks")
        packed = said(desk, "18:20 packing list")
        asked = said(desk, "18:21 is the deep diver ready")
        lines_in = said(desk, *MORNING, "05:20 lines in", day=1)

    assert "Deep diver (for fish marked deep): not called ready." in packed.text
    assert "has not been called ready" in asked.text
    assert "deep diver has not been called ready" in lines_in.text
