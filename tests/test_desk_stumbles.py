"""What a first day aboard stumbled over, said again; what is right is common practice, no source."""

from pathlib import Path

import pytest

from bot import Desk
from tests.desk_rig import call, rows

BEGIN = (
    "06:30 lines in", "06:30 set short corner red ten", "06:31 set long corner purple 8",
)  # fmt: skip
HOOKED = (*BEGIN, "07:00 strike short corner", "07:01 hooked up short corner")


def acts(home: Path) -> list[str]:
    return [row["act"] for row in rows(home, "SELECT act FROM entries WHERE NOT void ORDER BY id")]


def test_a_boated_fish_that_was_tagged_and_let_go_after_all_is_released(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *HOOKED, "07:20 boated a blue marlin")
        reply = call(desk, "07:20:30 no wait tagged it and let it go")

    assert reply.text.startswith("Released, blue marlin, tagged, short corner.")
    assert "1 hook-up of 1 strike, 1 caught" in reply.text
    assert "boat" not in acts(tmp_path)


def test_lines_out_comes_before_the_end_of_the_trip_that_is_called_first(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        text = call(desk, *BEGIN, "15:40 that's a wrap, lines out").text

    assert text.index("Lines out, 15:40") < text.index("Trip ended, 15:40")
    assert "not called" not in text
    assert "already" not in text


def test_a_wrap_after_lines_out_says_nothing_of_lines(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        reply = call(desk, *BEGIN, "15:00 lines out", "15:40 that's a wrap, reel em in")

    assert reply.text.startswith("Trip ended, 15:40")
    assert acts(tmp_path).count("lines_out") == 1


@pytest.mark.parametrize("said", ["run the same spread again", "same spread again"])
def test_the_same_spread_again_is_what_was_out(tmp_path: Path, said: str) -> None:
    with Desk(tmp_path) as desk:
        reply = call(desk, *BEGIN, "07:20 lines out", f"07:50 {said}")

    assert reply.text.startswith(
        "Lines in, 07:50. Short corner red 10-inch; long corner purple 8-inch."
    )


def test_a_false_alarm_that_is_fixed_ends_the_trouble_whatever_was_logged_since(
    tmp_path: Path,
) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "07:20 fire in the engine room", "07:21 speed 7 knots")
        reply = call(desk, "07:30 false alarm, it's fixed")

    assert reply.text.startswith("Undone: emergency, fire")
    assert "speed" in acts(tmp_path)
    assert "emergency" not in acts(tmp_path)


def test_a_fish_on_a_line_that_was_laid_again_is_asked_about_once_and_holds_no_advice_back(
    tmp_path: Path,
) -> None:
    with Desk(tmp_path) as desk:
        fought = call(desk, *HOOKED, "07:50 what next")
        laid = call(desk, "08:00 lines out", "08:10 lines back in")
        early = call(desk, "08:20 what next")
        later = call(desk, "10:10 what next")

    assert "a fish is on" in fought.text
    assert laid.text.count("A fish is still on at short corner; how did it end?") == 1
    for reply in (early, later):
        assert "fish is" not in reply.text
        assert "no tackle box to choose from" in reply.text


def test_a_line_laid_again_where_a_fish_was_left_on_asks_how_it_ended(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        soon = call(desk, *HOOKED, "07:10 set short corner red ten")
        late = call(desk, "08:40 set short corner blue nine")

    assert "how did it end" not in soon.text
    assert "A fish is still on at short corner; how did it end?" in late.text


def test_one_fish_is_not_landed_and_lost(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        reply = call(desk, *HOOKED, "07:20 short corner's a little yellowfin, lost it at the boat")

    assert reply.ask is None
    assert "Pulled hook, yellowfin tuna, short corner." in reply.text
    assert "boat" not in acts(tmp_path)


def test_a_fish_that_is_fought_for_hours_holds_the_advice_back(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        reply = call(desk, *HOOKED, "09:00 swap long corner green 7", "10:10 what next")

    assert "a fish is on" in reply.text


@pytest.mark.parametrize(
    "said", ["how long was the fight", "how long did we fight that fish", "how long was that fight"]
)
def test_how_long_the_fight_was(tmp_path: Path, said: str) -> None:
    with Desk(tmp_path) as desk:
        none = call(desk, *BEGIN, f"06:50 {said}")
        on = call(desk, *HOOKED[3:], f"07:05 {said}")
        over = call(desk, "07:20 boated a wahoo", f"07:25 {said}")

    assert none.text == "No fish was hooked up on this trip."
    assert on.text == "A fish, short corner, on for 4 min."
    assert over.text == "On for 19 min: wahoo, short corner, 07:01."


@pytest.mark.parametrize("said", ["where is the report", "how do I get the report"])
def test_where_the_report_is(tmp_path: Path, said: str) -> None:
    with Desk(tmp_path) as desk:
        assert call(desk, *BEGIN, f"07:00 {said}").text == (
            "The report: deckcall report --out day.html."
        )


@pytest.mark.parametrize("said", ["turn the reminders off", "turn off all reminders"])
def test_reminders_are_turned_off(tmp_path: Path, said: str) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "06:35 remind us to check ice at 9", "06:36 remind us to eat at 10")
        call(desk, f"06:40 {said}")
        left = call(desk, "06:41 what reminders are there")

    assert left.text.startswith("No reminder is kept.")
    assert "lines_in" in acts(tmp_path)
