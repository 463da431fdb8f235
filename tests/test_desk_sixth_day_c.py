"""What a crew stumbled over on its sixth day, about lures and spreads; common practice, no source."""

from collections.abc import Iterator
from datetime import UTC
from pathlib import Path

import pytest

from bot import Desk
from bot.reports.compose import compose
from bot.reports.forms import report_file
from tests.desk_rig import call, rows

BOX = """\
name,head,size_in,colours,hook_gauge,hooks,leader_kg,leader_m,ready,speed_min_kn,speed_max_kn
Grandpa's Slipper,blunt,12,black purple,heavy,2,270,4.5,yes,6.5,9
Tea Cosy,slanted,9,brown orange,medium,1,180,4.5,yes,6.5,10
Garden Gnome,slim,7,orange gold,medium,1,150,4,yes,7,10
Letter Box,cupped,10,white blue,heavy,2,200,4.5,yes,6,9
Late Bus,blunt,11,black,heavy,2,270,4.5,no,6.5,9
Old Spoon,plug,6,red white,medium,2,100,3,no,4,7
Snail Pace,plug,8,blue silver,medium,2,150,4,no,4,6.5
Radish,slim,6,pink white,light,1,100,3,yes,6,10
Tax Man,jet,7,black red,medium,1,150,4,yes,7,12
"""
BEGIN = (
    "06:05 set short corner Grandpa's Slipper", "06:06 set long corner Letter Box",
    "06:06 set short rigger Tea Cosy", "06:07 set shotgun Garden Gnome", "06:10 lines in",
)  # fmt: skip


@pytest.fixture
def boat(tmp_path: Path) -> Iterator[Desk]:
    """Yield the desk of a boat with lines in."""
    file = tmp_path / "box.csv"
    file.write_text(BOX)
    with Desk(tmp_path) as desk:
        desk.box_import(file)
        call(desk, *BEGIN)
        yield desk


def standing(boat: Desk, act: str) -> list[tuple[str | None, str | None]]:
    """Return position and lure of the entries of an act that stand."""
    found = rows(boat.settings.home, f"SELECT * FROM entries WHERE NOT void AND act = '{act}'")
    return [(row["position"], row["lure"]) for row in found]


# Names


@pytest.mark.parametrize(
    "said", ["something just came up behind the slipper", "raised one behind Grandpa's Slipper"]
)
def test_a_lure_is_known_without_the_first_word_of_its_name(boat: Desk, said: str) -> None:
    call(boat, f"06:40 {said}")

    assert standing(boat, "raise") == [("short corner", "Grandpa's Slipper")]


def test_a_word_of_the_deck_is_no_lure_that_ends_with_it(boat: Desk) -> None:
    reply = call(boat, "06:40 the man's gone in")

    assert reply.text.startswith("MAN OVERBOARD")


def test_what_is_fetched_from_the_galley_is_no_lure(boat: Desk) -> None:
    assert call(boat, "06:40 pass me the cosy, the pot is hot").logged == ()


def test_a_lure_named_like_a_fish_is_the_lure(boat: Desk) -> None:
    call(boat, "06:40 the tax man took a hit")

    assert rows(boat.settings.home)[-1]["species"] is None
    assert standing(boat, "strike") == [(None, "Tax Man")]


# Ready, lost


@pytest.mark.parametrize(
    "said",
    [
        "grandpa's slipper has a new leader, she's ready", "the slipper's got a new leader, good to go",
        "the slipper has new hooks on",
    ],
)  # fmt: skip
def test_a_lure_with_a_new_leader_is_ready(boat: Desk, said: str) -> None:
    assert call(boat, f"06:40 {said}").text == "Ready: Grandpa's Slipper."


@pytest.mark.parametrize("said", ["tea cosy has a chafed leader", "the cosy needs a new leader"])
def test_a_lure_that_needs_a_leader_is_not(boat: Desk, said: str) -> None:
    assert call(boat, f"06:40 {said}").text.startswith("To rework: Tea Cosy")


def test_all_slow_lures_are_ready_at_once(boat: Desk) -> None:
    call(boat, "06:40 all the slow ones are ready")

    assert standing(boat, "ready") == [(None, "Old Spoon"), (None, "Snail Pace")]


def test_whether_they_are_is_only_asked(boat: Desk) -> None:
    assert call(boat, "06:40 are all the slow ones ready?").logged == ()
    assert standing(boat, "ready") == []


def test_the_slow_ones_are_a_spread_that_can_go_out(boat: Desk) -> None:
    call(boat, "06:40 all the slow ones are ready")

    assert call(boat, "06:41 put the slow ones out").text.startswith("Plan for 6.5 kn, 2 lures")
    assert "Plan" not in call(boat, "06:50 bring the slow ones in").text


