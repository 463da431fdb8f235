"""A tray from its first lure to its end: which of several, its spare, a new name, a copy, given up."""

from pathlib import Path

import pytest

from bot import Desk
from bot.messages import Reply
from tests.desk_rig import at, boxed, call, rows

BOX = """\
name,size_in,colours,head,ready
Garden Shed,12,purple black,cupped,yes
Post Box,9,red,blunt,yes
Brick Dust,8,red,jet,no
Fire Bucket,7,red white,slim,yes
Oil Lamp,7,purple,slim,yes
Tea Strainer,6,green yellow,slim,yes
"""
FILLED = (
    "05:00 put garden shed in the red tray on the short corner",
    "05:01 put oil lamp in the red tray on the long rigger",
    "05:02 put fire bucket in the red tray as a spare",
)


def held(desk: Desk) -> dict[str, list[str]]:
    """Return the lures of each tray, with their positions."""
    found = {}
    for tray in desk.view(at("20:00")).trays:
        found[tray.name] = [f"{one.label} {one.position or one.spare}" for one in tray.lures]
    return found


def after(home: Path, *said: str) -> tuple[Reply, dict[str, list[str]], dict[str, str | None]]:
    """Return the last reply, the trays, and what is out, after the red tray was filled."""
    with boxed(home, BOX) as desk:
        reply = call(desk, *FILLED, *said)
        spread = desk.view(at("20:00")).trip.spread.values()
        return reply, held(desk), {one.position: one.lure for one in spread}


RED = ["Garden Shed short corner", "Oil Lamp long rigger", "Fire Bucket True"]


def test_what_goes_into_a_tray_is_said_with_its_looks_and_its_line(tmp_path: Path) -> None:
    reply, _, _ = after(tmp_path, "05:03 put post box in the red tray on the shotgun")

    assert reply.text.startswith("In the red tray: Post Box (red 9-inch), shotgun. It holds 3")


def test_a_lure_that_loses_its_line_in_a_tray_is_named(tmp_path: Path) -> None:
    reply, trays, _ = after(tmp_path, "05:03 put post box in the red tray on the long rigger")

    assert "Out of it for that: Oil Lamp (purple 7-inch)." in reply.text
    assert "Oil Lamp long rigger" not in trays["red"]


def test_which_of_several_reds_goes_into_a_tray_is_asked_with_buttons(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        asked = call(desk, "05:00 add a red one to tray two")
        before = rows(tmp_path)
        chosen = call(desk, "05:01 fire bucket")
        trays = held(desk)

    names = "Brick Dust (red 8-inch), Fire Bucket (red and white 7-inch) or Post Box (red 9-inch)"
    assert asked.ask == f"Which one for tray two: {names}?"
    assert [one.label for one in asked.buttons] == ["Brick Dust", "Fire Bucket", "Post Box", "No"]
    assert before == []
    assert chosen.text.startswith("In tray two: Fire Bucket (red and white 7-inch).")
    assert trays == {"two": ["Fire Bucket False"]}


def test_the_only_red_that_is_left_goes_in_without_a_question(tmp_path: Path) -> None:
    reply, trays, _ = after(
        tmp_path, "05:03 put post box in the red tray", "05:04 add a red one to the red tray"
    )

    assert reply.text.startswith("In the red tray: Brick Dust (red 8-inch).")
    assert reply.ask is None
    assert "Brick Dust False" in trays["red"]


def test_a_tray_that_has_all_of_a_colour_says_so_and_keeps_no_red_lure_of_nobody(
    tmp_path: Path,
) -> None:
    reply, trays, _ = after(tmp_path, "05:03 add a purple one to the red tray")

    assert (
        reply.text == "In the red tray already: Garden Shed (purple and black 12-inch) and"
        " Oil Lamp (purple 7-inch); no other purple is aboard."
    )
    assert trays["red"] == RED


def test_which_of_several_comes_out_is_asked_and_what_is_not_there_is_refused(
    tmp_path: Path,
) -> None:
    with boxed(tmp_path, BOX) as desk:
        asked = call(desk, *FILLED, "05:03 take the purple one out of the red tray")
        refused = call(desk, "05:04 take the green one out of the red tray")
        trays = held(desk)

    assert [one.label for one in asked.buttons] == ["Garden Shed", "Oil Lamp", "No"]
    assert refused.text.startswith("No green is in the red tray; it holds Garden Shed")
    assert trays["red"] == RED


@pytest.mark.parametrize(
    "said",
    [
        "run the red tray with the spare on the long rigger",
        "run the red tray, spare on the long rigger",
        "run the red tray but the spare on the long rigger",
        "run the red tray with its spare instead of the oil lamp",
    ],
)
def test_the_spare_of_a_tray_goes_out_in_place_of_the_lure_planned_there(
    tmp_path: Path, said: str
) -> None:
    reply, trays, out = after(tmp_path, f"06:00 {said}")

    assert out == {"short corner": "Garden Shed", "long rigger": "Fire Bucket"}
    assert "Stays in the tray: Oil Lamp." in reply.text
    assert "long rigger Fire Bucket (red and white 7-inch)" in reply.text
    assert "Spare in the tray" not in reply.text
    assert trays["red"] == RED


def test_which_of_two_spares_is_asked(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *FILLED, "05:03 put tea strainer in the red tray as a spare")
        asked = call(desk, "06:00 run the red tray with the spare on the long rigger")
        call(desk, "06:01 tea strainer")
        out = desk.view(at("06:02")).trip.spread

    assert [one.label for one in asked.buttons] == ["Fire Bucket", "Tea Strainer", "No"]
    assert {one.position: one.lure for one in out.values()}["long rigger"] == "Tea Strainer"


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("run tray two with the spare on the shotgun", "There is no tray two; trays: red."),
        ("run the red tray with the spare", "On which line does the spare go?"),
        ("rename the red tray", "Which name?"),
        ("rename tray two to night", "There is no tray two; trays: red."),
        ("delete tray two", "There is no tray two; trays: red."),
    ],
)
def test_what_cannot_be_done_with_a_tray_is_said_and_not_logged(
    tmp_path: Path, said: str, told: str
) -> None:
    reply, trays, out = after(tmp_path, f"06:00 {said}")

    assert reply.text.startswith(told)
    assert (trays, out) == ({"red": RED}, {})
    assert len(rows(tmp_path)) == len(FILLED) + 1  # the start of the trip


