"""Trays from call to log: filled, put out in one call, taken back, and the clocks of what came in."""

from pathlib import Path

from bot import Desk
from bot.cli import main
from tests.desk_rig import at, call, rows

BOX = """\
name,size_in,colours,head,ready,speed_min_kn,speed_max_kn
Garden Shed,12,purple black,cupped,yes,6.5,9
Rain Gutter,9,green,slanted,yes,6.5,9
Soap Dish,10,pink,cupped,yes,,6
Tin Snail,8,brown,slanted,yes,,6
Candle End,6,glow,slim,no,,6
"""


def boxed(home: Path) -> Desk:
    file = home / "box.csv"
    file.write_text(BOX, encoding="utf-8")
    desk = Desk(home)
    desk.box_import(file)
    return desk


FISHING = (
    "05:00 put soap dish in the slow tray",
    "05:01 tin snail in the slow tray",
    "05:02 the slow tray is for five and a half knots",
    "06:00 put garden shed on the short corner",
    "06:00 put rain gutter on the long rigger",
    "06:00 lines in",
)


def test_a_tray_goes_out_in_one_call_that_says_what_comes_in_and_out(tmp_path: Path) -> None:
    with boxed(tmp_path) as desk:
        call(desk, *FISHING)
        reply = call(desk, "07:30 swap to the slow tray")
        spread = call(desk, "08:00 what's out")

    lines = reply.text.splitlines()
    assert (
        lines[0] == "The slow tray goes out at 5.5 kn. Slow down to it: now 8 kn, the usual speed."
    )
    assert (
        lines[1] == "Comes in, nearest first: short corner Garden Shed (purple and black 12-inch);"
        " long rigger Rain Gutter (green 9-inch)."
    )
    assert (
        lines[2] == "Goes out, farthest first: long corner Tin Snail (brown 8-inch);"
        " short corner Soap Dish (pink 10-inch)."
    )
    assert reply.calls == ({"act": "plan", "tray": "slow"},)
    assert "Soap Dish" in spread.text
    assert "Garden Shed" not in spread.text


def test_the_clock_of_a_lure_that_came_in_stops_and_that_of_the_new_one_begins(
    tmp_path: Path,
) -> None:
    with boxed(tmp_path) as desk:
        call(desk, *FISHING, "07:30 swap to the slow tray", "08:00 lines out")
        trip = desk.view(at("08:00")).trip

    hours = {s.lure: ((s.end or s.start) - s.start).total_seconds() / 3600 for s in trip.stints}
    # 06:00 to 07:30, and 07:30 to 08:00: by hand.
    assert hours == {"Garden Shed": 1.5, "Rain Gutter": 1.5, "Soap Dish": 0.5, "Tin Snail": 0.5}


def test_undo_takes_the_whole_exchange_back(tmp_path: Path) -> None:
    with boxed(tmp_path) as desk:
        undone = call(desk, *FISHING, "07:30 swap to the slow tray", "07:31 undo").text
        out = {one.position: one.lure for one in desk.view(at("07:32")).trip.in_water.values()}

    assert out == {"short corner": "Garden Shed", "long rigger": "Rain Gutter"}
    assert undone.startswith("Undone: the slow tray put out, 3 lines.")


def test_the_report_of_the_trip_tells_what_a_tray_held_and_brought(tmp_path: Path) -> None:
    with boxed(tmp_path) as desk:
        call(
            desk, *FISHING, "07:30 swap to the slow tray", "07:45 strike long corner", "07:46 miss"
        )
        call(desk, "08:00 lines out", "08:10 trip end")
    assert main(["report", "--home", str(tmp_path), "--out", str(tmp_path / "day.md")]) == 0
    told = (tmp_path / "day.md").read_text("utf-8")

    # two lures for half an hour
    assert (
        "| slow tray | 5.5 kn | Soap Dish, Tin Snail | Soap Dish, Tin Snail | 07:30 | 1.0 | 1 |"
        in told
    )


def test_a_tray_lasts_over_trips_and_a_restart_and_an_undone_call_is_not_in_it(
    tmp_path: Path,
) -> None:
    with boxed(tmp_path) as desk:
        call(desk, *FISHING, "06:01 candle end in the slow tray", "06:02 undo", "07:00 trip end")
    with Desk(tmp_path) as desk:
        (tray,) = desk.view(at("20:00")).trays

    assert [one.lure for one in tray.lures] == ["Soap Dish", "Tin Snail"]
    assert tray.speed_kn == 5.5
    assert sum(row["act"] == "tray" and not row["void"] for row in rows(tmp_path)) == 3


def test_what_was_planned_is_called_a_tray_and_what_is_not_ready_is_said(tmp_path: Path) -> None:
    with boxed(tmp_path) as desk:
        offered = call(desk, "05:00 plan the slow tray")
        kept = call(desk, "05:40 set it")
        shown = call(desk, "05:42 what's in the slow tray")
        (tray,) = desk.view(at("05:43")).trays

    assert offered.ask is None
    assert "Not ready: Candle End" in offered.text
    assert kept.text.startswith(
        "In the slow tray: Soap Dish (pink 10-inch), short corner; Tin Snail"
    )
    assert [one.position for one in tray.runners] == ["short corner", "long corner", "short rigger"]
    assert "short corner: Soap Dish (pink 10-inch)" in shown.text


def test_a_tray_that_is_not_there_is_refused_with_those_that_are(tmp_path: Path) -> None:
    with boxed(tmp_path) as desk:
        reply = call(desk, *FISHING, "07:00 run tray nine")
        log = rows(tmp_path)

    assert reply.text == "There is no tray nine; trays: slow."
    assert len(log) == 7  # the start of the trip, and what was called before