def test_whether_a_lure_is_lost_is_answered_with_yes_or_no(boat: Desk) -> None:
    assert call(boat, "06:40 is radish lost").text.startswith("No. Radish: ready")

    call(boat, "06:41 lost the radish")

    assert call(boat, "06:42 is the radish gone?").text.startswith("Yes. Radish: lost")
    assert call(boat, "06:43 where's radish").text == "No Radish is out. It is lost."


@pytest.mark.parametrize("said", ["what's not ready", "which ones aren't ready yet"])
def test_what_is_not_ready_is_listed_first(boat: Desk, said: str) -> None:
    reply = call(boat, f"06:40 {said}")

    assert reply.text.startswith("To check (3): Late Bus, Old Spoon, Snail Pace")


def test_the_casting_rod_is_put_ready(boat: Desk) -> None:
    assert call(boat, "06:40 put the casting rod ready").text == "Ready: casting outfit."


# Weed, work, sentences


def test_an_oath_between_two_calls_hides_neither(boat: Desk) -> None:
    call(boat, "06:40 weed everywhere. damn. slowing to six")

    found = rows(boat.settings.home)[-2:]
    assert [(row["act"], row["what"], row["speed_kn"]) for row in found] == [
        ("sighting", "weed", None), ("speed", None, 6.0)
    ]  # fmt: skip


def test_what_is_told_in_more_words_is_not_asked_about(boat: Desk) -> None:
    reply = call(boat, "06:40 the slipper's leader is shot, needs a new one")

    assert reply.text.startswith("To rework: Grandpa's Slipper, leader is shot, needs a new one.")


# Swaps and lines


def test_the_lure_that_is_in_the_water_is_the_one_that_comes_in(boat: Desk) -> None:
    call(boat, "06:40 swap the slipper for radish", "06:41 and tax man for letter box")

    assert standing(boat, "swap") == [("short corner", "Radish"), ("long corner", "Tax Man")]


def test_two_lures_of_which_neither_is_out_are_left_as_said(boat: Desk) -> None:
    call(boat, "06:40 swap the snail for the old spoon")

    assert all(position is None for position, _ in standing(boat, "swap"))


def test_a_lure_that_makes_room_is_no_second_call(boat: Desk) -> None:
    call(boat, "06:40 put the radish out on the gun, bring garden gnome in")
    call(boat, "06:41 tax man on the short corner, grandpa's slipper's out")

    assert standing(boat, "set")[-2:] == [("shotgun", "Radish"), ("short corner", "Tax Man")]
    assert standing(boat, "clear") == []


def test_a_lure_that_is_brought_in_alone_is_its_line(boat: Desk) -> None:
    call(boat, "06:40 bring tea cosy in")

    assert standing(boat, "clear") == [("short rigger", None)]


def test_there_is_where_the_lure_was_that_is_asked_about(boat: Desk) -> None:
    call(boat, "06:40 what happened to letter box, put radish out there instead")

    assert standing(boat, "set")[-1] == ("long corner", "Radish")


def test_what_a_line_had_until_a_time_went_out_before(boat: Desk) -> None:
    call(
        boat, "06:50 swap the long corner to radish", "07:00 the long corner had tax man till 06:50"
    )

    set_there = [lure for position, lure in standing(boat, "set") if position == "long corner"]
    assert set_there == ["Tax Man"]
    assert standing(boat, "swap") == [("long corner", "Radish")]


# Plans


def test_what_is_not_wanted_in_a_plan_leaves_the_rest_of_it(boat: Desk) -> None:
    call(boat, "06:40 lines out")
    first = call(boat, "06:41 plan a spread with tax man and radish")
    less = call(boat, "06:42 no red")

    assert "Tax Man" in first.text
    assert "Without red." in less.text
    assert "Tax Man" not in less.text
    assert call(boat, "06:43 another").text.count("Without red.") == 1


def test_the_colour_of_a_lure_that_bit_is_put_right_while_a_plan_stands(boat: Desk) -> None:
    call(boat, "06:40 plan a spread", "06:41 strike shotgun")
    reply = call(boat, "06:42 no, red")

    assert "Plan" not in reply.text


def test_a_plan_is_a_line_a_position_and_why_says_the_rest(boat: Desk) -> None:
    plan = call(boat, "06:40 plan a spread")
    why = call(boat, "06:41 why")

    lines = [line for line in plan.text.splitlines() if " back on wave " in line]
    assert lines
    assert all(len(line) < 80 for line in lines)  # with size and colours
    assert "leader" not in plan.text
    assert "leader" in why.text


