"""Entries further back are taken out of the log by what they were; common practice, no source."""

from pathlib import Path

import pytest

from bot import Desk
from tests.desk_rig import call, rows

MORNING = (
    "06:00 trip start", "06:30 lines in", "06:30 set short corner red ten", "06:31 set long rigger purple 8",
    "06:32 set shotgun blue six", "07:00 strike long rigger", "07:02 missed him", "08:10 strike short corner",
    "08:11 hooked up", "08:30 boated a wahoo", "09:00 swap the shotgun to the green twelve",
)  # fmt: skip


def taken_out(home: Path, said: str) -> list[tuple[str, str]]:
    """Return the entries (clock time, act) that are gone after a line."""
    with Desk(home) as desk:
        call(desk, *MORNING, f"09:30 {said}")
    gone = rows(home, "SELECT at, act FROM entries WHERE void ORDER BY at, id")
    return [(row["at"][11:16], row["act"]) for row in gone]


@pytest.mark.parametrize(
    "said",
    ["the miss at 07:02 never happened", "scratch the 7:02 miss", "delete the last miss",
     "there was no miss on the long rigger", "forget the miss at seven oh two"],
)  # fmt: skip
def test_a_miss_is_taken_out_and_nothing_else(tmp_path: Path, said: str) -> None:
    assert taken_out(tmp_path, said) == [("07:02", "miss")]


@pytest.mark.parametrize(
    "said", ["scratch the strike at seven", "delete the strike on the long rigger"]
)
def test_a_strike_goes_with_the_miss_that_it_ended_in(tmp_path: Path, said: str) -> None:
    assert taken_out(tmp_path, said) == [("07:00", "strike"), ("07:02", "miss")]


@pytest.mark.parametrize(
    "said", ["delete the wahoo", "the wahoo never happened", "the last strike was a mistake"]
)
def test_a_fish_goes_with_all_that_befell_it(tmp_path: Path, said: str) -> None:
    gone = [("08:10", "strike"), ("08:11", "hookup"), ("08:30", "boat")]
    assert taken_out(tmp_path, said) == gone


@pytest.mark.parametrize(
    ("said", "answer"),
    [("remove the entry at 11:40", "The log has no entry at 11:40."),
     ("delete the raise on the shotgun", "The log has no raise on shotgun.")],
)  # fmt: skip
def test_what_is_not_there_is_said_and_nothing_goes(tmp_path: Path, said: str, answer: str) -> None:
    assert taken_out(tmp_path, said) == []
    with Desk(tmp_path) as desk:
        assert call(desk, f"09:31 {said}").text == answer


@pytest.mark.parametrize(
    "said", ["forget the wahoo, we want marlin", "that strike was something", "lose the hat mate"]
)
def test_talk_takes_nothing_out(tmp_path: Path, said: str) -> None:
    assert taken_out(tmp_path, said) == []


def test_what_was_taken_out_comes_back_whole(tmp_path: Path) -> None:
    assert taken_out(tmp_path, "delete the wahoo")
    with Desk(tmp_path) as desk:
        call(desk, "09:31 undo the undo")
    assert not rows(tmp_path, "SELECT at FROM entries WHERE void")
