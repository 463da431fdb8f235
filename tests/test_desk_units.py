"""Who speaks in pounds and feet is answered in them, in replies, questions, corrections and the report."""

from pathlib import Path

import pytest

from bot import Desk
from tests.desk_rig import call

OUT = ("07:00 trip start", "07:01 lines in", "07:02 set long rigger purple 8",
       "07:02 set short corner black 12", "07:30 hooked up short corner")  # fmt: skip


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ("boated a wahoo, 45 pounds", "45 lb (20.4 kg)"),
        ("boated a wahoo, twenty kilos", "wahoo, 20 kg"),
        ("water is seventy one degrees", "71 °F (21.7 °C)"),
        ("boated a wahoo, five foot ten", "5 ft 10 in (177.8 cm)"),
        ("wind 15 knots, seas 4 to 6 feet", "5 ft (1.52 m) of sea"),
    ],
)
def test_what_was_said_is_said_back_in_its_unit(tmp_path: Path, said: str, words: str) -> None:
    with Desk(tmp_path) as desk:
        assert words in call(desk, *OUT, f"07:40 {said}").text


def test_a_corrected_weight_is_said_back_in_its_own_unit(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        first = call(desk, *OUT, "07:40 boated a wahoo, 45 pounds")
        second = call(desk, "07:41 no, he was 50 pounds")
        third = call(desk, "07:42 no, he was 22 kilos")

    assert "45 lb (20.4 kg)" in first.text
    assert "50 lb (22.7 kg)" in second.text
    assert "22 kg" in third.text
    assert "lb" not in third.text.split("(was")[0]


def test_the_unit_stays_over_a_restart_and_a_later_detail(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *OUT, "07:40 boated a wahoo, 45 pounds")
    with Desk(tmp_path) as desk:
        assert "45 lb (20.4 kg)" in call(desk, "07:41 that wahoo was for Ben").text


@pytest.mark.parametrize(
    ("first", "then", "words"),
    [
        ("boated a wahoo, 45 pounds", "no, 50", "50 lb (22.7 kg)"),
        ("boated a wahoo, 45 pounds", "make that 60", "60 lb (27.2 kg)"),
        ("boated a wahoo, twenty kilos", "no, 22", "wahoo, 22 kg"),
        ("drag 24 pounds on the short corner", "no, 26", "26 lb (11.8 kg)"),
        ("water is 71", "no, 72", "72 °F (22.2 °C)"),
        ("water is 71", "no, 22", "water: 22 °C"),
        ("speed 8", "no, eight and a half", "speed 8.5 kn"),
    ],
)
def test_a_number_alone_corrects_in_the_unit_of_what_was_said(
    tmp_path: Path, first: str, then: str, words: str
) -> None:
    with Desk(tmp_path) as desk:
        reply = call(desk, *OUT, f"07:40 {first}", f"07:41 {then}")

    assert reply.text.startswith("Corrected: ")
    assert words in reply.text


def test_a_number_alone_that_is_of_nothing_is_refused_with_what_to_say(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        reply = call(desk, *OUT, "07:39 set long rigger purple 8", "07:40 no, 50 inch")

    assert reply.text == "Not logged: 50 in is no size of a lure. Say what the 50 is."


def test_a_number_alone_is_in_pounds_where_fish_are_called_in_feet_and_inches(
    tmp_path: Path,
) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *OUT, "07:40 boated a wahoo, 4 ft 8 in")
        told = call(desk, "07:41 scale says fifty one")

    assert "51 lb (23.1 kg)" in told.text
    assert "4 ft 8 in (142.2 cm)" in told.text


def test_a_number_alone_is_in_the_unit_of_earlier_trips(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *OUT, "07:40 boated a wahoo, 45 pounds", "15:00 trip over")
        call(desk, "16:00 trip start", "16:01 lines in", "16:02 set long rigger purple 8")
        told = call(desk, "16:30 hooked up long rigger", "16:40 boated a wahoo, weighed sixty")

    assert "60 lb (27.2 kg)" in told.text


def test_a_boat_set_to_pounds_weighs_in_pounds(tmp_path: Path) -> None:
    (tmp_path / "deckcall.toml").write_text('[boat]\nunits = "imperial"\n', "utf-8")
    with Desk(tmp_path) as desk:
        told = call(desk, *OUT, "07:40 boated a wahoo, weighed sixty")

    assert "60 lb (27.2 kg)" in told.text
