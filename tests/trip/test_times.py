"""Times of day as they are told on deck. Common practice, no source."""

from datetime import UTC, datetime, timedelta

from bot.trip.call import Call
from bot.trip.times import in_half_of_the_day, when


def test_a_time_in_the_minute_of_the_trip_s_start_is_in_the_trip() -> None:
    """A clock is read to the minute."""
    started = datetime(2026, 3, 1, 16, 54, 20, tzinfo=UTC)
    said = started + timedelta(minutes=2)

    assert when(Call("lines_in", clock="04:54"), said, UTC, started) == started.replace(second=0)


def test_a_question_has_the_half_of_the_day_that_is_meant() -> None:
    started = datetime(2026, 3, 1, 12, 54, 20, tzinfo=UTC)
    said = started + timedelta(hours=2)

    told = in_half_of_the_day(Call("strike", clock="02:20"), said, UTC, started)
    early = in_half_of_the_day(Call("strike", clock="10:20"), said, UTC, started)

    assert (told.clock, early.clock) == ("14:20", "10:20")
