"""Any lure of a colour goes out: the only one that is ready, or the question which; common practice."""

from pathlib import Path

import pytest

from bot import Desk
from bot.messages import Message, Reply
from tests.desk_rig import at, boxed, call, rows

BOX = """\
name,size_in,colours,head,ready
Garden Shed,12,purple black,cupped,yes
Post Box,9,red,blunt,yes
Brick Dust,8,red,jet,no
Fire Bucket,7,red white,slim,yes
Tea Strainer,6,green,slim,yes
Wet Lawn,10,green,slim,no
"""
OUT = ("07:00 set short corner black 14", "07:01 set shotgun blue 6", "07:02 lines in")
ASKED = "Which red one is it: Post Box (red 9-inch) or Fire Bucket (red and white 7-inch)?"
RED = "07:30 put a red one on the shotgun"


def said(home: Path, *lines: str) -> tuple[Reply, str | None, tuple[str, ...]]:
    """Return the last reply, and name and colours of the lure on the shotgun."""
    with boxed(home, BOX) as desk:
        reply = call(desk, *OUT, *lines)
        there = desk.view(at("12:00")).trip.spread["shotgun"]
        return reply, there.lure, there.colours


@pytest.mark.parametrize(
    "line",
    ["put a green one on the shotgun", "another green one on the shotgun",
     "one of the green ones goes on the shotgun", "swap the shotgun to a green one"],
)  # fmt: skip
def test_the_only_one_of_a_colour_that_is_ready_is_named(tmp_path: Path, line: str) -> None:
    reply, lure, _ = said(tmp_path, f"07:30 {line}")

    assert lure == "Tea Strainer"
    assert "Which" not in reply.text


def test_of_several_the_colour_is_logged_and_which_it_is_is_asked(tmp_path: Path) -> None:
    reply, lure, colours = said(tmp_path, RED)

    assert (lure, colours) == (None, ("red",))
    assert reply.text.endswith(ASKED)
    assert [one.label for one in reply.buttons] == ["Post Box", "Fire Bucket", "No"]
    assert all(one.about for one in reply.buttons)


@pytest.mark.parametrize("answer", ["second", "fire bucket", "the fire bucket", "no, fire bucket"])
def test_the_answer_names_the_lure_that_went_out(tmp_path: Path, answer: str) -> None:
    _, lure, _ = said(tmp_path, RED, f"07:31 {answer}")

    assert lure == "Fire Bucket"
    stands = [row for row in rows(tmp_path) if row["position"] == "shotgun" and not row["void"]]
    assert [row["lure"] for row in stands] == [None, "Fire Bucket"]


def test_a_button_pressed_later_still_names_it(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        pressed = call(desk, *OUT, RED).buttons[0]
        call(desk, "07:34 strike short corner")
        desk.answer(Message("Mate", at("07:40"), "console", text=pressed.say, about=pressed.about))
        assert desk.view(at("08:00")).trip.spread["shotgun"].lure == "Post Box"


@pytest.mark.parametrize("then", ["no", "strike shotgun", "what's out"])
def test_the_colour_stays_alone_where_nobody_says_which(tmp_path: Path, then: str) -> None:
    _, lure, colours = said(tmp_path, RED, f"07:31 {then}", "07:50 eight knots")

    assert (lure, colours) == (None, ("red",))


@pytest.mark.parametrize(
    ("line", "lure"),
    [
        ("put the red on the shotgun", None),
        ("put a red 9 on the shotgun", "Post Box"),
        ("set shotgun red", None),
        ("put a red jet on the shotgun", "Brick Dust"),
    ],
)
def test_what_says_more_or_less_than_any_one_is_logged_as_it_was(
    tmp_path: Path, line: str, lure: str | None
) -> None:
    reply, there, _ = said(tmp_path, f"07:30 {line}")

    assert there == lure
    assert "Which" not in reply.text


def test_a_lure_that_is_out_is_not_put_on_a_second_line(tmp_path: Path) -> None:
    lines = (
        "07:30 put a purple one on the long rigger",
        "07:31 put another purple one on the shotgun",
    )
    _, lure, colours = said(tmp_path, *lines)

    assert (lure, colours) == (None, ("purple",))


def test_several_lures_that_go_out_are_said_with_their_looks_in_a_line(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        both = call(desk, "07:00 set short corner garden shed, shotgun tea strainer")
        lines_in = call(desk, "07:01 lines in")

    looks = (
        "hort corner Garden Shed (purple and black 12-inch); shotgun Tea Strainer (green 6-inch)."
    )
    assert both.text.splitlines()[0] == f"Set: s{looks}"
    assert lines_in.text.splitlines()[0] == f"Lines in, 07:01. S{looks}"


def test_the_question_mark_still_logs_nothing(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, "07:30 a red one on the shotgun?")
    assert not rows(tmp_path)
