"""A lure that hangs there already is not swapped for itself; who takes the rod, and when.

What is right stands beside each talk; common practice, no source.
"""

from pathlib import Path

from bot import Desk
from tests.desk_rig import call, rows

BOX = """name,size_in,colours,head
Zephyr,9,purple black,cupped
Cinder,10,red black,cupped
"""


def times(home: Path, act: str) -> list[str]:
    found = rows(home, f"SELECT at FROM entries WHERE NOT void AND act = '{act}'")
    return [row["at"][11:16] for row in found]


def test_a_swap_to_the_lure_that_is_there_says_so_and_logs_nothing(tmp_path: Path) -> None:
    box = tmp_path / "box.csv"
    box.write_text(BOX)
    with Desk(tmp_path) as desk:
        desk.box_import(box)
        call(desk, "06:30 lines in", "06:31 set zephyr long rigger")
        same = call(desk, "07:00 swap the long rigger to zephyr")
        other = call(desk, "07:10 swap the long rigger to cinder")

    assert same.text.startswith("Zephyr is on the long rigger already.")
    assert not same.logged
    assert other.text.startswith("Swap, long rigger: Cinder")
    assert times(tmp_path, "swap") == ["07:10"]


def test_who_is_next_is_said_so_while_nothing_is_on(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, "06:30 lines in", "06:31 set red ten short corner")
        before = call(desk, "07:00 next up is Mike")
        on = call(desk, "07:10 hooked up short corner", "07:11 Jenny is on the rod")

    assert before.text.startswith("Next: Mike.")
    assert "Next" not in on.text
    assert "Jenny" in on.text


def test_the_time_at_which_somebody_took_the_rod_is_not_that_of_the_fish(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, "06:30 lines in", "06:31 set red ten short corner")
        reply = call(desk, "07:40 hooked up short corner", "08:15 at 8:10 Jenny is on the rod")

    assert "Jenny" in reply.text
    assert times(tmp_path, "hookup") == ["07:40"]


def test_a_bite_before_lines_in_of_the_fish_that_is_on_is_asked_about(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(
            desk, "06:30 lines in", "06:31 set red ten short corner", "07:40 hooked up short corner"
        )
        odd = call(desk, "08:00 the short corner fish bit two hours ago")

    assert odd.ask
    assert times(tmp_path, "strike") == []
    assert times(tmp_path, "hookup") == ["07:40"]


def test_people_who_change_places_swap_no_lures(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, "06:30 lines in", "06:31 set red ten shotgun", "06:31 set blue six long rigger")
        call(desk, "07:00 strike shotgun", "07:00 strike long rigger", "07:02 swap the two anglers")

    assert "swap" not in {row["act"] for row in rows(tmp_path)}


def test_another_name_for_the_rod_at_once_puts_the_first_right(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, "06:30 lines in", "07:00 hooked up long rigger", "07:01 Tess is on the rod")
        second = call(desk, "07:03 Lionel's on the rod")

    assert second.text.startswith("Corrected: on the rod: Lionel")
    assert anglers(tmp_path) == ["Lionel"]


def test_who_takes_the_rod_later_or_of_himself_takes_it_over(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, "06:30 lines in", "07:00 hooked up long rigger", "07:01 Tess is on the rod")
        call(desk, "07:06 Lionel's on the rod", "07:07 I've got the rod")

    assert anglers(tmp_path)[:2] == ["Tess", "Lionel"]
    assert len(anglers(tmp_path)) == 3


def anglers(home: Path) -> list[str]:
    found = rows(
        home, "SELECT angler FROM entries WHERE NOT void AND act = 'angler' ORDER BY at, id"
    )
    return [row["angler"] for row in found]
