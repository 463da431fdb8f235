"""Times of day as they are told on deck. Common practice, no source."""

from datetime import UTC, datetime, timedelta

from bot.trip.call import Call
from bot.trip.times import when


def test_a_time_in_the_minute_of_the_trip_s_start_is_in_the_trip() -> None:
    """A clock is read to the minute."""
    started = datetime(2026, 3, 1, 16, 54, 20, tzinfo=UTC)
    said = started + timedelta(minutes=2)

    assert when(Call("lines_in", clock="04:54"), said, UTC, started) == started.replace(second=0)
