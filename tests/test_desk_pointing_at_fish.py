"""Words that point at one of several fish, or at the line spoken of last; common practice, no source."""

from pathlib import Path

import pytest

from bot import Desk
from tests.desk_rig import call, rows

BEGIN = (
    "06:30 set short corner red ten", "06:30 set long corner blue 12", "06:31 set long rigger purple 8",
    "06:31 set shotgun green 6", "06:32 lines in",
)  # fmt: skip

BITTEN = (*BEGIN, "07:00 strike short corner", "07:00 strike long corner")


def standing(home: Path, act: str) -> list[str | None]:
    query = "SELECT act, position FROM entries WHERE NOT void ORDER BY at, id"
    return [row["position"] for row in rows(home, query) if row["act"] == act]


@pytest.mark.parametrize(
    ("said", "act"),
    [
        ("pulled the hook on the other one", "pulled_hook"),
        ("the other fish broke off", "break_off"),
    ],
)
def test_the_other_one_is_the_other_fish_that_is_on(tmp_path: Path, said: str, act: str) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "07:00 hooked up shotgun", "07:01 hooked up short corner")
        call(desk, "07:05 boated a mahi, shotgun", f"07:10 {said}")

    assert standing(tmp_path, act) == ["short corner"]


def test_the_corner_is_the_one_with_a_fish_on(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "07:00 hooked up short corner", "07:01 hooked up long rigger")
        call(desk, "07:02 Iain on the corner, Morag on the rigger")
        reply = call(desk, "07:09 Morag's fish is at the boat, gaffed, a wahoo")

    assert "Boated, wahoo, long rigger, Morag" in reply.text


def test_the_end_of_the_fish_on_the_corner_is_not_asked_about(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "07:00 fish on, short corner", "07:01 and the long rigger, hooked up")
        reply = call(desk, "07:06 the corner fish spat it")

    assert reply.text.startswith("Pulled hook, short corner.")


def test_a_line_that_was_asked_after_a_swap_without_one_is_its_line(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "07:00 swap the long one to the pink nine")
        call(desk, "07:01 long rigger")

    assert standing(tmp_path, "swap") == ["long rigger"]
    assert standing(tmp_path, "strike") == []


@pytest.mark.parametrize(
    ("before", "said", "where"),
    [
        ("clear the short corner", "pink nine goes on there", "short corner"),
        ("clear the shotgun", "put the pink nine in the same place", "shotgun"),
        ("what's on the long corner", "swap it for a pink nine", "long corner"),
    ],
)
def test_there_and_it_are_the_line_that_was_spoken_of_last(
    tmp_path: Path, before: str, said: str, where: str
) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, f"07:00 {before}", f"07:01 {said}")
        out = desk.view().trip.spread

    assert [lure.position for lure in out.values() if lure.size_in == 9] == [where]


def test_of_two_names_the_later_one_has_the_rod(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "07:00 hooked up shotgun", "07:01 angler Morag")
        reply = call(desk, "07:09 Morag's swapped, Isla's on now")

    assert reply.text.startswith("On the rod: Isla, shotgun.")


def test_who_has_him_has_the_rod_and_no_catch_is_made_up(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "07:00 strike shotgun", "07:01 hook up")
        desk.say("I've got him", crew="Morag", at=desk.view().now)

    assert standing(tmp_path, "boat") == []


def test_of_a_kind_that_was_asked_about_only_the_one_that_is_named_is_meant(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        asked = call(desk, *BEGIN, "07:00 clear the short")
        call(desk, "07:00:20 short corner")

    assert "osition?" in asked.text or asked.ask is not None
    assert standing(tmp_path, "clear") == ["short corner"]


@pytest.mark.parametrize(
    ("said", "line"),
    [("solid on the short", "short corner"), ("long's on too", "long corner"),
     ("tight on the long", "long corner")],
)  # fmt: skip
def test_the_short_is_the_one_that_was_bitten(tmp_path: Path, said: str, line: str) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BITTEN)
        assert call(desk, f"07:01 {said}").text.startswith(f"Hooked up, {line},")


def test_a_name_of_the_crew_is_no_fish(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BITTEN, crew="Kid")
        assert "kingfish" not in call(desk, "07:01 Kid's on").text
