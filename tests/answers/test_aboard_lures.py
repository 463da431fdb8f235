"""Which lures are aboard of a kind and for a fish. What goes for a fish is common practice, no source."""

from pathlib import Path

import pytest

from tests.desk_rig import boxed, call

BOX = """\
name,size_in,colours,head,ready,speed_min_kn,speed_max_kn
Ember,6,red orange,slim,yes,7,10
Tin Snail,7,red black,jet,yes,7,11
Fire Bucket,9,red white,slanted,no,7,9
Oil Lamp,8,purple black,cupped,yes,6,9
Garden Shed,9,green silver,slim,yes,4,6
Wash Tub,13,blue white,blunt,yes,6,9
"""
FISHING = ("06:00 put ember on the long rigger", "06:01 lines in")


def asked(home: Path, *said: str) -> list[str]:
    with boxed(home, BOX) as desk:
        return call(desk, *FISHING, *said).text.splitlines()


def test_all_of_a_colour_are_named_ready_ones_first_and_where_the_others_are(
    tmp_path: Path,
) -> None:
    assert asked(tmp_path, "07:00 what reds have we got") == [
        "Of red: Tin Snail (red black 7-inch, ready); Ember (red orange 6-inch, out on the long rigger);"
        " Fire Bucket (red white 9-inch, to check)."
    ]


def test_others_of_a_colour_are_those_that_are_not_out(tmp_path: Path) -> None:
    assert asked(tmp_path, "07:00 any other reds") == [
        "Of red: Tin Snail (red black 7-inch, ready); Fire Bucket (red white 9-inch, to check)."
    ]


def test_others_of_a_head_have_that_head(tmp_path: Path) -> None:
    assert asked(tmp_path, "07:00 any more jets aboard") == [
        "Of jet: Tin Snail (red black 7-inch, ready)."
    ]


def test_a_kind_of_which_there_is_none_is_said_to_be_missing(tmp_path: Path) -> None:
    assert asked(tmp_path, "07:00 any pink ones") == ["No pink is aboard."]


def test_what_goes_for_a_fish_is_told_by_how_it_stands_with_its_heads_first(tmp_path: Path) -> None:
    lines = asked(tmp_path, "07:00 what have we got for wahoo")

    assert lines[0].startswith("For wahoo: 6 to 10 in, jet, slim and plug heads first (common")
    assert lines[1:] == [
        "Ready: Tin Snail (red black 7-inch jet); Oil Lamp (purple black 8-inch cupped).",
        "Ready, but not at 8 knots: Garden Shed (green silver 9-inch slim, 4 to 6 knots).",
        "Out: Ember (red orange 6-inch slim, long rigger).",
        "Not ready: Fire Bucket (red white 9-inch slanted, to check).",
        'Say "plan a spread for wahoo" for a plan with them.',
    ]


def test_them_are_the_fish_that_were_spoken_of_last(tmp_path: Path) -> None:
    lines = asked(tmp_path, "07:00 raised a wahoo long rigger", "07:01 what have we got for them")

    assert lines[0].startswith("For wahoo:")


@pytest.mark.parametrize(
    ("said", "answer"),
    [
        ("what have we got for them", "For which fish? Say its name."),
        ("what have we got for sharks",
         'No practice for shark is known here, so no lure is picked for it. "What is ready" lists what is.'),
    ],
)  # fmt: skip
def test_a_fish_that_is_not_known_is_refused_aloud(tmp_path: Path, said: str, answer: str) -> None:
    assert asked(tmp_path, f"07:00 {said}") == [answer]


def test_where_nothing_has_the_size_the_nearest_are_named(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX.splitlines()[0] + "\nWash Tub,13,blue white,blunt,yes,6,9\n") as desk:
        lines = call(desk, "07:00 what have we got for mahi").text.splitlines()

    assert lines[1:3] == [
        "None aboard is of that size; the nearest:", "Ready: Wash Tub (blue white 13-inch).",
    ]  # fmt: skip
