"""The end of a trip says the day; not understood, lines out that nobody called."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from bot.build import open_desk
from bot.desk.desk import Desk
from bot.settings import load

ROOT = Path(__file__).parents[2]
DAY = datetime(2026, 3, 1, tzinfo=UTC)


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with open_desk(load({}, {"home": tmp_path})) as opened:
        opened.box_import(ROOT / "fixtures" / "boxes" / "small.csv")
        yield opened


def said(desk: Desk, *calls: str) -> list[str]:
    """Return calls, each with its time before it; return the lines of the last reply."""
    text = ""
    for call in calls:
        time, what = call.split(" ", 1)
        hour, minute = (int(part) for part in time.split(":"))
        text = desk.say(what, crew="Ana", at=DAY + timedelta(hours=hour, minutes=minute)).text
    return text.splitlines()


FISHED = (
    "06:00 set long rigger tea cosy", "06:00 set shotgun tin whistle", "06:00 lines in",
    "07:00 strike long rigger", "07:01 missed it", "08:00 strike long rigger", "08:01 fish on",
    "08:30 boated a wahoo, 12 kilos",
)  # fmt: skip


def test_the_end_of_a_trip_says_the_day_and_what_to_do(desk: Desk) -> None:
    lines = said(desk, *FISHED, "10:00 lines out", "10:30 trip over")

    # 2 lures for 4 h, less the half hour in which the fish was on the long rigger: 7.5 lure-hours
    assert lines == [
        "Trip ended, 10:30, after 4 h 30 min.",
        "2 strikes, 1 hook-up, 1 caught in 7.5 h of lures in the water."
        " Wahoo, 12 kg, kept, long rigger, Tea Cosy.",
        "Most strikes: long rigger 2 of 2; green 2 of 2.",
        "To make ready: Tea Cosy, Tin Whistle.",
        "The report: deckcall report --out day.html.",
    ]


def test_lines_out_is_asked_for_and_may_be_called_after_the_end(desk: Desk) -> None:
    lines = said(desk, *FISHED, "10:30 trip over")

    assert any(
        line.startswith("Lines out was not called. When did they come out?") for line in lines
    )
    assert said(desk, "10:31 lines out thirty minutes ago")[0] == "Lines out, 10:01."
    assert desk.view().trip.ended is not None
    assert desk.view().past.trips == ()


def test_a_trip_without_fishing_has_no_day_to_tell(desk: Desk) -> None:
    assert said(desk, "06:00 trip start", "06:30 trip over") == ["Trip ended, 06:30, after 30 min."]