def test_a_tray_without_a_spare_is_not_put_out_for_one(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, "05:00 put oil lamp in tray two")
        reply = call(desk, "06:00 run tray two with the spare on the shotgun")

    assert reply.text == "Tray two has no spare; it holds Oil Lamp."


def test_a_renamed_tray_keeps_what_it_holds_and_one_undo_brings_its_old_name_back(
    tmp_path: Path,
) -> None:
    with boxed(tmp_path, BOX) as desk:
        reply = call(desk, *FILLED, "05:03 call the red tray night tray")
        renamed = held(desk)
        undone = call(desk, "05:04 undo")
        back = held(desk)

    assert reply.text == "The red tray is the night tray now: 2 lures, 1 spare."
    assert renamed == {"night": RED}
    assert undone.text == "Undone: the night tray filled with 3 lures; the red tray emptied."
    assert back == {"red": RED}


def test_a_copy_holds_the_same_and_the_other_stays(tmp_path: Path) -> None:
    reply, trays, _ = after(tmp_path, "05:03 copy the red tray to tray three")

    assert trays == {"red": RED, "three": RED}
    assert reply.text.startswith("Tray three holds what the red tray holds: 2 lures, 1 spare.")


def test_a_copy_goes_over_no_tray_that_holds_something_else(tmp_path: Path) -> None:
    reply, trays, _ = after(
        tmp_path, "05:03 put post box in tray two", "05:04 copy the red tray into tray two"
    )

    assert reply.text.startswith("There is a tray two already, with Post Box: empty it first")
    assert trays == {"red": RED, "two": ["Post Box False"]}


