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
    assert undone.startswith("Undone: Paper Boat")


@pytest.mark.parametrize(
    "said", ["drop the red tray", "give up the red tray", "ditch the red tray"]
)
def test_a_tray_that_is_dropped_is_given_up_and_does_not_go_out(tmp_path: Path, said: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *RED, f"05:10 {said}")
        gone = held(desk, "05:11")
        spread = out(desk, "05:11")
        call(desk, "05:12 undo")
        back = held(desk, "05:13")

    assert (gone, spread) == ([], {})
    assert len(back) == 4


def test_a_tray_that_is_dropped_in_the_water_goes_out(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *RED, "05:10 drop the red tray in the water")
        spread = out(desk, "05:11")
        call(desk, "05:12 drop the marble from the red tray")
        left = held(desk, "05:13")

    assert spread["short corner"] == "Barn Door"
    assert left == ["Barn Door", "Paper Boat", "Night Train"]


def test_lures_listed_behind_a_tray_go_into_it_each_on_its_line(tmp_path: Path) -> None:
    said = "tray two: night train on the short rigger, paper boat on the long rigger and marble way back"
    with boxed(tmp_path, BOX) as desk:
        listed = call(desk, f"05:00 {said}").text
        call(desk, "05:01 tray two, coffee pot short corner, pillow case long corner")
        again = call(desk, "05:02 tray two the marble's to go back on the long rigger").text
        (tray,) = desk.view(at("05:03")).trays
        spread = out(desk, "05:03")

    assert listed.startswith(
        "In tray two: Night Train (green and yellow 8-inch), short rigger; Paper Boat"
    )
    assert again.startswith(
        "In tray two: Marble (pink 6-inch), long rigger. Out of it for that: Paper Boat"
    )
    assert {one.position: one.lure for one in tray.lures} == {
        "short corner": "Coffee Pot", "long corner": "Pillow Case", "short rigger": "Night Train",
        "long rigger": "Marble",
    }  # fmt: skip
    assert spread == {}


def test_lures_of_lines_and_one_for_a_tray_in_a_breath_stay_apart(tmp_path: Path) -> None:
    said = "short corner coffee pot, long corner pillow case, put the marble in tray two"
    with boxed(tmp_path, BOX) as desk:
        call(desk, f"05:00 {said}")
        spread, tray = out(desk, "05:01"), held(desk, "05:01", "two")
        call(desk, "05:02 tray two, the marble's hooks are blunt")
        work = standing(tmp_path, "rework")

    assert spread == {"short corner": "Coffee Pot", "long corner": "Pillow Case"}
    assert tray == ["Marble"]
    assert len(work) == 1


@pytest.mark.parametrize(
    "said",
    [
        "take the barn door out of the red tray and put the coffee pot in",
        "take the barn door out of the red tray, coffee pot instead",
        "swap the barn door in the red tray for the coffee pot",
        "replace the barn door with the coffee pot in the red tray",
    ],
)
def test_a_lure_goes_into_a_tray_in_the_place_of_the_one_that_comes_out(
    tmp_path: Path, said: str
) -> None:
    with boxed(tmp_path, BOX) as desk:
        reply = call(desk, *RED, f"05:10 {said}").text
        (tray,) = desk.view(at("05:11")).trays

    assert reply.startswith(
        "Out of the red tray: Barn Door (black and red 12-inch). In the red tray: Coffee Pot"
    )
    assert [one.lure for one in tray.lures if one.position == "short corner"] == ["Coffee Pot"]
    assert len(tray.lures) == 4


def test_two_lures_that_both_come_out_leave_a_tray_without_them(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *RED, "05:10 take the marble and the paper boat out of the red tray")
        call(desk, "05:11 take the night train out of the red tray")
        left = held(desk, "05:12")

    assert left == ["Barn Door"]


