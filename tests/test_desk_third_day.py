"""What a whole day aboard stumbled over, said again; what is right is common practice, no source."""

from datetime import UTC
from pathlib import Path

import pytest

from bot import Desk
from bot.reports.compose import compose
from bot.reports.forms import report_file
from tests.desk_rig import call, rows

OUT = ("06:30 lines in", "06:30 set long rigger wet slate", "06:31 set short rigger oil lamp")
FOUR = """[boat]
timezone = "UTC"
positions = ["short corner", "long corner", "short rigger", "long rigger"]
"""
BOX = (
    "name,size_in,colours,leader_kg,leader_m,ready\nWet Slate,10,blue white,,,yes\nOil Lamp,8,purple,,,yes\n"
    "Rain Gutter,9,green,180,4,yes\nSecond Cousin,9,red,180,4,yes\n"
)


@pytest.fixture
def home(tmp_path: Path) -> Path:
    (tmp_path / "box.csv").write_text(BOX)
    with Desk(tmp_path) as desk:
        desk.box_import(tmp_path / "box.csv")
    return tmp_path


def acts(home: Path) -> list[str]:
    return [row["act"] for row in rows(home, "SELECT act FROM entries WHERE NOT void ORDER BY id")]


def test_a_false_alarm_without_trouble_and_without_a_bite_takes_nothing_back(home: Path) -> None:
    with Desk(home) as desk:
        reply = call(desk, *OUT, "07:00 speed 8 knots", "07:01 false alarm")

    assert reply.text == "No trouble is open."
    assert acts(home)[-1] == "speed"


def test_a_bilge_alarm_is_flooding_and_its_test_is_none(home: Path) -> None:
    with Desk(home) as desk:
        call(desk, "07:00 bilge alarm tested")
        assert "emergency" not in acts(home)
        reply = call(desk, *OUT, "07:10 bilge alarm is going")

    assert reply.text.startswith("FLOODING, 07:10")


def test_a_lure_on_a_line_that_the_boat_has_not_is_asked_about(home: Path) -> None:
    (home / "deckcall.toml").write_text(FOUR)
    with Desk(home) as desk:
        asked = call(desk, *OUT, "07:00 set shotgun rain gutter")
        said = rows(home, "SELECT position FROM entries WHERE act = 'set'")
        taken = call(desk, "07:01 yes")
        again = call(desk, "07:02 swap the shotgun to second cousin")

    assert asked.ask is not None
    assert asked.text.startswith("This boat has no shotgun (short corner, long corner,")
    assert [row["position"] for row in said] == ["long rigger", "short rigger"]
    assert taken.text.startswith("Set, shotgun: Rain Gutter (green 9-inch).")
    assert again.ask is None  # it is known now


def test_weed_that_is_cleared_leaves_the_lure_where_it_was_and_fishing(home: Path) -> None:
    with Desk(home) as desk:
        call(desk, *OUT, "07:00 weed on the long rigger")
        towing = desk.view().trip
        reply = call(desk, "07:05 cleared it")
        clean = desk.view().trip

    assert [span.line for span in towing.fouled if span.end is None] == ["long rigger"]
    assert reply.text.splitlines()[:2] == [
        "Cleared, long rigger: Wet Slate (blue and white 10-inch), 35 min in the water.",
        "Set, long rigger: Wet Slate (blue and white 10-inch).",
    ]
    assert [span.end for span in clean.fouled if span.end is None] == []
    assert clean.in_water["long rigger"].lure == "Wet Slate"


def test_lures_that_are_listed_go_into_a_tray_together_whatever_its_name(home: Path) -> None:
    with Desk(home) as desk:
        reply = call(desk, "06:00 put wet slate, rain gutter and oil lamp in tray lunch")
        shown = call(desk, "06:01 what's in the lunch tray")

    assert reply.text.startswith(
        "In the lunch tray: Wet Slate (blue and white 10-inch); Rain Gutter"
    )
    assert shown.text.startswith("The lunch tray: 3 lures")


def test_of_lures_that_are_listed_for_a_tray_with_a_number_none_is_left_out(home: Path) -> None:
    with Desk(home) as desk:
        reply = call(desk, "06:00 put wet slate and rain gutter and oil lamp in tray two")

    assert reply.text.startswith("In tray two: Wet Slate (blue and white 10-inch); Rain Gutter")


def test_a_lure_that_is_back_in_the_box_is_no_fish_and_its_line_is_in(home: Path) -> None:
    with Desk(home) as desk:
        call(desk, *OUT, "07:00 swap the short rigger to second cousin")
        reply = call(desk, "07:30 second cousin is back in the box")
        other = call(desk, "07:31 rain gutter is back in the box")

    assert reply.text.startswith("Cleared, short rigger: Second Cousin (red 9-inch),")
    assert other.logged == ()
    assert "boat" not in acts(home)


def test_whether_one_colour_is_better_than_another_shows_the_tallies_of_both(home: Path) -> None:
    with Desk(home) as desk:
        call(desk, *OUT, "07:00 strike short rigger", "07:10 missed it")
        reply = call(desk, "08:00 is purple better than blue?")

    assert "Purple: 1 strike, 0 hook-ups" in reply.text
    assert "Blue: 0 strikes, 0 hook-ups" in reply.text


@pytest.mark.parametrize(
    "asks", ["where did we catch the yellowfin", "where was the yellowfin caught"]
)
def test_where_a_fish_was_caught_is_said_and_that_it_is_not_known(home: Path, asks: str) -> None:
    caught = ("07:00 strike long rigger", "07:01 fish on", "07:20 boated a yellowfin")
    with Desk(home) as desk:
        reply = call(desk, *OUT, *caught, f"07:30 {asks}")

    assert reply.text.splitlines()[-1] == "No place was known when that was logged."
    assert "yellowfin tuna, kept, long rigger" in reply.text


def test_a_crew_that_weighs_in_pounds_reads_pounds_in_plans_answers_and_the_report(
    home: Path,
) -> None:
    # labels of line classes: IGFA, International Angling Rules (2021); 45 lb = 20.41 kg by the yard and
    # pound agreement of 1959
    (home / "deckcall.toml").write_text(
        '[boat]\ntimezone = "UTC"\n[[outfit]]\nposition = "long rigger"\nline_class_kg = 37\n'
    )
    with Desk(home) as desk:
        call(desk, "06:00 plan")
        before = call(desk, "06:00 why")
        call(desk, *OUT, "07:00 strike long rigger", "07:01 fish on")
        call(desk, "07:20 boated a yellowfin, 45 pounds")
        told = call(desk, "07:21 what did we catch")
        after = call(desk, "07:22 plan with heavy tackle")
        why = call(desk, "07:22 why")
        report = compose(desk.view())
        page = report_file(report, "md", UTC, desk.view()).decode()

    assert "37 kg rod" in before.text
    assert " lb" not in before.text
    assert "yellowfin tuna, 45 lb (20.4 kg), kept" in told.text
    assert "80 lb rod, strike drag 24.5 lb" in why.text
    assert " ft back" in after.text
    assert " kg" not in why.text
    assert "45 lb (20.4 kg)" in page
