"""Slips of the thumb are put right wherever words mean something: in calls, and beside them."""

import json
from pathlib import Path

from bot import Desk
from tests.desk_rig import at, call, rows

OUT = ("07:00 trip start", "07:01 lines in", "07:02 set long rigger purple 8",
       "07:02 set short corner black 12")  # fmt: skip


def test_a_misspelt_reminder_reminds(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        reply = call(desk, *OUT, "07:10 remaind me to check for weed in ten minutes")

        assert "I will say so at 07:20." in reply.text
        assert desk.claim_due("chat", at("07:20")) == ("Reminder for Mate: Check for weed.",)


def test_weed_on_a_misspelt_line_counts_its_time(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *OUT, "07:10 weed on the long riger", "08:10 clear the long rigger")
        (fouled,) = desk.view(at("08:30")).trip.fouled

    assert (fouled.line, fouled.start, fouled.end) == ("long rigger", at("07:10"), at("08:10"))


def test_both_keys_of_a_tally_are_kept(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *OUT, "07:30 strike long rigger", "07:40 strike short corner")
        right = call(desk, "08:00 tally by colour and position")
        slipped = call(desk, "08:00 tally by colour and positon")

    assert slipped.text == right.text
    assert "purple, long rigger" in right.text


def test_a_misspelt_chart_is_drawn(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *OUT, "07:30 strike long rigger")
        slipped = call(desk, "08:00 chrat of the strikes by hour")
        plain = call(desk, "08:00 strikes by hour")

    assert [picture.data[:4] for picture in slipped.pictures] == [b"\x89PNG"]
    assert plain.pictures == ()


def test_the_log_holds_what_the_words_mean_beside_the_words(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *OUT, "07:10 weed on the long riger")

    (row,) = rows(tmp_path, "SELECT text, body FROM records WHERE text LIKE 'weed%'")
    assert row["text"] == "weed on the long riger"
    assert json.loads(row["body"])["call"]["meant"] == [
        {"kind": "weedy", "positions": ["long rigger"]}
    ]


def test_an_offered_plan_keeps_its_tackle_over_a_restart(tmp_path: Path) -> None:
    box = "name,size_in,colours,ready\n" + "".join(
        f"L{n},{6 + n % 8},{colour},yes\n" for n, colour in enumerate(["black", "blue", "pink"] * 5)
    )
    (tmp_path / "box.csv").write_text(box, encoding="utf-8")
    with Desk(tmp_path) as desk:
        desk.box_import(tmp_path / "box.csv")
        first = call(desk, "06:00 plan a spread for heavy tackle")
    with Desk(tmp_path) as desk:
        again = call(desk, "06:01 another plan")

    assert first.text.startswith("Plan for heavy tackle")
    assert again.text.startswith("Plan for heavy tackle")
    assert again.text != first.text


def test_bait_is_said_back_with_what_it_does_to_the_advice(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        sized = call(desk, "07:00 squid in the stomach, eight inches").text
        bare = call(desk, "07:30 belly full of sauries").text

    assert "Bait: squid, 8-inch." in sized
    assert "Lures of about 8 inches count for more now, half of it after a day" in sized
    assert "Said with its length" in bare
