"""Doubles called without their lines, half-named lines, what a correction leaves; common practice."""

from pathlib import Path

import pytest

from bot import Desk
from tests.desk_rig import STANDS, call, rows

BEGIN = (
    "06:00 set short corner black 14", "06:00 set long corner green 12",
    "06:00 set short rigger pink 10", "06:00 set long rigger purple 8", "06:01 lines in",
)  # fmt: skip


def total(desk: Desk, clock: str) -> str:
    """Return the first line of the tally."""
    return call(desk, f"{clock} tally").text.splitlines()[0]


def told(home: Path) -> list[tuple[object, object]]:
    """Return acts and positions of the entries that stand."""
    return [(row["act"], row["position"]) for row in rows(home, STANDS)]


def test_the_line_of_one_fish_of_a_double_is_not_that_of_the_other(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "07:00 double hookup", "07:09 one's in the boat, albacore")
        call(desk, "07:09 that was the short rigger", "07:14 boated the other one")
        assert "2 strikes" in total(desk, "07:20")
    assert [p for act, p in told(tmp_path) if act == "boat"] == ["short rigger", None]


def test_of_three_fish_each_ends_by_itself(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "07:00 triple hookup", "07:06 pulled hook on the short rigger")
        call(desk, "07:09 boated a mahi", "07:11 boated another mahi")
        first = total(desk, "07:20")
    assert "3 strikes" in first
    assert "3 hook-ups" in first
    assert "2 caught" in first


@pytest.mark.parametrize("text", ["scratch the miss, he is on", "no no undo that, hooked up"])
def test_what_is_called_instead_goes_on_with_the_bite(tmp_path: Path, text: str) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "07:00 strike long corner, missed", f"07:01 {text}")
    assert told(tmp_path)[-2:] == [("strike", "long corner"), ("hookup", "long corner")]


def test_a_bite_on_another_line_instead_takes_the_first_back(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "07:00 strike long corner, missed")
        call(desk, "07:01 undo that, hooked up on the short rigger")
    assert ("strike", "long corner") not in told(tmp_path)


def test_a_line_known_by_the_lure_goes_with_the_lure(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "07:00 strike on the pink", "07:01 no, the green")
    assert told(tmp_path)[-1] == ("strike", "long corner")


@pytest.mark.parametrize(
    ("text", "act"),
    [
        ("clear the rigger", "clear"), ("fish on the corner", "hookup"),
        ("swap the corner to blue 6", "swap"), ("hooked up on the outrigger", "hookup"),
    ],
)  # fmt: skip
def test_half_a_lines_name_is_asked_about(tmp_path: Path, text: str, act: str) -> None:
    with Desk(tmp_path) as desk:
        reply = call(desk, *BEGIN, f"07:00 {text}")
        assert "osition?" in reply.text
    assert told(tmp_path)[-1] == (act, None)


def test_the_rest_of_the_name_answers(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "07:00 put the red six on the rigger", "07:00:20 the long one")
    assert told(tmp_path)[-1] == ("set", "long rigger")


def test_all_lines_of_a_kind_are_both(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "07:00 clear the riggers")
    assert told(tmp_path)[-2:] == [("clear", "short rigger"), ("clear", "long rigger")]