def test_a_fish_on_keeps_its_line(tmp_path: Path) -> None:
    with boxed(tmp_path) as desk:
        reply = call(desk, *FISHING, "07:00 hooked up short corner", "07:01 run the slow tray")
        out = {one.position: one.lure for one in desk.view(at("07:02")).trip.in_water.values()}

    assert "A fish is on: short corner stays as it is." in reply.text
    assert out["short corner"] == "Garden Shed"


def test_the_packing_list_has_trays_standing_outfits_and_what_is_loose(tmp_path: Path) -> None:
    # Common practice, no source: a casting outfit and a deep diver stand by.
    with boxed(tmp_path) as desk:
        text = call(desk, *FISHING[:3], "05:05 what do we need to pack").text

    assert "The slow tray: 2 lures, 5.5 kn, all ready." in text
    assert "Casting outfit (for fish seen on top): not called ready." in text
    assert "Ready in the box and in no tray: 2 lures." in text


def test_a_slow_spread_is_taken_to_run_slow_until_a_speed_is_called(tmp_path: Path) -> None:
    with boxed(tmp_path) as desk:
        call(desk, *FISHING)
        fast = desk.view(at("07:00")).speed_kn
        call(desk, "07:20 eight knots", "07:30 swap to the slow tray")
        slow = desk.view(at("07:31")).speed_kn
        call(desk, "07:40 eight knots")
        called = desk.view(at("07:41")).speed_kn

    # What is out runs up to 6 knots, and went out after eight knots were called.
    assert (fast, slow, called) == (8, 6, 8)


def test_a_slow_spread_without_such_a_tray_is_planned_and_set_it_clears_what_is_not_of_it(
    tmp_path: Path,
) -> None:
    with boxed(tmp_path) as desk:
        offered = call(desk, *FISHING[3:], "07:00 put the slow spread out")
        kept = call(desk, "07:05 set it")
        out = {one.position: one.lure for one in desk.view(at("07:06")).trip.in_water.values()}

    assert (
        "Comes in, nearest first: short corner Garden Shed (purple and black 12-inch);"
        " long rigger Rain Gutter (green 9-inch)." in offered.text
    )
    assert out == {"short corner": "Soap Dish", "long corner": "Tin Snail"}
    assert kept.text.splitlines()[:3] == [
        "The planned spread goes out at 6 kn. Slow down to it: now 8 kn, the usual speed.",
        "Comes in, nearest first: short corner Garden Shed (purple and black 12-inch);"
        " long rigger Rain Gutter (green 9-inch).",
        "Goes out, farthest first: long corner Tin Snail (brown 8-inch);"
        " short corner Soap Dish (pink 10-inch).",
    ]
    assert "not at 8" not in kept.text


def test_the_tray_is_the_only_one_there_is_and_a_lure_is_told_with_its_tray(tmp_path: Path) -> None:
    with boxed(tmp_path) as desk:
        where = call(desk, *FISHING, "06:30 which tray is the pink ten in").text
        out = call(desk, "07:00 run the tray").text
        call(desk, "07:05 garden shed in tray two")
        which = call(desk, "07:10 run the tray").text

    assert where == "Soap Dish: ready, in the slow tray"
    assert out.startswith("The slow tray goes out at 5.5 kn.")
    assert which == "Which tray? There are: two, slow."


def test_the_lure_of_a_line_goes_into_a_tray_by_its_line(tmp_path: Path) -> None:
    with boxed(tmp_path) as desk:
        reply = call(desk, *FISHING, "07:00 short corner lure goes back in tray one")

    assert reply.text.startswith(
        "In tray one: Garden Shed (purple and black 12-inch), short corner."
    )


def test_a_tray_without_lures_keeps_what_it_is_for_and_says_that_it_is_empty(
    tmp_path: Path,
) -> None:
    with boxed(tmp_path) as desk:
        terms = call(desk, "05:00 the heavy tray is eighty pound tackle").text
        named = call(desk, "05:01 call this the morning tray").text
        filled = call(desk, "05:02 garden shed in the heavy tray").text

    assert terms.startswith("The heavy tray: nothing in it yet, 37 kg when something is.")
    assert "nothing is out and no plan is on offer" in named
    assert "It holds 1 lure, for 37 kg." in filled


def test_another_of_that_size_or_colour_is_of_the_lure_spoken_of_last(tmp_path: Path) -> None:
    with boxed(tmp_path) as desk:
        call(desk, "05:00 soap dish in the slow tray")
        size = call(desk, "05:01 another of that size").text
        colour = call(desk, "05:02 any more of that colour").text

    assert size == "No other 10-inch is aboard."
    assert colour == "No other pink is aboard."


def test_a_plan_with_lures_on_their_lines_sets_none_of_them(tmp_path: Path) -> None:
    with boxed(tmp_path) as desk:
        said = "plan a spread with rain gutter on the short corner and garden shed on the shotgun"
        reply = call(desk, f"05:00 {said}")
        out = desk.view(at("05:01")).trip.spread

    assert "With Rain Gutter on the short corner." in reply.text
    assert "With Garden Shed on the shotgun." in reply.text
    assert out == {}


def test_a_tray_without_a_lure_that_is_understood_asks_which(tmp_path: Path) -> None:
    with boxed(tmp_path) as desk:
        reply = call(desk, *FISHING, "07:00 tray nine")
        trays = desk.view(at("07:01")).trays

    assert "Tray nine: which lure? Say its colour and size, or its name." in reply.text
    assert [tray.name for tray in trays] == ["slow"]