@pytest.mark.parametrize(
    "said",
    [
        "plan a spread with only what is in the red tray, without the marble",
        "plan with only what's in the red tray, not the marble",
        "plan with what is in the red tray only, no marble",
    ],
)
def test_a_plan_of_what_lies_in_a_tray_is_a_plan(tmp_path: Path, said: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        reply = call(desk, *RED, f"05:10 {said}").text
        kept = held(desk, "05:11")

    assert "Only what is in the red tray" in reply
    assert "Without Marble." in reply
    assert "short corner: Barn Door" in reply
    assert len(kept) == 4


def test_a_tray_keeps_the_name_that_it_had_first(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, "05:00 marble in tray two", "05:01 paper boat in tray 2")

    assert [row["tray"] for row in standing(tmp_path, "tray")] == ["two", "two"]


SLOW = (
    "05:02 old boot on the short corner in the slow tray",
    "05:02 wet sock on the long corner in the slow tray",
    "05:03 tea leaf in the slow tray as a spare",
)
FISHING = (
    "05:04 barn door short corner, pillow case long corner, marble shotgun",
    "05:05 lines in",
)


def test_a_plan_from_a_tray_keeps_what_of_it_is_out_and_plans_the_other_lines(
    tmp_path: Path,
) -> None:
    with boxed(tmp_path, BOX) as desk:
        reply = call(desk, *RED, *FISHING, "06:00 plan a spread with only what is in the red tray")
        call(desk, "06:01 set it")
        spread = out(desk, "06:02")

    assert "Kept: short corner Barn Door, shotgun Marble." in reply.text
    assert {spread["short corner"], spread["shotgun"]} == {"Barn Door", "Marble"}
    assert {"Paper Boat", "Night Train"} <= {*spread.values()}


def test_a_lure_of_the_tray_that_is_not_wished_for_is_not_kept(tmp_path: Path) -> None:
    said = "plan a spread with only what is in the red tray, without the marble"
    with boxed(tmp_path, BOX) as desk:
        reply = call(desk, *RED, *FISHING, f"06:00 {said}").text

    assert "Kept: short corner Barn Door." in reply


def test_a_slow_spread_of_which_most_is_out_is_the_rest(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *SLOW, *FISHING, "06:00 swap to the slow tray")
        reply = call(desk, "06:10 plan a slow spread").text
        call(desk, "06:11 set it", "06:12 the bread bin needs work")
        none = call(desk, "06:20 plan a slow spread").text

    assert "Kept: short corner Old Boot, long corner Wet Sock." in reply
    assert "Tea Leaf" in reply
    assert "No other ready lure runs only below 8 knots." in none


def test_a_tray_says_which_lines_it_leaves_empty_and_what_spares_it_has(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        reply = call(desk, *SLOW, *FISHING, "06:00 swap to the slow tray").text

    empty = "Nothing in it for short rigger, long rigger and shotgun, so they stay empty."
    assert f"{empty} Spare in the tray: Tea Leaf." in reply


@pytest.mark.parametrize("name", ["slow", "fast", "heavy"])
def test_a_tray_that_is_not_there_is_refused_whatever_its_name(tmp_path: Path, name: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        refused = call(desk, *RED, *FISHING, f"06:00 swap to the {name} tray").text
        planned = call(desk, f"06:01 put the {name} spread out").text

    assert refused == f"There is no {name} tray; trays: red."
    assert planned.startswith("Plan for")


def test_a_lure_wished_for_on_a_line_chooses_the_lines(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        said = "plan a spread, three lines, night train on the shotgun"
        reply = call(desk, f"05:00 {said}").text
        near = call(desk, "05:01 plan a spread, three lines").text

    assert "Only for short corner, long corner, shotgun." in reply
    assert "shotgun: Night Train" in reply
    assert "Only for short corner, long corner, short rigger." in near


def test_a_plan_for_a_tray_takes_what_is_not_ready_only_where_a_line_would_be_empty(
    tmp_path: Path,
) -> None:
    more = (
        BOX + "Tin Cup,slanted,9,yellow green,medium,yes,4,7\nSoap Bar,slim,7,green,light,yes,4,7\n"
    )
    with boxed(tmp_path, BOX) as desk:
        short = call(desk, "05:00 plan the slow tray").text
    with boxed(tmp_path, more) as desk:
        enough = call(desk, "05:00 plan the slow tray").text
        kept = call(desk, "05:01 set it").text

    assert "Not ready: Bread Bin" in short
    assert "Bread Bin" not in enough
    assert "Not ready" not in kept


def test_spares_of_a_planned_tray_are_ready_and_named_before_it_is_filled(tmp_path: Path) -> None:
    twin = BOX + "Barn Door Two,cupped,12,black red,heavy,no,6.5,9\n"
    with boxed(tmp_path, twin) as desk:
        offered = call(desk, "05:00 plan the dawn tray").text
        call(desk, "05:01 set it")
        spares = [one.lure for x in desk.view(at("05:02")).trays for one in x.spares]

    told = next((x for x in offered.splitlines() if x.startswith("Spares: ")), "Spares: .")
    assert told == f"Spares: {', '.join(x or '' for x in spares)}."
    assert "Barn Door Two" not in spares


def test_heavy_tackle_says_at_once_which_rods_are_of_another_class(tmp_path: Path) -> None:
    (tmp_path / "deckcall.toml").write_text(
        '[[outfit]]\nposition = "short corner"\nline_class_kg = 60\n'
        '[[outfit]]\nposition = "shotgun"\nline_class_kg = 24\n'
    )
    with boxed(tmp_path, BOX) as desk:
        heavy = call(desk, "05:00 plan the heavy tray").text
        plain = call(desk, "05:01 plan a spread").text

    assert "Rods of that class are not on all lines here: shotgun 24 kg." in heavy
    assert "Rods of that class" not in plain


def test_a_lure_that_lies_in_a_tray_is_said_to_be_there(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        again = call(desk, *RED, "05:10 marble goes in the red tray too").text
        spare = call(desk, "05:11 marble in the red tray as a spare").text

    assert again == "Marble: in the red tray already."
    assert spare.startswith(
        "In the red tray: Marble (pink 6-inch), spare. It holds 3 lures, 1 spare"
    )


def test_a_set_on_a_line_that_had_a_lure_says_what_came_out(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        free = call(desk, "05:00 marble on the shotgun").text
        one = call(desk, "05:10 door bell on the shotgun").text
        cleared = call(desk, "05:11 clear the shotgun, marble on the shotgun").text
        many = call(desk, "05:12 paper boat short corner, night train shotgun").text

    assert "came out" not in free + cleared
    assert "Set, shotgun: Door Bell (blue and white 7-inch); Marble (pink 6-inch) came out." in one
    assert "Came out: shotgun Marble (pink 6-inch)." in many


def test_a_tray_put_out_counts_its_changes_and_needs_no_other_speed_where_it_runs_at_this_one(
    tmp_path: Path,
) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *RED, *SLOW, "05:03 the slow tray is for 6.5 knots", *FISHING, "06:00 six knots")
        slow = call(desk, "07:30 swap to the slow tray").text
        call(desk, "08:30 eight knots", "08:31 swap to the red tray")
        call(
            desk,
            "08:32 tray one: coffee pot short corner, pillow case long corner, door bell short rigger",
        )
        call(desk, "10:30 swap to tray one")
        hold = call(desk, "10:33 what next").text

    assert slow.startswith("The slow tray goes out at 6.5 kn.\n")
    assert "3 changes were made just now" in hold


@pytest.mark.parametrize(
    ("said", "answer"),
    [
        ("trays", "The red tray: 4 lures"),
        ("our trays, please", "The red tray: 4 lures"),
        ("the red tray please", "The red tray: 4 lures"),
        ("church organ in the red tray", "The red tray: which lure?"),
        ("tray nine please", "There is no tray nine; trays: red."),
    ],
)
def test_a_line_about_a_tray_is_never_taken_for_what_is_seen(
    tmp_path: Path, said: str, answer: str
) -> None:
    with boxed(tmp_path, BOX) as desk:
        reply = call(desk, *RED, f"05:10 {said}")

    assert reply.ask is None
    assert reply.text.startswith(answer)


def test_a_spare_is_the_lure_beside_the_word_and_spares_are_all_of_them(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(
            desk,
            "05:00 tray two: coffee pot short corner, barn door long corner, marble as a spare",
        )
        call(desk, "05:01 put door bell and the night train in tray two as spares")
        (tray,) = desk.view(at("05:02")).trays

    assert [one.lure for one in tray.runners] == ["Coffee Pot", "Barn Door"]
    assert [one.lure for one in tray.spares] == ["Marble", "Door Bell", "Night Train"]


@pytest.mark.parametrize(
    ("said", "acts"),
    [
        ("mark this spot, by the red tray", ["mark"]),
        ("drop the red tray back in the water", ["set"] * 4),
    ],
)
def test_what_only_looks_like_giving_a_tray_up_or_filling_it(
    tmp_path: Path, said: str, acts: list[str]
) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *RED, f"05:10 {said}")
        kept = held(desk, "05:11")

    assert len(kept) == 4
    assert [row["act"] for row in standing(tmp_path, "mark", "set")] == acts


def test_one_tray_goes_out_for_another(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(
            desk, *RED, *SLOW, "05:09 run the red tray", "05:10 swap the red tray for the slow tray"
        )
        spread = out(desk, "05:11")
        instead = call(desk, "05:12 put the marble in the slow tray instead of the old boot").text
        call(desk, "05:13 put paper boat in the slow tray")

    assert spread == {"short corner": "Old Boot", "long corner": "Wet Sock"}
    assert instead.startswith(
        "Out of the slow tray: Old Boot (black and blue 12-inch). In the slow tray: Marble"
    )


def test_what_is_called_with_a_tray_that_goes_out_is_told_too(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, "05:00 put old boot and wet sock in tray two", *FISHING)
        reply = call(desk, "06:00 run tray two, and the coffee pot on the shotgun").text
        spread = out(desk, "06:01")

    assert spread["shotgun"] == "Coffee Pot"
    assert "Set, shotgun: Coffee Pot (black and purple 14-inch)." in reply
