"""What befalls two fish at once, what is aboard, several entries taken back; common practice, no source."""

from pathlib import Path

import pytest

from bot import Desk
from tests.desk_rig import call, rows

BEGIN = (
    "06:30 set short corner red ten", "06:30 set short rigger blue 12", "06:31 set long rigger purple 8",
    "06:31 set shotgun green 6", "06:32 lines in",
)  # fmt: skip


def acts(home: Path) -> list[tuple[str, str | None]]:
    found = rows(home, "SELECT act, position FROM entries WHERE NOT void ORDER BY at, id")
    return [
        (row["act"], row["position"]) for row in found if row["act"] not in ("set", "trip_start")
    ]


def test_what_missed_both_is_a_miss_of_each(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(
            desk,
            *BEGIN,
            "07:00 strike short rigger",
            "07:00 strike long rigger",
            "07:01 missed em both",
        )

    assert acts(tmp_path)[-2:] == [("miss", "short rigger"), ("miss", "long rigger")]


def test_with_one_bite_both_is_one_miss(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "07:00 strike short rigger", "07:01 missed em both")

    assert [act for act, _ in acts(tmp_path)].count("miss") == 1


@pytest.mark.parametrize("said", ["everything is in", "all in"])
def test_lines_that_are_in_while_a_fish_is_on_are_in_the_boat(tmp_path: Path, said: str) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "07:00 hooked up shotgun", "07:01 lines out", f"07:02 {said}")

    assert [act for act, _ in acts(tmp_path)].count("lines_in") == 1


def test_the_spread_goes_back_out_beside_a_fish(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "07:00 hooked up shotgun", "07:01 lines out", "07:20 lines back in")

    assert [act for act, _ in acts(tmp_path)].count("lines_in") == 2


def test_two_entries_are_taken_back_in_a_breath(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(
            desk,
            *BEGIN,
            "07:00 strike shotgun",
            "07:01 missed it",
            "07:02 undo the miss and the strike",
        )

    assert acts(tmp_path) == [("lines_in", None)]


def test_a_comma_parts_two_numbers(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(
            desk,
            *BEGIN,
            "07:00 hooked up shotgun",
            "07:20 he's released, black marlin, baby one, forty kilos",
        )

    assert rows(tmp_path, "SELECT weight_kg FROM entries WHERE act = 'release'")[0][0] == 40.0