def test_a_new_speed_names_every_lure_that_it_does_not_suit(boat: Desk) -> None:
    reply = call(boat, "06:40 five knots")

    told = next(line for line in reply.text.splitlines() if line.startswith("Not at 5 knots"))
    assert all(
        name in told for name in ("Grandpa's Slipper", "Letter Box", "Tea Cosy", "Garden Gnome")
    )
    assert "Also to look at" not in reply.text


HEAVY = """\
name,head,size_in,colours,hook_gauge,hooks,leader_kg,leader_m,ready,speed_min_kn,speed_max_kn
Bread Bin,blunt,12,black purple,heavy,2,600 lb,15 ft,yes,6.5,9
Cake Tin,cupped,9,green,medium,2,400 lb,15 ft,yes,5,9
Fly Swat,slim,7,pink,medium,2,300 lb,12 ft,yes,5,9
Coat Hook,jet,6,silver,medium,2,200 lb,12 ft,yes,5,9
"""
RODS = '[boat]\ntimezone = "UTC"\n' + "".join(
    f'[[outfit]]\nposition = "{position}"\nline_class_kg = 15\n'
    for position in ("short corner", "long corner", "short rigger", "long rigger")
)


@pytest.fixture
def pounds(tmp_path: Path) -> Iterator[Desk]:
    """Yield the desk of a boat whose box was written in pounds and feet."""
    file = tmp_path / "box.csv"
    file.write_text(HEAVY)
    (tmp_path / "deckcall.toml").write_text(RODS)
    with Desk(tmp_path) as desk:
        desk.box_import(file)
        yield desk


def test_a_warning_is_given_once(pounds: Desk) -> None:
    first = call(pounds, "06:00 set short corner cake tin", "06:05 set long corner fly swat")
    call(pounds, "06:10 lines in", "06:30 weed on the long corner")
    again = call(pounds, "06:31 cleared it", "06:32 swap the long corner to coat hook")
    back = call(pounds, "06:40 swap the long corner to fly swat")

    assert "Fly Swat has medium hooks" in first.text
    assert "Coat Hook has medium hooks" in again.text
    assert "hooks" not in back.text


def test_a_box_written_in_pounds_and_feet_is_spoken_of_so(pounds: Desk) -> None:
    plan = call(pounds, "06:00 plan a spread")
    why = call(pounds, "06:01 why")
    call(pounds, "06:02 set it", "06:05 lines in", "06:10 water's 78")
    moved = call(pounds, "06:20 seven knots")
    out = call(pounds, "06:21 what's out")

    assert " ft back" in plan.text
    assert "leader 15 ft of 600 lb" in why.text
    assert "30 lb rod, strike drag 10 lb" in why.text
    assert " ft" in moved.text
    assert " ft back." in out.text
    for reply in (plan, why, moved, out):
        assert " kg" not in reply.text
        assert " m " not in reply.text


def test_the_report_has_the_units_of_the_crew(pounds: Desk) -> None:
    call(pounds, "06:00 set short corner cake tin", "06:05 lines in", "06:10 water's 78")
    page = report_file(compose(pounds.view()), "md", UTC, pounds.view()).decode()

    assert "78 °F" in page
    assert "°C" not in page


def test_a_metric_box_stays_metric(boat: Desk) -> None:
    assert " m back" in call(boat, "06:40 plan a spread").text


def test_units_that_are_set_count_more_than_the_box(tmp_path: Path) -> None:
    file = tmp_path / "box.csv"
    file.write_text(HEAVY)
    (tmp_path / "deckcall.toml").write_text(RODS.replace("[boat]\n", '[boat]\nunits = "metric"\n'))
    with Desk(tmp_path) as desk:
        desk.box_import(file)
        plan = call(desk, "06:00 plan a spread")

    assert " m back" in plan.text
    assert " lb" not in plan.text


def test_a_slow_spread_runs_where_it_was_planned(boat: Desk) -> None:
    call(boat, "06:40 all the slow ones are ready", "06:41 six knots")
    plan = call(boat, "06:42 plan a slow spread at six knots")
    call(boat, "06:43 set it")
    out = call(boat, "06:44 what's out")

    planned = {
        line.partition(":")[0]: line.split(", ")[1].split(" back")[0]
        for line in plan.text.splitlines()
        if " back on wave " in line
    }
    assert planned
    for position, back in planned.items():
        assert f"{position} {back}" in out.text


def test_a_swap_of_what_is_in_the_water_is_the_reading_that_fits(boat: Desk) -> None:
    call(boat, "06:40 bring letter box in and put radish out there")

    assert standing(boat, "swap") == [("long corner", "Radish")]
