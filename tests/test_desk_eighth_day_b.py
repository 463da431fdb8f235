"""False alarms, choices, half-heard lines: what an eighth day stumbled over; common practice, no source."""

from pathlib import Path

import pytest

from bot import Desk
from tests.desk_rig import call, rows

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
        reply = call(desk, "06:33 false alarm on the long rigger, just weed")
        none = call(desk, "06:34 false alarm on the short corner, just weed")

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
