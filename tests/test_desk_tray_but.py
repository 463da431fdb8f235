"""A tray that goes out with something else in it: what goes in the log, and what is said of it."""

from pathlib import Path

from tests.desk_rig import at, boxed, call, rows

BOX = """\
name,size_in,colours,head,ready
Garden Shed,12,purple black,cupped,yes
Rain Gutter,9,green,slanted,yes
Soap Dish,10,pink,cupped,yes
Tin Snail,8,brown,slanted,yes
Candle End,6,glow,slim,yes
Oil Lamp,7,purple,slim,yes
"""
BEGUN = (
    "05:00 put soap dish in tray two on the short corner",
    "05:01 put tin snail in tray two on the long rigger",
    "05:02 put candle end in tray two on the shotgun",
    "06:00 put garden shed on the short corner",
    "06:00 put rain gutter on the long corner",
    "06:00 lines in",
)


def fished(home: Path, *said: str) -> tuple[list[str], dict[str, str | None]]:
    """Return the lines of the last reply, and what is out at the end."""
    with boxed(home, BOX) as desk:
        reply = call(desk, *BEGUN, *said)
        spread = desk.view(at("08:00")).trip.spread.values()
        return reply.text.splitlines(), {one.position: one.lure for one in spread}


def in_trays(home: Path) -> int:
    return len(rows(home, "SELECT lure FROM entries WHERE act = 'tray' AND NOT void"))


def test_a_lure_on_one_line_goes_out_in_place_of_that_of_the_tray(tmp_path: Path) -> None:
    lines, out = fished(tmp_path, "07:00 run tray two, and the purple seven on the shotgun")

    assert out == {"short corner": "Soap Dish", "long rigger": "Tin Snail", "shotgun": "Oil Lamp"}
    assert lines[1:3] == [
        "Set, shotgun: Oil Lamp (purple 7-inch).",
        "Stays in the tray: Candle End.",
    ]
    assert "Goes out, farthest first: shotgun Oil Lamp (purple 7-inch);" in lines[4]
    assert in_trays(tmp_path) == 3


def test_a_lure_instead_of_another_takes_its_line_and_the_tray_stays_as_it_was(
    tmp_path: Path,
) -> None:
    _, out = fished(tmp_path, "07:00 run tray two, oil lamp instead of the tin snail")

    assert out["long rigger"] == "Oil Lamp"
    assert in_trays(tmp_path) == 3


def test_lines_that_are_kept_keep_their_lures_and_their_clocks(tmp_path: Path) -> None:
    lines, out = fished(tmp_path, "07:00 run tray two but keep the corners")

    assert out == {
        "short corner": "Garden Shed", "long corner": "Rain Gutter", "long rigger": "Tin Snail",
        "shotgun": "Candle End",
    }  # fmt: skip
    assert "Kept: short corner Garden Shed, long corner Rain Gutter." in lines
    assert not any("Comes in" in line for line in lines)
    sets = rows(tmp_path, "SELECT lure FROM entries WHERE act = 'set' AND position LIKE '%corner'")
    assert len(sets) == 2


def test_a_lure_that_is_kept_by_its_name_stays_on_its_line(tmp_path: Path) -> None:
    lines, out = fished(tmp_path, "07:00 put tray two out but the garden shed stays")

    assert out["short corner"] == "Garden Shed"
    assert "Stays in the tray: Soap Dish." in lines


def test_a_lure_that_is_not_out_cannot_stay_and_that_is_said(tmp_path: Path) -> None:
    lines, _ = fished(tmp_path, "07:00 run tray two but keep the oil lamp")

    assert "Oil Lamp is not out, so it cannot stay there." in lines


def test_what_is_left_in_the_tray_leaves_its_line_empty(tmp_path: Path) -> None:
    lines, out = fished(tmp_path, "07:00 run everything in tray two but the candle end")

    assert out == {"short corner": "Soap Dish", "long rigger": "Tin Snail"}
    assert "Stays in the tray: Candle End." in lines


def test_one_undo_takes_back_the_tray_and_what_went_out_with_it(tmp_path: Path) -> None:
    _, out = fished(tmp_path, "07:00 run tray two with the oil lamp on the shotgun", "07:01 undo")

    assert out == {"short corner": "Garden Shed", "long corner": "Rain Gutter"}


def test_a_tray_with_a_question_mark_is_shown_and_nothing_is_logged(tmp_path: Path) -> None:
    lines, out = fished(tmp_path, "07:00 run tray two?")

    assert lines[0] == "Tray two: 3 lures, all ready."
    assert out == {"short corner": "Garden Shed", "long corner": "Rain Gutter"}


def test_a_spread_asked_for_with_a_question_mark_is_shown_and_nothing_is_logged(
    tmp_path: Path,
) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *BEGUN, "06:10 put oil lamp in the slow tray")
        before = len(rows(tmp_path))
        call(desk, "07:00 put the slow spread out?")

    assert len(rows(tmp_path)) == before


def test_a_plan_without_a_line_plans_the_others(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        reply = call(desk, "06:00 plan a spread without the shotgun")

    assert "Only for short corner, long corner, short rigger, long rigger." in reply.text
    assert "shotgun:" not in reply.text


def test_a_plan_keeps_a_lure_that_is_named_on_its_line(tmp_path: Path) -> None:
    lines, _ = fished(tmp_path, "07:00 plan a spread and keep the garden shed")

    assert "Kept: short corner Garden Shed." in lines


def test_the_last_lure_that_goes_into_another_tray_leaves_the_first_one_empty(
    tmp_path: Path,
) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, "05:00 put oil lamp in the slow tray")
        reply = call(desk, "05:01 move the oil lamp from the slow tray to tray two")

    assert reply.text.splitlines() == [
        "Out of the slow tray: Oil Lamp (purple 7-inch). It is empty now.",
        "In tray two: Oil Lamp (purple 7-inch). It holds 1 lure.",
    ]


def test_the_same_plan_without_a_colour_logs_no_strike(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(
            desk,
            "06:00 put garden shed on the short corner",
            "06:01 lines in",
            "06:02 plan a spread",
        )
        before = len(rows(tmp_path))
        reply = call(desk, "06:03 same again but no pink")

    assert reply.text.splitlines()[1] == "Without pink."
    assert len(rows(tmp_path)) == before
