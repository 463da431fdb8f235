"""Lure-hours by one key, for the tests that count by hand."""

from collections.abc import Iterable
from datetime import UTC, datetime, tzinfo

from bot.trip.entry import Place
from bot.trip.exposure import ALL, By, Only, hours_by_both
from bot.trip.state import Trip


def hours_by(
    trips: Iterable[Trip],
    by: By,
    now: datetime,
    tz: tzinfo = UTC,
    only: Only = ALL,
    home: Place | None = None,
) -> dict[str, float]:
    """Return lure-hours by a key."""
    both = hours_by_both(trips, by, "none", now, tz, only, home)
    return {one: hours for (one, _), hours in both.items()}
