"""What is made ready in the evening, and days with trays and plans; common practice, no source."""

from datetime import timedelta
from pathlib import Path

import pytest

from bot import Desk
from bot.messages import Reply
from tests.desk_rig import STANDS, at, boxed, rows

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


def acts(home: Path, *names: str) -> list[tuple[object, ...]]:
    """Return slots of the entries that stand, act first, without lines in and the start."""
    dull = ("trip_start", "trip_end", "lines_in", "lines_out")
    found = [row for row in rows(home, STANDS) if row["act"] not in dull]
    return [(row["act"], *(row[name] for name in names)) for row in found]


@pytest.mark.parametrize(
    ("told", "held"),
    [("casting outfit is ready, it's the broom handle on the spinning rod", "Broom Handle"),
     ("the pitch rod is rigged with the broom handle", "Broom Handle"),
     ("casting outfit's ready, with a popper on it", None)],
)  # fmt: skip
def test_an_outfit_that_is_ready_may_be_told_with_its_lure(
    tmp_path: Path, told: str, held: str | None
) -> None:
    with boxed(tmp_path, BOX) as desk:
        said(desk, "18:10 trip start", f"18:20 {told}")
        asked = said(desk, "18:21 is the casting outfit ready")

    assert acts(tmp_path, "lure", "tray")[0] == ("ready", "casting outfit", None)
    assert acts(tmp_path, "lure", "tray")[1:] == ([("tray", held, "casting")] if held else [])
    assert "The casting outfit is ready" in asked.text
    assert (held or "") in asked.text


@pytest.mark.parametrize(
    "told", ["is the casting outfit ready, it's the broom handle", "casting outfit ready?"]
)
def test_whether_an_outfit_is_ready_is_asked_and_not_logged(tmp_path: Path, told: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        answer = said(desk, "18:10 trip start", f"18:20 {told}")

    assert "has not been called ready" in answer.text
    assert acts(tmp_path) == []


def test_an_outfit_that_is_ready_and_lines_in_are_two_calls(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        said(desk, *MORNING, "05:20 casting outfit is ready, lines in")

    assert ("ready", "casting outfit") in acts(tmp_path, "lure")
    assert "lines_in" in [row["act"] for row in rows(tmp_path, STANDS)]


@pytest.mark.parametrize(
    "told",
    ["bird pile two o'clock, fish on top", "fish on top, birds two o'clock", "birds and fish on top",
     "birds at two o'clock and fish breaking on the surface"],
)  # fmt: skip
def test_fish_on_top_beside_birds_are_seen_and_cast_to(tmp_path: Path, told: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        answer = said(desk, *MORNING, "05:20 lines in", f"06:00 {told}")

    assert [what for act, what in acts(tmp_path, "what") if act == "sighting"] == [
        "birds",
        "jumping fish",
    ]
    assert "On top: cast to them." in answer.text


@pytest.mark.parametrize(
    "told",
    ["birds working, no fish on top", "birds two o'clock, if there's fish on top we cast",
     "weed line, birds on top of it"],
)  # fmt: skip
def test_birds_without_fish_on_top_bring_up_no_cast(tmp_path: Path, told: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        answer = said(desk, *MORNING, "05:20 lines in", f"06:00 {told}")

    assert "jumping fish" not in [what for _, what in acts(tmp_path, "what")]
    assert "cast to them" not in answer.text
