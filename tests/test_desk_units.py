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
