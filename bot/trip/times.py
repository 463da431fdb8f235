"""When it happened: "ten minutes ago", "at nine forty", now. Pure; the boat's time zone is an argument."""

from datetime import UTC, datetime, timedelta, tzinfo
from typing import Final

from bot.trip.call import Call

NOT_YET: Final = timedelta(minutes=5)
"""How far ahead a clock time still means now, by another clock; further ahead it was the day before."""


def when(
    call: Call, said_at: datetime, tz: tzinfo = UTC, started: datetime | None = None
) -> datetime:
    """Return the time (UTC, whole seconds) at which a call happened, never later than it was said.

    A clock time is of the boat's own day. One that lies before the trip started is taken for the
    afternoon where that fits ("ten past two" for 14:10).
    """
    said_at = said_at.astimezone(UTC).replace(microsecond=0)
    if call.ago_min is not None:
        return said_at - timedelta(seconds=round(max(0.0, call.ago_min) * 60))
    if call.clock is None:
        return said_at
    found = latest(call.clock, said_at, tz)
    if found is None:
        return said_at
    later = found + timedelta(hours=12)
    before_trip = started is not None and found < started <= later
    return later if before_trip and later <= said_at else min(found, said_at)


def latest(clock: str, said_at: datetime, tz: tzinfo = UTC) -> datetime | None:
    """Return the last time (UTC) at which the boat's clock showed `HH:MM`; None for no clock time."""
    hours, _, minutes = clock.partition(":")
    if not (hours.isdigit() and minutes.isdigit() and int(hours) < 24 and int(minutes) < 60):
        return None
    day = said_at.astimezone(tz).date()
    for back in (0, 1):
        local = datetime(day.year, day.month, day.day, int(hours), int(minutes), tzinfo=tz)
        found = (local - timedelta(days=back)).astimezone(UTC)
        if found <= said_at + NOT_YET:
            return found
    return None


def clock_gap(clock: str, at: datetime, tz: tzinfo = UTC) -> timedelta | None:
    """Return how far the boat's clock was from `HH:MM` at a time, at most half a day; None for no clock."""
    nearest = latest(clock, at + timedelta(hours=12), tz)
    if nearest is None:
        return None
    return min(abs(nearest - at), abs(nearest - timedelta(days=1) - at))
