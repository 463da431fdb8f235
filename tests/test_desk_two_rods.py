"""What a double, a question or a sighting leaves open, and the next line settles."""

from pathlib import Path

import pytest

from tests.desk_rig import call, rigged, standing, told

BOX = "name,head,size_in,colours,ready\nChurch Hat,blunt,10,purple black,yes\n"


@pytest.mark.parametrize(
    "said",
    ["Sjoerd on the short corner rod, Maaike's got the long rigger",
     "Sjoerd on the short corner, Maaike on the long rigger"],
)  # fmt: skip
def test_whose_rods_they_are_tells_the_lines_of_a_double(tmp_path: Path, said: str) -> None:
    with rigged(tmp_path, BOX, "07:00 double, double hook-up!") as desk:
        call(desk, f"07:01 {said}", "07:12 Maaike's is in the boat, dorado")

    assert told(standing(tmp_path, "hookup"), "position") == ["short corner", "long rigger"]
    assert told(standing(tmp_path, "angler"), "angler") == ["Sjoerd", "Maaike"]
    assert told(standing(tmp_path, "boat"), "position") == ["long rigger"]


def test_one_rod_leaves_a_double_as_it_is(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, "07:00 double, double hook-up!") as desk:
        call(desk, "07:01 Sjoerd on the short corner")

    assert told(standing(tmp_path, "hookup"), "count") == [2]


@pytest.mark.parametrize(
    ("asked", "said", "act", "line"),
    [("what's on the shotgun", "clear it", "clear", "shotgun"),
     ("what's on the short rigger", "swap it for the green six", "swap", "short rigger")],
)  # fmt: skip
def test_it_is_the_line_that_was_just_asked_about(
    tmp_path: Path, asked: str, said: str, act: str, line: str
) -> None:
    with rigged(tmp_path, BOX) as desk:
        call(desk, f"07:00 {asked}", f"07:00:20 {said}")

    assert told(standing(tmp_path, act), "position") == [line]


def test_it_is_no_line_where_two_were_asked_about(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX) as desk:
        reply = call(desk, "07:00 what's on the corners", "07:00:20 clear it")

    assert told(standing(tmp_path, "clear"), "position") == [None]
    assert "On which position?" in reply.text


def test_what_is_seen_is_logged_with_what_it_was(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX) as desk:
        reply = call(desk, "07:00 birds ahead")

    assert reply.text.startswith("Seen: birds.")
