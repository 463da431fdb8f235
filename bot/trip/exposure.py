"""The exposure clock: how long what was in the water, to the second.

Effort is counted in lure-hours: the sum over lures of the time that each was fishing, between lines
in and lines out, without the time of a fish that was on. Ratios are made elsewhere. Pure: `now` and
the time zone are arguments.
"""

from bisect import bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta, tzinfo
from math import floor
from typing import Final, Literal

from bot.tackle.box import same_name
from bot.trip.lures import LureSlots, label, same_size
from bot.trip.state import InWater, Stint, Trip

By = Literal[
    "position", "colour", "size", "lure", "species", "crew", "hour", "head", "side", "speed",
    "trip", "none",
]  # fmt: skip
UNKNOWN: Final = "unknown"
FORGOTTEN_AFTER: Final = timedelta(hours=16)
"""A trip without a word for so long was not ended but forgotten: its hours stop at the last word."""
SPEED_BAND_KN: Final = 1.0
"""Width of a speed band; a call in between belongs to the nearest band, one half-way to the faster."""


@dataclass(frozen=True, slots=True)
class Only:
    """What to look at; a slot that is not set leaves all in."""

    position: str | None = None
    positions: tuple[str, ...] = ()
    """Several at once, such as the riggers; none said leaves all in."""
    side: str | None = None
    colours: tuple[str, ...] = ()
    """All of them on one lure."""
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


def fair_slices(trip: Trip, now: datetime, only: Only = ALL) -> Iterator[Slice]:
    """Give the pieces in which a lure was fishing and towed no weed."""
    fouled = [(f.line, f.start, f.end) for f in trip.fouled]
    for piece in slices(trip, now, only):
        start = piece.start
        for line, weed_start, weed_end in fouled:
            if line != piece.stint.line or weed_start >= piece.end:
                continue
            if weed_end is not None and weed_end <= start:
                continue
            if weed_start > start:
                yield replace(piece, start=start, end=weed_start)
            if weed_end is None or weed_end >= piece.end:
                break
            start = weed_end
        else:
            yield replace(piece, start=start)


def fouled_hours(trip: Trip, now: datetime, only: Only = ALL) -> float:
    """Give the lure-hours in which a lure in the water towed weed."""
    fair = _hours(p.end - p.start for p in fair_slices(trip, now, only))
    return lure_hours((trip,), now, only) - fair if trip.fouled else 0.0


def lure_hours(trips: Iterable[Trip], now: datetime, only: Only = ALL) -> float:
    """Give all lure-hours."""
    return _hours(p.end - p.start for trip in trips for p in slices(trip, now, only))


def hours_by(
    trips: Iterable[Trip], by: By, now: datetime, tz: tzinfo = UTC, only: Only = ALL
) -> dict[str, float]:
    """Give lure-hours by a key; a lure in two colours counts for both, so colours may add up to more."""
    return {
        one: hours for (one, _), hours in hours_by_both(trips, by, "none", now, tz, only).items()
    }


def hours_by_both(
    trips: Iterable[Trip],
    by: By,
    also: By,
    now: datetime,
    tz: tzinfo = UTC,
    only: Only = ALL,
) -> dict[tuple[str, str], float]:
    """Give lure-hours by two keys at once; the second is empty by `none`."""
    spent: dict[tuple[str, str], timedelta] = {}
    for trip in trips:
        cuts = Cuts(trip, tz)
        for piece in slices(trip, now, only):
            for one, part in cuts.parts(piece, by):
                for two, least in cuts.parts(part, also):
                    spent[one, two] = spent.get((one, two), timedelta()) + least.end - least.start
    return {keys: time / timedelta(hours=1) for keys, time in spent.items()}


def line_hours(trip: Trip, lure: InWater, now: datetime) -> float:
    """Give how long a lure has been fishing on its line since it was put there."""
    since = lure.set_at or lure.since
    pieces = slices(trip, now, Only(since=since))
    return _hours(p.end - p.start for p in pieces if p.stint.line == lure.line)


def parts(piece: Slice, by: By, trip: Trip, tz: tzinfo) -> Iterator[tuple[str, timedelta]]:
    """Split a piece of time by a key; by species, crew or none there is nothing to split by."""
    for key, part in Cuts(trip, tz).parts(piece, by):
        yield key, part.end - part.start


class Cuts:
    """Splits pieces of the time of one trip by a key."""

    def __init__(self, trip: Trip, tz: tzinfo) -> None:
        self._trip, self._tz = trip, tz
        spoken = [(r.at, r.speed_kn) for r in trip.readings if r.speed_kn is not None]
        self._called = [at for at, _ in spoken]
        self._keys = [speed_key(speed_kn) for _, speed_kn in spoken]

    def parts(self, piece: Slice, by: By) -> Iterator[tuple[str, Slice]]:
        """Give the parts of a piece with their keys; a part has several keys where it counts for all."""
        if by == "hour":
            yield from self._hours(piece)
        elif by == "speed":
            yield from self._speeds(piece)
        elif by in ("trip", "none"):
            yield (self._trip.id if by == "trip" else ""), piece
        else:
            for key in lure_keys(piece.stint, by, piece.stint.position, piece.stint.side):
                yield key, piece

    def speed(self, at: datetime) -> str:
        """Give the speed band as last called before a time."""
        index = bisect_right(self._called, at)
        return self._keys[index - 1] if index else UNKNOWN

    def _hours(self, piece: Slice) -> Iterator[tuple[str, Slice]]:
        start = piece.start
        while start < piece.end:
            local = start.astimezone(self._tz)
            into = timedelta(
                minutes=local.minute, seconds=local.second, microseconds=local.microsecond
            )
            end = min(piece.end, start + timedelta(hours=1) - into)
            yield f"{local:%H}:00", Slice(piece.stint, start, end)
            start = end

    def _speeds(self, piece: Slice) -> Iterator[tuple[str, Slice]]:
        start, index = piece.start, bisect_right(self._called, piece.start)
        while index < len(self._called) and self._called[index] < piece.end:
            if self._called[index] > start:
                yield (
                    self._keys[index - 1] if index else UNKNOWN,
                    replace(piece, start=start, end=self._called[index]),
                )
                start = self._called[index]
            index += 1
        yield self._keys[index - 1] if index else UNKNOWN, replace(piece, start=start)


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
    return only is ALL or (
        only.position in (None, position)
        and (not only.positions or position in only.positions)
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
    return f"{floor(speed_kn / SPEED_BAND_KN + 0.5) * SPEED_BAND_KN:g} kn"


def speed_at(trip: Trip, at: datetime) -> float | None:
    """Give the speed as last called before a time."""
    spoken = [r.speed_kn for r in trip.readings if r.speed_kn is not None and r.at <= at]
    return spoken[-1] if spoken else None


def _hours(times: Iterable[timedelta]) -> float:
    return sum(times, timedelta()) / timedelta(hours=1)
