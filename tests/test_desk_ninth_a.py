"""Which fish and which person is meant, where several are on or were; common practice, no source."""

from pathlib import Path
from sqlite3 import Row
from typing import Any

import pytest

from tests.desk_rig import call, rigged, standing

BOX = (
    "name,head,size_in,colours,ready,speed_min_kn,speed_max_kn\n"
    "Church Hat,blunt,10,purple black,yes,6,9\nBroom Handle,slim,6,silver blue,yes,6,9\n"
    "Rusty Nail,slim,7,brown orange,yes,6,9\n"
)
TWO_ON = (
    "07:00 strike shotgun",
    "07:01 hooked up shotgun, hamish on the rod",
    "07:02 strike long corner",
    "07:03 fish on long corner, ruth's on it",
)


def told(row: Row, *names: str) -> tuple[Any, ...]:
    return tuple(row[name] for name in names)


def test_a_rod_named_after_the_bite_tells_whose_fish_is_boated(tmp_path: Path) -> None:
    with rigged(
        tmp_path,
        BOX,
        "07:00 strike both riggers",
        "07:01 hamish has the long one, ruth's on the short one",
    ) as desk:
        call(desk, "07:04 mine is in the box, 11.5 kg", crew="Ruth")
        call(desk, "07:05 hamish's in the box, 8 kg", crew="Mele")

    boated = standing(tmp_path, "boat")
    assert [told(one, "position", "angler", "weight_kg") for one in boated] == [
        ("short rigger", "Ruth", 11.5),
        ("long rigger", "Hamish", 8.0),
    ]


def test_a_rod_named_long_after_the_bite_is_not_its_fish(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, "07:00 strike long rigger", "07:30 ana has the long rigger") as desk:
        said = call(desk, "07:31 tally by angler").text

    assert "Ana" not in said


def test_who_took_the_rod_after_the_end_was_is_with_an_end_called_late(tmp_path: Path) -> None:
    with rigged(
        tmp_path,
        BOX,
        "07:00 fish on short corner",
        "07:20 jono is on the short corner",
        "07:25 boated at 07:10, mahi, 4 kilos",
    ) as desk:
        said = call(desk, "07:26 tally by angler").text

    (boated,) = standing(tmp_path, "boat")
    assert told(boated, "position", "angler") == ("short corner", "Jono")
    assert "Jono: 1 strike, 1 caught" in said


def test_what_became_of_mine_is_no_correction_of_one_that_is_lost(tmp_path: Path) -> None:
    with rigged(
        tmp_path,
        BOX,
        "07:00 fish on short rigger, blue marlin",
        "07:05 broken off",
        "07:06 set short rigger church hat",
        "07:07 strike both riggers",
    ) as desk:
        call(
            desk, "07:08 mine was on the short rigger, 11 and a half kilos in the box", crew="Ruth"
        )

    (lost,), (boated,) = standing(tmp_path, "break_off"), standing(tmp_path, "boat")
    assert lost["species"] == "blue marlin"
    assert told(boated, "position", "weight_kg", "angler") == ("short rigger", 11.5, "Ruth")


def test_what_a_fish_is_now_is_asked_of_those_on_and_not_of_one_that_is_off(tmp_path: Path) -> None:
    with rigged(
        tmp_path,
        BOX,
        "07:00 hooked up short corner",
        "07:00 hooked up shotgun",
        "07:00 hooked up long rigger, wahoo",
        "07:01 pulled the hook on the long rigger",
    ) as desk:
        said = call(desk, "07:02 mine's a dolphin fish, little one").text

    assert "shotgun" in said
    assert "short corner" in said
    assert "long rigger" not in said


def test_the_boated_one_that_was_another_exchanges_their_endings(tmp_path: Path) -> None:
    with rigged(
        tmp_path,
        BOX,
        *TWO_ON,
        "07:10 boated the one on the long corner",
        "07:16 pulled hook, shotgun",
    ) as desk:
        said = call(desk, "07:18 the boated one at 07:10 was the shotgun").text

    bites = standing(tmp_path, "strike", "hookup")
    assert [one["position"] for one in bites] == ["shotgun"] * 2 + ["long corner"] * 2
    (boated,), (lost,) = standing(tmp_path, "boat"), standing(tmp_path, "pulled_hook")
    assert told(boated, "position") == ("shotgun",)
    assert told(lost, "position") == ("long corner",)
    assert "pulled hook" in said.lower()


def test_the_boated_one_on_a_line_without_a_fish_takes_its_bite_along(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, *TWO_ON[:2], "07:10 boated") as desk:
        call(desk, "07:18 the boated one at 07:10 was the short rigger")

    places = {one["position"] for one in standing(tmp_path, "strike", "hookup", "boat")}
    assert places == {"short rigger"}


@pytest.mark.parametrize(
    "said",
    [
        "07:18 no. the one on the gun at 7:00 was the wahoo, we gaffed it at 7:10, 14 kilos. "
        "ruth's on the long corner threw the hook at 7:16",
        "07:18 the one on the gun at 7:00 was the wahoo, gaffed at 7:10, 14 kilos; "
        "Ruth's on the long corner threw the hook at 7:16",
    ],
)
def test_a_correction_of_two_fish_puts_both_right(tmp_path: Path, said: str) -> None:
    with rigged(
        tmp_path,
        BOX,
        *TWO_ON,
        "07:05 the one on the gun is a wahoo",
        "07:10 boated the one on the long corner",
        "07:16 pulled hook, shotgun",
    ) as desk:
        call(desk, said, crew="Pete")

    (boated,), (lost,) = standing(tmp_path, "boat"), standing(tmp_path, "pulled_hook")
    assert told(boated, "position", "species", "weight_kg") == ("shotgun", "wahoo", 14.0)
    assert told(lost, "position", "species") == ("long corner", None)
    assert len(standing(tmp_path, "strike", "hookup")) == 4


