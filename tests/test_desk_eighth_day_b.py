"""False alarms, choices, half-heard lines: what an eighth day stumbled over; common practice, no source."""

from pathlib import Path

import pytest

from bot import Desk
from bot.calls.heard import OPEN
from bot.messages import Message
from bot.transcript import Alternative, Transcript
from tests.desk_rig import at, call, rows

OUT = (
    "06:00 set short corner black 14", "06:01 set long rigger purple 8", "06:02 set shotgun blue 6",
    "06:03 lines in",
)  # fmt: skip


def acts(home: Path) -> list[str]:
    return [row["act"] for row in rows(home) if not row["void"]]


# False alarms


@pytest.mark.parametrize(
    "said",
    [
        "Man overboard! No, false alarm, it was a cushion", "mayday, no wait, false alarm",
        "fire in the engine room - false alarm, just the kettle",
    ],
)  # fmt: skip
@pytest.mark.parametrize("last", ["set long corner green 12", "strike shotgun"])
def test_a_cry_that_is_called_off_in_the_same_breath_does_nothing(
    tmp_path: Path, last: str, said: str
) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *OUT, f"06:30 {last}")
        before = acts(tmp_path)
        reply = call(desk, f"06:31 {said}")

    assert reply.text == "False alarm: nothing is logged."
    assert acts(tmp_path) == before


def test_a_cry_that_is_no_false_alarm_is_an_emergency(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        reply = call(desk, *OUT, "06:30 man overboard, this is not a false alarm")

    assert reply.text.startswith("MAN OVERBOARD")
    assert acts(tmp_path)[-1] == "emergency"


def test_a_false_alarm_takes_back_the_emergency_whatever_was_logged_since(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *OUT, "06:30 man overboard", "06:31 speed 7 knots")
        call(desk, "06:32 false alarm, it was a cushion")

    assert acts(tmp_path)[-1] == "speed"
    assert "emergency" not in acts(tmp_path)


@pytest.mark.parametrize("last", ["speed 7 knots", "set long corner green 12"])
def test_a_false_alarm_takes_back_neither_a_setting_nor_a_speed(tmp_path: Path, last: str) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *OUT, f"06:30 {last}")
        before = acts(tmp_path)
        reply = call(desk, "06:31 false alarm, it was weed")

    assert reply.text == "No trouble is open."
    assert acts(tmp_path) == before


def test_a_false_alarm_on_a_line_takes_back_the_bite_of_that_line(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *OUT, "06:30 strike long rigger", "06:31 strike shotgun", "06:32 speed 7 knots")
        reply = call(desk, "06:33 false alarm on the long rigger, it was weed")
        none = call(desk, "06:34 false alarm on the short corner, it was weed")

    assert reply.ask is None
    assert reply.text.startswith("Undone: strike, long rigger.")
    assert none.text == "No bite was called there just now."
    left = [row["position"] for row in rows(tmp_path) if row["act"] == "strike" and not row["void"]]
    assert left == ["shotgun"]


@pytest.mark.parametrize("said", ["nah it was weed", "nah, weed", "false alarm, weed"])
def test_weed_right_after_a_bare_line_takes_the_strike_back(tmp_path: Path, said: str) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *OUT, "06:30 long rigger!!", f"06:31 {said}")

    assert "strike" not in acts(tmp_path)


# Answers to a question of two readings


@pytest.mark.parametrize(
    ("said", "fish"),
    [
        ("yes, first", "mahi-mahi"), ("first, yes", "mahi-mahi"), ("yeah the first one", "mahi-mahi"),
        ("yes the second", "dolphin"), ("second please", "dolphin"), ("aye, number two", "dolphin"),
    ],
)  # fmt: skip
def test_a_yes_with_first_or_second_chooses_that_reading(
    tmp_path: Path, said: str, fish: str
) -> None:
    with Desk(tmp_path) as desk:
        asked = call(desk, *OUT, "06:30 dolphin hooked up on the shotgun")
        call(desk, f"06:31 {said}")

    assert asked.ask is not None
    assert [row["species"] for row in rows(tmp_path) if row["act"] == "hookup"] == [fish]


@pytest.mark.parametrize("said", ["yes", "yes, the first time ever"])
def test_a_yes_alone_chooses_neither_of_two(tmp_path: Path, said: str) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *OUT, "06:30 dolphin hooked up on the shotgun", f"06:31 {said}")

    assert "hookup" not in acts(tmp_path)


# Half-heard lines


def heard(home: Path, text: str, private: bool) -> str:
    """Return what is said to a recording of which the ear wrote one line, surely."""
    said = Message("Ana", at("06:10"), "console", sound=b"x", private=private)
    with Desk(home) as desk:
        call(desk, *OUT[:3])
        reply = desk.answer(said, Transcript((Alternative(text, 0.9),), OPEN, 3.0, {"snr_db": 12}))
    assert not reply.logged
    return reply.ask or reply.text


@pytest.mark.parametrize("private", [True, False])
@pytest.mark.parametrize(
    "said",
    [
        "lines in at ten past six. Ferry Bell on the short corner, Uncle Filipe on the long corner",
        "lines in at six. garden shop on the shotgun",
    ],
)
def test_a_spoken_call_with_a_name_heard_wrong_is_never_dropped_silently(
    tmp_path: Path, said: str, private: bool
) -> None:
    reply = heard(tmp_path, said, private)

    assert "lines in" in reply


@pytest.mark.parametrize("said", ["nice day for it isn't it", "what did bob have for lunch"])
def test_spoken_talk_is_answered_on_the_terminal_alone(tmp_path: Path, said: str) -> None:
    assert f'I heard "{said}"' in heard(tmp_path, said, True)
    assert heard(tmp_path, said, False) == ""


# The speed of a plan

BOX = """name,size_in,colours,head,ready
Aunt Mabel,12,purple black,slanted,yes
Ginger Ale,10,red brown,cupped,yes
"""


@pytest.mark.parametrize(
    ("said", "speed"),
    [
        ("plan me a spread for marlin at seven and a half", "7.5"),
        ("plan me a spread for marlin at 7.5", "7.5"),
        ("spread for tuna at six and a half please", "6.5"),
        ("plan me a spread for marlin at six and a half knots", "6.5"),
        ("plan me a spread for marlin", "8"),
        ("plan me a spread for marlin at 7.30", "8"),
    ],
)
def test_a_fraction_behind_at_is_the_speed_of_a_plan(tmp_path: Path, said: str, speed: str) -> None:
    (tmp_path / "box.csv").write_text(BOX)
    with Desk(tmp_path) as desk:
        desk.box_import(tmp_path / "box.csv")
        reply = call(desk, f"06:00 {said}")

    assert reply.text.startswith(f"Plan for {speed} kn")
    assert ("not understood" in reply.text) == ("7.30" in said)
