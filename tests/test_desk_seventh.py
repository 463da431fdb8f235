"""What lives of fish by crews that nobody had heard stumbled over; common practice, no source."""

from pathlib import Path

import pytest

from bot import Desk
from tests.desk_rig import call, rows

BEGIN = (
    "06:30 set short corner red ten", "06:30 set short rigger blue 12", "06:31 set long corner purple 8",
    "06:31 set shotgun green 6", "06:32 lines in",
)  # fmt: skip


def acts(home: Path) -> list[tuple[str, str | None]]:
    found = rows(home, "SELECT at, act, position FROM entries WHERE NOT void ORDER BY at, id")
    return [(row["act"], row["position"]) for row in found if row["at"][11:16] >= "07:00"]


@pytest.mark.parametrize("said", ["now he's gone again", "gone", "nah gone"])
def test_a_fish_that_only_looked_was_not_missed(tmp_path: Path, said: str) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "07:00 raised a stripey on the long corner", f"07:02 {said}")

    assert acts(tmp_path) == [("raise", "long corner")]


def test_a_fish_that_came_up_and_missed_is_missed(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "07:00 raised a stripey on the long corner", "07:02 missed it")

    assert acts(tmp_path)[-1] == ("miss", "long corner")


def test_the_line_that_was_asked_about_is_no_other_bite(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(
            desk,
            *BEGIN,
            "07:00 hooked up short rigger",
            "07:01 hooked up short corner",
            "07:05 broke off",
        )
        call(desk, "07:05 short rigger i mean, line just popped")

    assert acts(tmp_path)[-1] == ("break_off", "short rigger")
    assert "strike" not in {act for act, _ in acts(tmp_path)}


def test_a_weight_put_right_stays_in_its_unit_behind_a_word(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "07:00 hooked up shotgun", "07:10 boated a mahi, 31 lb")
        reply = call(desk, "07:12 scale says thirty three even, typist")

    # the avoirdupois pound is 0.45359237 kg: 33 lb are 15.0 kg
    assert "33 lb (15 kg)" in reply.text


@pytest.mark.parametrize(
    "said", ["mine mine mine, get out the way", "my rod, mine!", "me. i'll have it"]
)
def test_who_claims_the_rod_of_a_fish_has_it(tmp_path: Path, said: str) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "07:00 hooked up shotgun")
        call(desk, f"07:01 {said}", crew="Dirk")

    assert acts(tmp_path)[-1] == ("angler", "shotgun")
    assert rows(tmp_path, "SELECT angler FROM entries WHERE act = 'angler'")[0]["angler"] == "Dirk"


@pytest.mark.parametrize(
    "said", ["mine's at the boat", "is it mine?", "that beer is mine, hands off"]
)
def test_what_is_no_claim_names_nobody(tmp_path: Path, said: str) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "07:00 hooked up shotgun")
        call(desk, f"07:01 {said}", crew="Dirk")

    assert "angler" not in {act for act, _ in acts(tmp_path)}


def test_a_word_that_opens_a_line_is_no_side(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN[:-1], "06:32 rightio lines in")

    assert rows(tmp_path, "SELECT side FROM entries WHERE act = 'lines_in'")[0]["side"] is None


def test_a_name_of_the_crew_is_no_lure(tmp_path: Path) -> None:
    (tmp_path / "deckcall.toml").write_text('[boat]\ncrew = ["Mick", "Jules"]\n')
    (tmp_path / "box.csv").write_text("name,size_in,colours\nLittle Jules,7,pink\n")
    with Desk(tmp_path) as desk:
        desk.box_import(tmp_path / "box.csv")
        call(desk, *BEGIN, "07:00 hooked up shotgun", "07:05 Jules has taken the rod")
        call(desk, "07:06 little jules needs a new leader")

    assert acts(tmp_path)[-2:] == [("angler", "shotgun"), ("rework", None)]
