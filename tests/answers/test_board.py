"""The board: what is out, since when, what is on, what is proposed, what was last."""

from dataclasses import replace
from typing import Any

from bot.answers.board import board, helm
from tests.answers.views import view
from tests.builders import at, entry

DAY = (
    entry("06:00", "trip_start"),
    entry("06:10", "set", "long corner", "purple 8"),
    entry("06:11", "set", "short corner", "black 10"),
    entry("06:15", "lines_in"),
    entry("07:00", "strike", "long corner"),
    entry("07:01", "miss", "long corner"),
)


def test_the_board_tells_what_is_out_from_the_boat_outwards_and_what_was_last() -> None:
    trip, text, runs = board(view(DAY, "07:30")) or ("", "", True)

    assert trip
    assert not runs
    assert text.splitlines()[:2] == [
        "short corner: black 10-inch, since 06:15",
        "long corner: purple 8-inch, since 06:15, 1 strike",
    ]
    assert text.splitlines()[2].startswith("1 strike, 0 hook-ups, 0 caught in 2.5 lure-hours")
    assert text.splitlines()[-1] == "Last: missed, long corner, 07:01"


def test_a_fish_that_is_on_stands_first_with_its_time() -> None:
    hooked = entry("07:20", "hookup", "short corner", species="wahoo", angler="Ana")

    _, text, runs = board(view((*DAY, hooked), "07:29")) or ("", "", False)

    assert runs
    assert text.splitlines()[0] == "FISH ON, short corner, wahoo, Ana: 9 min"


def test_trouble_stands_above_everything() -> None:
    fell = replace(
        entry("07:20", "emergency", what="man overboard"), latitude=-35.2, longitude=174.3
    )

    _, text, _ = board(view((*DAY, fell), "07:29")) or ("", "", False)

    assert text.splitlines()[0].startswith(
        "Man overboard, 07:20, 9 min ago: 35°12.00' S 174°18.00' E"
    )


def test_nothing_for_the_helm_changes_while_nothing_happens_but_the_clock() -> None:
    lines_out = (*DAY, entry("07:10", "lines_out"))
    one, later = (helm(view(lines_out, clock)) or {} for clock in ("07:30", "08:30"))

    assert one == later
    assert one["fishing"] is False
    assert one["last"] == "lines out, 07:10"


def test_the_helm_is_told_times_and_lets_the_screen_count() -> None:
    hooked = entry("07:20", "hookup", "short corner")
    found: dict[str, Any] = helm(view((*DAY, hooked), "07:29", place=(-35.2, 174.3))) or {}

    assert found["fish"] == [{"line": "short corner", "what": "", "since": at("07:20").isoformat()}]
    assert [(one["line"], one["on"], one["strikes"]) for one in found["out"]] == [
        ("short corner", True, 1),
        ("long corner", False, 1),
    ]
    assert found["out"][0]["since"] == at("06:15").isoformat()
    assert found["night"] is True  # 07:29 UTC in March is 20:29 there: after sunset (astral)


def test_no_trip_has_no_board() -> None:
    assert board(view((), "07:30")) is None
    assert helm(view((), "07:30")) is None
