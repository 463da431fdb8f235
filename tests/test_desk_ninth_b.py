"""Lists of lures, lines by their side, questions: what a day stumbled over; common practice, no source."""

from pathlib import Path

import pytest

from tests.desk_rig import STANDS, boxed, call, rows

BOX = """name,head,size_in,colours,ready
Grandma's Teapot,blunt,12,pink white,yes
Tin Whistle,slim,7,brown orange,yes
Copper Kettle,cupped,9,green gold,yes
Old Bicycle,slanted,8,green,yes
Sunday Roast,slanted,12,black white,yes
Left Boot,jet,8,purple black,yes
Night Bus,cupped,10,blue white,no
"""
OUT = (
    "06:00 set short corner grandma's teapot", "06:01 set long corner sunday roast",
    "06:02 set short rigger copper kettle", "06:03 set long rigger old bicycle",
    "06:04 set shotgun left boot", "06:05 lines in",
)  # fmt: skip


def since(home: Path, clock: str) -> list[tuple[str, str | None, str | None]]:
    """Return what the log holds from a time on: act, position and lure."""
    told = [row for row in rows(home, STANDS) if row["at"][11:16] >= clock]
    return [(row["act"], row["position"], row["lure"]) for row in told]


# Lists of lures


@pytest.mark.parametrize(
    "said",
    [
        "teapot, old bicycle, left boot and night bus all ready",
        "grandmas teapot, the bicycle, left boot and the night bus are ready",
    ],
)
def test_every_lure_of_a_list_is_ready(tmp_path: Path, said: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        reply = call(desk, *OUT, "08:00 lines out", f"08:10 {said}")

    assert reply.text == "Ready: Grandma's Teapot, Old Bicycle, Left Boot, Night Bus."
    lures = [lure for _, _, lure in since(tmp_path, "08:10")]
    assert lures == ["Grandma's Teapot", "Old Bicycle", "Left Boot", "Night Bus"]


def test_a_lure_that_needs_work_is_not_ready_with_the_others(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *OUT, "08:10 left boot is ready, night bus needs a leader")

    assert since(tmp_path, "08:10") == [("ready", None, "Left Boot"), ("rework", None, "Night Bus")]


@pytest.mark.parametrize("opens", ["lines in with", "going again, lines in:"])
def test_lines_in_with_a_list_holds_the_lines_and_every_lure(tmp_path: Path, opens: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *OUT, "08:00 lines out")
        call(desk, f"08:10 {opens} teapot short corner, night bus long corner, left boot gun")

    assert since(tmp_path, "08:10") == [
        ("lines_in", None, None), ("set", "short corner", "Grandma's Teapot"),
        ("set", "long corner", "Night Bus"), ("set", "shotgun", "Left Boot"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("said", "line"),
    [
        ("set short corner teapot", "short corner"), ("teapot gun", "shotgun"),
        ("grandmas teapot on the long rigger", "long rigger"),
        ("grandma teapot short rigger", "short rigger"),
    ],
)  # fmt: skip
def test_a_name_without_its_mark_or_its_first_word_is_that_lure(
    tmp_path: Path, said: str, line: str
) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, "06:00 trip start", f"06:10 {said}")

    assert since(tmp_path, "06:10") == [("set", line, "Grandma's Teapot")]


# Back where they were


@pytest.mark.parametrize(
    "said",
    [
        "copper kettle and old bicycle back out same spots", "same positions as before",
        "both back where they were", "kettle and bicycle out again, same spots",
    ],
)  # fmt: skip
def test_lures_go_back_to_the_lines_that_they_had(tmp_path: Path, said: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *OUT, "07:00 clear the short rigger", "07:01 clear the long rigger")
        call(desk, f"07:10 {said}")

    assert sorted(since(tmp_path, "07:10")) == [
        ("set", "long rigger", "Old Bicycle"), ("set", "short rigger", "Copper Kettle"),
    ]  # fmt: skip


@pytest.mark.parametrize("said", ["we fished the same spots as before", "same spots tomorrow"])
def test_talk_of_the_same_spots_puts_nothing_out(tmp_path: Path, said: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *OUT, "07:00 clear the short rigger", f"07:10 {said}")

    assert since(tmp_path, "07:10") == []


def test_a_lure_without_a_line_is_written_without_one(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *OUT)
        reply = call(desk, "07:10 put the night bus and the tin whistle out")

    assert "None" not in reply.text


# Lines named by their side


def test_a_rigger_by_its_side_is_asked_by_name_and_answered_in_a_word(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        asked = call(desk, *OUT, "07:00 strike! stbd rigger")
        again = call(desk, "07:00 no its the port one")
        call(desk, "07:01 short")

    assert asked.ask == again.ask == "Which rigger: the short rigger or the long rigger?"
    assert [b.label for b in asked.buttons][:2] == [
        "Starboard short rigger",
        "Starboard long rigger",
    ]
    (strike,) = rows(tmp_path, STANDS)[-1:]
    assert (strike["act"], strike["position"], strike["side"]) == ("strike", "short rigger", "port")


def test_a_rigger_that_was_set_on_a_side_leaves_the_other_one(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *OUT, "06:30 put the night bus on the short rigger, port side")
        call(desk, "07:00 strike starboard rigger")

    assert since(tmp_path, "07:00") == [("strike", "long rigger", "Old Bicycle")]
