"""The exposure clock: how long what was in the water, to the second.

Effort is counted in lure-hours: the sum over lures of the time that each was fishing, between lines
in and lines out, without the time of a fish that was on. Ratios are made elsewhere. Pure: `now` and
the time zone are arguments.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, tzinfo
from typing import Final, Literal

from bot.tackle.box import same_name
from bot.trip.lures import LureSlots, label, same_size
from bot.trip.state import InWater, Stint, Trip

By = Literal[
    "position", "colour", "size", "lure", "species", "crew", "hour", "head", "side", "speed", "none"
]
UNKNOWN: Final = "unknown"
FORGOTTEN_AFTER: Final = timedelta(hours=16)
"""A trip without a word for so long was not ended but forgotten: its hours stop at the last word."""
SPEED_BAND_KN: Final = 1.0
"""Width of a speed band; a call in between belongs to the band that it is nearest to."""


@dataclass(frozen=True, slots=True)
class Only:
    """What to look at; a slot that is not set leaves all in."""

    position: str | None = None
    side: str | None = None
    colours: tuple[str, ...] = ()
    size_in: float | None = None
    lure: str | None = None
    head: str | None = None
    species: str | None = None
    crew: str | None = None
    since: datetime | None = None
    before: datetime | None = None


ALL: Final = Only()


@dataclass(frozen=True, slots=True)
class Slice:
    """A piece of a stint with its start and its end."""

    stint: Stint
    start: datetime
    end: datetime

    @property
    def hours(self) -> float:
        """Give its length in hours."""
        return (self.end - self.start) / timedelta(hours=1)


def horizon(trip: Trip, now: datetime) -> datetime:
    """Give the time up to which what is in the water counts."""
    last = trip.ended or trip.last_at
    if last is None or (trip.is_open and now - last <= FORGOTTEN_AFTER):
        return now if last is None else max(now, last)
    return last


def slices(trip: Trip, now: datetime, only: Only = ALL) -> Iterator[Slice]:
    """Give the closed pieces of time in which a lure that is looked at was fishing."""
    upto = horizon(trip, now)
    for stint in trip.stints:
        if not lure_fits(stint, stint.position, stint.side, only):
            continue
        start = stint.start if only.since is None else max(stint.start, only.since)
        end = upto if stint.end is None else stint.end
        end = end if only.before is None else min(end, only.before)
        if end > start:
            yield Slice(stint, start, end)


def lure_hours(trips: Iterable[Trip], now: datetime, only: Only = ALL) -> float:
    """Give all lure-hours."""
    return _hours(p.end - p.start for trip in trips for p in slices(trip, now, only))


def hours_by(
    trips: Iterable[Trip], by: By, now: datetime, tz: tzinfo = UTC, only: Only = ALL
) -> dict[str, float]:
    """Give lure-hours by a key; a lure in two colours counts for both, so colours may add up to more."""
    spent: dict[str, timedelta] = {}
    for trip in trips:
        for piece in slices(trip, now, only):
            for key, part in parts(piece, by, trip, tz):
                spent[key] = spent.get(key, timedelta()) + part
    return {key: time / timedelta(hours=1) for key, time in spent.items()}


def line_hours(trip: Trip, lure: InWater, now: datetime) -> float:
    """Give how long a lure has been fishing on its line since it was put there."""
    since = lure.set_at or lure.since
    pieces = slices(trip, now, Only(since=since))
    return _hours(p.end - p.start for p in pieces if p.stint.line == lure.line)


def parts(piece: Slice, by: By, trip: Trip, tz: tzinfo) -> Iterator[tuple[str, timedelta]]:
    """Split a piece of time by a key; by species, crew or none there is nothing to split by."""
    if by == "hour":
        yield from _by_hour(piece, tz)
    elif by == "speed":
        yield from _by_speed(piece, trip)
    else:
        for key in lure_keys(piece.stint, by, piece.stint.position, piece.stint.side):
            yield key, piece.end - piece.start


def lure_keys(lure: LureSlots, by: By, position: str | None, side: str | None) -> tuple[str, ...]:
    """Give the keys under which a lure at a place counts."""
    match by:
        case "position":
            return (position or UNKNOWN,)
        case "side":
            return (side or UNKNOWN,)
        case "colour":
            return tuple(dict.fromkeys(lure.colours)) or (UNKNOWN,)
        case "size":
            return (UNKNOWN if lure.size_in is None else f"{lure.size_in:g}",)
        case "lure":
            return (label(lure),)
        case "head":
            return (lure.head or UNKNOWN,)
        case _:
            return ()


def lure_fits(lure: LureSlots, position: str | None, side: str | None, only: Only) -> bool:
    """Say whether a lure at a place is one of those that are looked at."""
    return (
        only.position in (None, position)
        and only.side in (None, side)
        and set(only.colours) <= set(lure.colours)
        and (only.size_in is None or same_size(only.size_in, lure.size_in))
        and (only.lure is None or same_name(only.lure, label(lure)))
        and only.head in (None, lure.head)
    )


def hour_key(at: datetime, tz: tzinfo) -> str:
    """Give the hour of the boat's day, e.g. `09:00`."""
    return f"{at.astimezone(tz):%H}:00"


def speed_key(speed_kn: float | None) -> str:
    """Give the speed band, e.g. `8 kn`."""
    if speed_kn is None:
        return UNKNOWN
    return f"{round(speed_kn / SPEED_BAND_KN) * SPEED_BAND_KN:g} kn"


def speed_at(trip: Trip, at: datetime) -> float | None:
    """Give the speed as last called before a time."""
    spoken = [r.speed_kn for r in trip.readings if r.speed_kn is not None and r.at <= at]
    return spoken[-1] if spoken else None


def _by_hour(piece: Slice, tz: tzinfo) -> Iterator[tuple[str, timedelta]]:
    start = piece.start
    while start < piece.end:
        local = start.astimezone(tz)
        into = timedelta(minutes=local.minute, seconds=local.second, microseconds=local.microsecond)
        end = min(piece.end, start + timedelta(hours=1) - into)
        yield hour_key(start, tz), end - start
        start = end


def _by_speed(piece: Slice, trip: Trip) -> Iterator[tuple[str, timedelta]]:
    start, speed_kn = piece.start, speed_at(trip, piece.start)
    for reading in trip.readings:
        if reading.speed_kn is None or not piece.start < reading.at < piece.end:
            continue
        yield speed_key(speed_kn), reading.at - start
        start, speed_kn = reading.at, reading.speed_kn
    yield speed_key(speed_kn), piece.end - start


def _hours(times: Iterable[timedelta]) -> float:
    return sum(times, timedelta()) / timedelta(hours=1)
