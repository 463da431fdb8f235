"""What is said in one breath, by several at once or a moment later, is one thing in the log where it is one.

What is right stands beside each talk; common practice, no source.
"""

from pathlib import Path

import pytest

from bot import Desk
from tests.desk_rig import call, rows
from tests.test_desk_lives import acts, told, totals

BOX = """name,size_in,colours,head
Zephyr,9,purple black,cupped
Cinder,10,red black,cupped
"""


@pytest.mark.parametrize(
    "lines",
    [
        ["0 A: double hookup", "1 B: short rigger and shotgun"],
        ["0 A: double hook up", "1 B: fish on short rigger and fish on shotgun"],
    ],
)
def test_the_lines_of_a_double_may_be_told_after_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], lines: list[str]
) -> None:
    told(tmp_path, *lines, "9 A: pulled the hook on the shotgun", "12 A: wahoo in the boat")

    assert acts(tmp_path) == [
        "hookup short rigger", "hookup shotgun", "pulled_hook shotgun", "boat short rigger",
    ]  # fmt: skip
    assert totals(tmp_path, capsys) == (2, 2, 1)


def test_a_fish_on_another_line_than_its_strike_named_is_logged_unasked(tmp_path: Path) -> None:
    replies = told(tmp_path, "0 A: strike short rigger, hooked up", "1 B: hooked up shotgun")

    assert not replies[1].ask
    assert acts(tmp_path)[-1] == "hookup shotgun"


def test_hooked_up_in_the_breath_of_a_strike_is_on_its_line(tmp_path: Path) -> None:
    told(tmp_path, "0 A: strike long rigger, hooked up", "1 B: strike short rigger, hooked up")

    assert acts(tmp_path)[-2:] == ["strike short rigger", "hookup short rigger"]


def test_who_called_the_miss_calls_the_next_bite_unasked(tmp_path: Path) -> None:
    replies = told(tmp_path, "0 A: strike shotgun", "0 B: missed him", "1 B: strike shotgun")

    assert not replies[2].ask
    assert acts(tmp_path) == ["strike shotgun", "miss shotgun", "strike shotgun"]


def test_two_anglers_are_two_turns(tmp_path: Path) -> None:
    replies = told(
        tmp_path, "0 A: hooked up short rigger", "1 A: Tom is on the short rigger",
        "1 B: Mia is on the rod",
    )  # fmt: skip

    assert not replies[2].ask


def test_a_strike_and_its_line_said_in_two_calls_are_one_strike(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told(tmp_path, "0 A: strike", "0.5 A: strike long rigger", "1 A: hooked up")

    assert totals(tmp_path, capsys) == (1, 1, 0)


def test_the_side_that_the_first_named_stays_when_another_names_the_line(tmp_path: Path) -> None:
    told(tmp_path, "0 A: hooked up on the starboard side", "0.5 B: hooked up long rigger")

    (fish,) = rows(tmp_path, "SELECT * FROM entries WHERE act = 'hookup' AND NOT void")
    assert (fish["position"], fish["side"]) == ("long rigger", "starboard")


def test_a_name_that_was_guessed_is_given_up_for_the_lure_that_is_called_so(tmp_path: Path) -> None:
    box = tmp_path / "box.csv"
    box.write_text(BOX)
    with Desk(tmp_path) as desk:
        desk.box_import(box)
        call(desk, "06:30 lines in", "06:31 set purple nine long rigger")
        swapped = call(desk, "07:00 swap the long rigger to zephyr")
        again = call(desk, "07:01 swap the long rigger to zephyr")
        call(desk, "07:02 set red ten shotgun", "07:03 put cinder on the short corner")
        out = {lure.position: lure.lure for lure in desk.view().trip.spread.values()}

    assert swapped.text.startswith(
        "Swap, long rigger: Zephyr (purple and black 9-inch) for purple 9-inch"
    )
    assert again.text.startswith("Zephyr is on the long rigger already.")
    assert out == {"long rigger": "Zephyr", "shotgun": None, "short corner": "Cinder"}


def test_a_stage_told_twice_stands_once(tmp_path: Path) -> None:
    told(
        tmp_path, "0 A: strike long rigger", "0.5 A: strike", "1 A: hooked up", "9 A: leader",
        "11 A: got the leader",
    )  # fmt: skip

    assert acts(tmp_path) == ["strike long rigger", "hookup long rigger", "leader long rigger"]


def test_what_came_in_is_what_needs_work(tmp_path: Path) -> None:
    told(tmp_path, "0 A: clear the long corner", "2 B: needs a new leader")

    (work,) = rows(tmp_path, "SELECT * FROM entries WHERE act = 'rework'")
    assert (work["size_in"], work["colours"]) == (12, "green")


def test_still_on_takes_back_that_he_came_off(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told(tmp_path, "0 A: hooked up shotgun", "5 A: he came off", "6 B: fish on", "9 A: boated")

    assert acts(tmp_path) == ["hookup shotgun", "boat shotgun"]
    assert totals(tmp_path, capsys) == (1, 1, 1)


def test_he_is_on_said_once_more_is_no_second_fish(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told(tmp_path, "0 A: strike shotgun, hooked up", "3 B: fish on", "4 B: hooked up long rigger")

    assert totals(tmp_path, capsys) == (2, 2, 0)


def test_the_one_on_the_rod_speaks_of_the_own_fish(tmp_path: Path) -> None:
    replies = told(
        tmp_path, "0 A: hooked up shotgun, Mia's rod", "0 A: hooked up short rigger, Tom's rod",
        "9 Tom: wahoo in the boat",
    )  # fmt: skip

    assert not replies[-1].ask
    assert acts(tmp_path)[-1] == "boat short rigger"


def test_the_fish_that_was_on_at_the_end_of_the_trip_may_be_landed_in_words_after_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told(tmp_path, "0 A: hooked up shotgun", "9 A: trip over", "30 B: boated a wahoo, 20 kilos")

    assert acts(tmp_path) == ["hookup shotgun", "boat shotgun"]
    assert totals(tmp_path, capsys) == (1, 1, 1)
    assert len({row["trip"] for row in rows(tmp_path)}) == 1


def test_what_a_fish_was_on_the_scale_is_its_weight_and_no_drag(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, "07:00 lines in", "07:10 fish on shotgun", "07:20 released a wahoo")
        of_fish = call(desk, "09:01 the wahoo was 5 kilos on the scale")
        call(desk, "09:05 fish on short corner", "09:06 released a mahi-mahi, short corner")
        heavy = call(desk, "09:08 the mahi-mahi was 63 kilos on the scale")
        read = call(desk, "09:10 shotgun drag is 5 kilos", "09:11 no, 6")

    assert "wahoo, 5 kg" in of_fish.text
    assert "mahi-mahi, 63 kg" in heavy.text
    assert "drag" not in heavy.text
    assert "drag" in read.text


def test_a_weight_goes_to_the_fish_boated_last_where_it_has_none(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, "07:00 lines in", "07:10 strike short rigger", "07:10 strike long rigger")
        call(desk, "07:11 hooked up on both", "07:20 short rigger boated bigeye, 22 kilos")
        call(desk, "07:26 long rigger boated")
        told = call(desk, "07:27 bigeye twenty kilo")

    assert "long rigger" in told.text
    assert "20 kg" in told.text


def test_the_side_and_then_which_line_of_it_is_one_line(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, "06:00 set port short rigger pink 10", "06:01 set port long rigger purple 8")
        told = call(desk, "06:10 lines in", "07:00 left rigger, the short, is going off")

    assert told.text.startswith("Strike, port short rigger")
