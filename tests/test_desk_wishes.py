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


def test_a_second_fish_of_a_plan_is_refused_aloud(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        reply = call(desk, "05:00 plan a spread for sailfish and wahoo")

    assert "For one fish at a time: sailfish, not wahoo." in reply.text


def test_why_not_a_colour_is_answered_for_each_lure_of_it(tmp_path: Path) -> None:
    box = BOX + "Brick Dust,8,red,jet,no\n"
    with boxed(tmp_path, box) as desk:
        call(desk, "05:00 plan a spread with fire bucket on the shotgun")
        red = call(desk, "05:01 why not a red one").text.splitlines()
        orange = call(desk, "05:02 why not an orange one").text

    assert red == [
        "Fire Bucket is in it, on the shotgun.",
        "Brick Dust is not in it: to check (not made ready yet).",
    ]
    assert orange == "No orange is in the box."


def test_a_spread_named_alone_is_planned_and_fills_no_tray(tmp_path: Path) -> None:
    box = BOX.replace(",ready", ",ready,speed_max_kn").replace(",yes", ",yes,10")
    with boxed(tmp_path, box + "Soap Dish,10,pink,cupped,yes,6\n") as desk:
        slow = call(desk, "05:00 slow spread").text
        heavy = call(desk, "05:01 heavy spread").text

    assert "Slow runners only." in slow
    assert "short corner: Soap Dish (pink 10-inch)" in slow
    assert heavy.startswith("Plan for heavy tackle")
    assert rows(tmp_path) == []


def test_what_they_eat_is_told_with_its_weight_and_the_lures_bitten(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        none = call(desk, "05:00 what are they eating").text
        call(desk, *FISHING, "08:00 squid in the stomach, eight inches", "08:05 they're on sauries")
        told = call(desk, "08:10 what are they eating").text.splitlines()

    assert none.startswith("No bait is logged of the last seven days.")
    assert told == [
        "Squid, 8-inch, seen 08:00; lures of that length count for more, 99 % of it by now.",
        "Saury, seen 08:05; without its length it counts for no size.",
        "Lures bitten today: Oil Lamp (purple 7-inch) 3.",
    ]


def test_why_so_small_is_answered_while_a_plan_is_on_offer(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, "05:00 plan a spread for wahoo")
        reply = call(desk, "05:01 why so small")

    assert "Largest of 5" in reply.text


def test_they_will_not_bite_after_marks_brings_up_the_deep_diver_and_logs_nothing(
    tmp_path: Path,
) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *FISHING[:3], "06:05 marking fish at forty fathoms")
        before = len(rows(tmp_path))
        told = call(desk, "06:07 they won't bite").text
        late = call(desk, "06:30 they won't bite").text

    assert told.startswith("Deep, and they will not bite: put the deep diver out.")
    assert late == ""
    assert len(rows(tmp_path)) == before


def test_why_not_bigger_names_no_lure_that_nobody_spoke_of(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX + "Candle End,6,glow,slim,no\n") as desk:
        reply = call(desk, *FISHING, "08:30 why not go bigger")

    assert "Candle End" not in reply.text
    assert reply.calls == ({"act": "ask_why"},)


def test_a_tray_is_planned_with_slow_runners_where_they_are_asked_for(tmp_path: Path) -> None:
    box = BOX.replace(",ready", ",ready,speed_max_kn").replace(",yes", ",yes,10")
    with boxed(tmp_path, box + "Soap Dish,10,pink,cupped,yes,6\n") as desk:
        reply = call(desk, "05:00 fill tray two with slow runners")

    assert "Slow runners only." in reply.text
    assert "short corner: Soap Dish (pink 10-inch)" in reply.text
    assert reply.calls == ({"act": "plan", "tray": "two"},)


def test_spares_for_a_line_are_those_like_the_lure_on_it(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, "06:00 set shotgun oil lamp", "06:01 set short corner garden shed")
        there = call(desk, "06:02 what spares have we got for the shotgun").text
        empty = call(desk, "06:03 any spares for the long rigger").text

    assert there.startswith("No other purple 7-inch is aboard but what is out: Oil Lamp, shotgun.")
    assert "Of that size: Fire Bucket" in there
    assert empty == "Nothing is out on the long rigger. Say a size or a colour."