def test_a_tray_that_is_deleted_is_off_the_list_and_undo_brings_it_back(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        gone = call(desk, *FILLED, "05:03 delete the red tray")
        none = held(desk)
        call(desk, "05:04 undo")
        back = held(desk)

    told = "It held Garden Shed, Oil Lamp and Fire Bucket."
    assert gone.text == f"The red tray is emptied and off the list. {told}"
    assert (none, back) == ({}, {"red": RED})


def test_all_trays_are_deleted_in_one_call(tmp_path: Path) -> None:
    _, trays, _ = after(tmp_path, "05:03 put post box in tray two", "05:04 delete all the trays")

    assert trays == {}


def test_lures_that_lie_in_no_tray_are_named_by_how_they_stand(tmp_path: Path) -> None:
    reply, _, _ = after(tmp_path, "05:03 which lures are in no tray")

    ready, unchecked = reply.text.splitlines()
    assert ready.startswith("In no tray, ready (2): Post Box (red 9-inch), Tea Strainer")
    assert unchecked == "In no tray, to check (1): Brick Dust (red 8-inch)."


def test_everything_taken_out_of_a_tray_empties_it_and_brings_no_lines_in(tmp_path: Path) -> None:
    reply, trays, _ = after(tmp_path, "05:03 take everything out of the red tray")

    assert reply.text.startswith("The red tray is emptied and off the list.")
    assert trays == {}
    assert not any(row["act"] == "lines_out" for row in rows(tmp_path))


def test_a_lure_that_lies_in_another_tray_too_is_said_to(tmp_path: Path) -> None:
    reply, _, _ = after(tmp_path, "05:03 put oil lamp in tray two")

    assert "It is in the red tray too." in reply.text


def test_each_of_several_lures_that_lie_in_another_tray_too_is_named(tmp_path: Path) -> None:
    reply, trays, _ = after(tmp_path, "05:03 put oil lamp and post box in tray two")

    assert "Oil Lamp is in the red tray too." in reply.text
    assert "Post Box is" not in reply.text
    assert trays["red"] == RED


MOVES = (
    "move oil lamp to the slow tray",
    "move the oil lamp over to the slow tray as a spare",
    "shift the oil lamp across to the slow tray",
    "moving the oil lamp into the slow tray",
)


@pytest.mark.parametrize("said", MOVES)
def test_what_is_moved_comes_out_of_the_tray_where_it_lay(tmp_path: Path, said: str) -> None:
    reply, trays, _ = after(tmp_path, f"05:03 {said}")

    assert "Out of the red tray: Oil Lamp (purple 7-inch)." in reply.text
    assert "In the slow tray: Oil Lamp (purple 7-inch)" in reply.text
    assert trays["red"] == ["Garden Shed short corner", "Fire Bucket True"]
    assert [one.split(" ")[:2] for one in trays["slow"]] == [["Oil", "Lamp"]]


def test_what_is_moved_out_of_two_trays_lies_in_none_of_them(tmp_path: Path) -> None:
    reply, trays, _ = after(
        tmp_path, "05:03 put oil lamp in tray two", "05:04 move oil lamp to tray three"
    )

    assert "Out of tray two: Oil Lamp (purple 7-inch). It is empty now." in reply.text
    assert [name for name, lures in trays.items() if "Oil Lamp" in " ".join(lures)] == ["three"]


def test_a_colour_that_is_moved_is_that_of_the_tray_where_one_lies(tmp_path: Path) -> None:
    reply, trays, _ = after(tmp_path, "05:03 move the red one to the slow tray")

    assert not reply.ask
    assert trays["slow"] == ["Fire Bucket False"]
    assert trays["red"] == RED[:2]


def test_which_of_several_is_moved_is_asked_and_it_comes_out_where_it_lay(tmp_path: Path) -> None:
    lies = "05:03 put post box in the heavy tray"
    with boxed(tmp_path, BOX) as desk:
        asked = call(desk, *FILLED, lies, "05:04 move the red one to the slow tray")
        call(desk, "05:05 post box")
        trays = held(desk)

    assert [one.label for one in asked.buttons[:2]] == ["Post Box", "Fire Bucket"]
    assert trays == {"red": RED, "slow": ["Post Box False"]}


def test_a_move_is_taken_back_as_one(tmp_path: Path) -> None:
    _, trays, _ = after(tmp_path, "05:03 move oil lamp to the slow tray", "05:04 undo")

    assert trays == {"red": RED}


def test_a_lure_that_is_moved_and_lay_in_no_tray_is_only_put_there(tmp_path: Path) -> None:
    reply, trays, _ = after(tmp_path, "05:03 move post box to the slow tray")

    assert reply.text.startswith("In the slow tray: Post Box")
    assert trays == {"red": RED, "slow": ["Post Box False"]}


def test_the_whole_spread_that_is_out_goes_into_a_tray(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, "06:00 set short corner garden shed, shotgun oil lamp", "06:01 lines in")
        call(desk, "06:02 put the whole spread in tray three")
        trays = held(desk)

    assert trays == {"three": ["Garden Shed short corner", "Oil Lamp shotgun"]}


@pytest.mark.parametrize(
    "said", ["swap the long rigger for the spare", "put the spare on the long rigger"]
)
def test_the_spare_is_that_of_the_tray_that_is_out(tmp_path: Path, said: str) -> None:
    _, _, out = after(tmp_path, "06:00 run the red tray", "06:01 lines in", f"06:30 {said}")

    assert out == {"short corner": "Garden Shed", "long rigger": "Fire Bucket"}


def test_a_spare_of_no_tray_is_asked_for_by_its_name_and_not_logged(tmp_path: Path) -> None:
    reply, _, out = after(tmp_path, "06:00 put the spare on the long rigger")

    assert reply.text == "Which spare? No tray is out. Say the lure by its name."
    assert out == {}


def test_a_tray_gets_no_name_of_a_lure(tmp_path: Path) -> None:
    reply, trays, _ = after(tmp_path, "06:00 rename the red tray to the oil lamp tray")

    assert reply.text.startswith("A lure is called oil lamp: say another name")
    assert trays == {"red": RED}