def test_two_endings_told_with_a_name_are_logged_of_their_fish(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, *TWO_ON) as desk:
        call(
            desk,
            "07:18 the one on the gun was a wahoo, boated 7:10, 14 kilos; ruth's pulled the hook at 7:16",
        )

    (boated,), (lost,) = standing(tmp_path, "boat"), standing(tmp_path, "pulled_hook")
    assert told(boated, "position", "species", "weight_kg") == ("shotgun", "wahoo", 14.0)
    assert told(lost, "position", "angler") == ("long corner", "Ruth")


@pytest.mark.parametrize(
    ("said", "who"),
    [
        ("the yellowfin was caught by harriet", "Harriet"),
        ("the yellowfin was landed by Lani", "Lani"),
        ("the yellowfin was mine", "Harriet"),
        ("the yellowfin was mine, Harriet", "Harriet"),
        ("the yellowfin was on the long rigger, purple eight, harriet on the rod", "Harriet"),
    ],
)
def test_the_angler_of_a_landed_fish_is_put_right(tmp_path: Path, said: str, who: str) -> None:
    with rigged(
        tmp_path,
        BOX,
        "07:00 hooked up long rigger, clive's on",
        "07:08 boated yellowfin 20 kilos",
        "07:12 strike shotgun",
        "07:13 missed it",
    ) as desk:
        call(desk, f"07:15 {said}", crew="Harriet")
        told_of = call(desk, "07:16 tally by angler").text

    (strike,) = standing(tmp_path, "strike")
    assert told(strike, "position", "species", "angler") == ("shotgun", None, None)
    assert f"{who}: 1 strike, 1 caught" in told_of
    assert "Clive" not in told_of


@pytest.mark.parametrize(
    "said",
    [
        "twenty minutes ago we had a bite on the long corner and missed it",
        "at 7:10 the long corner went off, hooked up and pulled the hook",
    ],
)
def test_a_time_in_front_holds_for_the_whole_breath(tmp_path: Path, said: str) -> None:
    with rigged(tmp_path, BOX) as desk:
        call(desk, f"07:30 {said}")

    told_of = standing(tmp_path, "strike", "hookup", "miss", "pulled_hook")
    assert len(told_of) > 1
    assert {one["at"][11:16] for one in told_of} == {"07:10"}


@pytest.mark.parametrize(
    "said",
    [
        "at 7:10 fish on the gun, boated it just now, 12 kilos",
        "fish on the gun at 7:10, boated it, 12 kilos",
    ],
)
def test_a_time_of_the_bite_alone_is_not_that_of_the_end(tmp_path: Path, said: str) -> None:
    with rigged(tmp_path, BOX) as desk:
        call(desk, f"07:30 {said}")

    (on,), (boated,) = standing(tmp_path, "hookup"), standing(tmp_path, "boat")
    assert on["at"][11:16] == "07:10"
    assert boated["at"][11:16] == "07:30"


def test_a_lure_lost_with_its_fish_is_one_break_off_said_once(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX) as desk:
        said = call(desk, "07:00 broom handle is gone, the mako bit through").text

    (lost,) = standing(tmp_path, "break_off")
    assert told(lost, "position", "species") == ("shotgun", "mako shark")
    assert standing(tmp_path, "rework") == []
    assert said.count("Broom Handle") == 1


def test_the_lure_of_the_wrong_line_goes_with_it(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, "07:00 strike gun, broom handle") as desk:
        said = call(desk, "07:00 no sorry long rigger").text

    (strike,) = standing(tmp_path, "strike")
    assert told(strike, "position", "lure", "colours") == ("long rigger", None, "purple")
    assert "swap" not in said


def test_a_strike_on_a_lure_that_is_not_out_is_not_that_of_the_fish_raised(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, "07:00 raised short rigger") as desk:
        said = call(desk, "07:01 strike on the church hat").text

    assert "Which position?" in said
    assert standing(tmp_path, "strike")[0]["position"] is None


@pytest.mark.parametrize(
    ("crew", "line"), [("Ruth", "long corner"), ("Hamish", "shotgun"), ("Mele", None)]
)
def test_mine_is_the_fish_of_the_speaker_and_of_nobody_else(
    tmp_path: Path, crew: str, line: str | None
) -> None:
    with rigged(tmp_path, BOX, *TWO_ON) as desk:
        reply = call(desk, "07:06 mine jumped, it's a mahi", crew=crew)

    named = [
        one["position"] for one in standing(tmp_path, "hookup") if one["species"] == "mahi-mahi"
    ]
    assert named == ([line] if line else [])
    assert line is not None or reply.text == "The log has no fish of Mele."


def test_of_two_boated_within_a_minute_the_other_anglers_is_another(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, *TWO_ON) as desk:
        call(desk, "07:10 boated, 12 kg, ruth's rod", crew="Pete")
        said = call(desk, "07:10 hamish's in the box, 9 kg", crew="Mele").text

    assert "another one" not in said
    assert {told(one, "position", "weight_kg") for one in standing(tmp_path, "boat")} == {
        ("long corner", 12.0),
        ("shotgun", 9.0),
    }
