"""What a crew stumbled over on its sixth day, about lures and spreads; common practice, no source."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from bot import Desk
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
