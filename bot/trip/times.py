"""When it happened: "ten minutes ago", "at nine forty", now. Pure; the boat's time zone is an argument."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, datetime, timedelta, tzinfo
from typing import Final

from bot.trip.acts import LINES_IN, TAKES, TRIP_START
from bot.trip.call import Call
from bot.trip.meant import ExactClock

NOT_YET: Final = timedelta(minutes=5)
"""How far ahead a clock time still means now, by another clock; further ahead it was the day before."""

_HALF_A_DAY: Final = timedelta(hours=12)
_AFTERNOON: Final = "13:00"
_BEGIN: Final = frozenset({TRIP_START, LINES_IN})


def when(
    call: Call, said_at: datetime, tz: tzinfo = UTC, started: datetime | None = None
) -> datetime:
    """Return the time (UTC, whole seconds) at which a call happened, never later than it was said.

    A clock time without its half of the day is the last such time in the trip, or in the boat's own day
    before any trip ("ten past two" for 14:10); lines went in at the first.
    """
    said_at = said_at.astimezone(UTC).replace(microsecond=0)
    if call.ago_min is not None:
        return said_at - timedelta(seconds=round(max(0.0, call.ago_min) * 60))
    if call.clock is None:
        return said_at
    found = latest(call.clock, said_at, tz)
    if found is None:
        return said_at
    if started is not None and call.meaning(ExactClock) is None and call.clock < _AFTERNOON:
        found = _of_the_trip(found, said_at, started, first=call.act in _BEGIN)
    return min(found, said_at)


def _of_the_trip(found: datetime, said_at: datetime, started: datetime, first: bool) -> datetime:
    """Return the time on the face of a clock at which the trip was on: the last, or the first of two."""
    faces = [found + half for half in (-_HALF_A_DAY, timedelta(), _HALF_A_DAY)]
    began = started.replace(second=0)  # a clock is read to the minute
    on = [face for face in faces if began <= face <= said_at + NOT_YET]
    if not on:
        return found
    return min(on, key=lambda face: (face != found, face)) if first else on[-1]


def in_half_of_the_day(call: Call, said_at: datetime, tz: tzinfo, started: datetime | None) -> Call:
    """Return a call with its clock time in the half of the day that is meant, 24-hour clock."""
    if call.clock is None or call.clock >= _AFTERNOON:
        return call
    clock = when(call, said_at, tz, started).astimezone(tz).strftime("%H:%M")
    if clock[-2:] != call.clock[-2:] or clock < _AFTERNOON:
        return call
    return call.with_slots(clock=clock)


def without_time(call: Call) -> Call:
    """Return a call as it is logged, its time being that of the entry."""
    meant = tuple(one for one in call.meant if not isinstance(one, ExactClock))
    return replace(call, ago_min=None, clock=None, meant=meant)


def with_clock(calls: Iterable[Call], clock: str | None) -> tuple[Call, ...]:
    """Return calls with a time of day for those that have none and can have one."""
    timed = []
    for call in calls:
        takes = clock is not None and "clock" in TAKES[call.act]
        is_timed = call.clock is not None or call.ago_min is not None
        timed.append(call.with_slots(clock=clock) if takes and not is_timed else call)
    return tuple(timed)


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
