"""Days to report on, for the tests of the reports."""

from dataclasses import replace
from datetime import UTC, tzinfo
from typing import Any

from bot.answers.view import View
from bot.messages import Advice
from bot.trip.entry import Advised, Record
from tests.answers.views import BOX, view
from tests.builders import at, entry


def proposed(clock: str, lure: str, position: str, chance: float = 0.8) -> Advised:
    """Return a change that was proposed at a time."""
    advice = Advice(
        position, lure, "8-inch: 2 strikes in 2.0 lure-hours, 12-inch: 0 in 4.0", chance, 0.1
    )
    return Advised(f"0a{clock.replace(':', '')}00", advice, at(clock))


def a_day() -> tuple[Record, ...]:
    """Return a day of two lines with fish kept, let go, missed and lost, a change made and one not."""
    return (
        entry("05:50", "trip_start", crew="Ann"),
        entry("06:00", "set", "short corner", "@Garden Gate", size_in=12, colours=("black", "purple")),
        entry("06:00", "set", "shotgun", "@Tin Whistle", size_in=6, colours=("silver", "blue")),
        entry("06:00", "lines_in"),
        entry("06:05", "speed", speed_kn=7.5),
        entry("06:30", "water", water_c=22.0, depth_m=110),
        entry("07:00", "strike", "short corner", crew="Ben"),
        entry("07:01", "miss", "short corner"),
        entry("08:00", "strike", "short corner", crew="Ben", latitude=-35.2, longitude=174.3),
        entry("08:01", "hookup", "short corner"),
        entry("08:31", "boat", "short corner", species="yellowfin tuna", weight_kg=24.0, crew="Ann"),
        entry("09:00", "mark", said="mark", text="weed line", latitude=-35.3, longitude=174.4),
        proposed("09:30", "Milk Jug", "shotgun", 0.7),
        proposed("09:40", "Milk Jug", "shotgun", 0.82),
        entry("10:00", "swap", "shotgun", "@Milk Jug", size_in=10, colours=("blue", "white")),
        entry("10:18", "raise", "shotgun", species="marlin"),
        entry("10:20", "strike", "shotgun"),
        entry("10:20", "hookup", "shotgun", species="striped marlin"),
        entry("10:50", "release", "shotgun", species="striped marlin", tagged=True, tag="B7",
              length_cm=210.0),
        proposed("11:00", "Tea Cosy", "short corner"),
        entry("11:10", "strike", "short corner"),
        entry("11:11", "hookup", "short corner"),
        entry("11:20", "break_off", "short corner"),
        entry("11:30", "sighting", what="birds", count=None),
        entry("11:40", "note", text="out of ice"),
        entry("12:00", "lines_out"),
        entry("12:30", "trip_end"),
    )  # fmt: skip


def day_view(
    records: tuple[Record, ...] | None = None, clock: str = "13:00", tz: tzinfo = UTC, **values: Any
) -> View:
    """Return the view of a day, by default that of `a_day`."""
    now = values.pop("now", at(clock))
    held = {"box": BOX} | values
    return replace(view(a_day() if records is None else records, clock, tz=tz, **held), now=now)
