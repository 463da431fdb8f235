"""The exposure clock: how long each lure was in the water, to the second.

Effort is counted in lure-hours: the sum over lures of the time that each was fishing, between lines
in and lines out, without the time of a fish that was on. Ratios are made elsewhere. Pure: `now`, the
time zone and the boat's home (for the light where nobody said where the boat was) are arguments.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta, tzinfo
from functools import cached_property
from typing import Final, Literal, get_args

from bot.tackle.box import same_name
from bot.trip.conditions import (
    FORGOTTEN_AFTER,
    MONTHS,
    UNKNOWN,
    Steps,
    light_steps,
    place_steps,
    speed_steps,
    water_steps,
)
from bot.trip.entry import Place
from bot.trip.lures import LureSlots, label, same_size
from bot.trip.state import InWater, Stint, Trip

By = Literal[
    "position", "colour", "size", "lure", "species", "crew", "angler", "hour", "head", "side", "speed",
    "month", "light", "water", "place", "trip", "none",
]  # fmt: skip
BYS: Final[tuple[By, ...]] = get_args(By)
Condition = Literal["month", "speed", "light", "water", "place"]
"""Conditions: what depends on when and where a lure was in the water, not on the lure."""


@dataclass(frozen=True, slots=True)
class Only:
    """A filter; a field that is not set lets everything through."""

    position: str | None = None
    positions: tuple[str, ...] = ()
    """Several at once, such as the riggers; empty lets all through."""
    side: str | None = None
    colours: tuple[str, ...] = ()
    """All of them on one lure."""
    size_in: float | None = None
    lure: str | None = None
    head: str | None = None
    species: str | None = None
    crew: str | None = None
    angler: str | None = None
    since: datetime | None = None
    before: datetime | None = None
    month: str | None = None
    """One of `MONTHS`, of whatever year."""
    light: tuple[str, ...] = ()
    """Names in `conditions.LIGHTS`."""
    water: tuple[str, ...] = ()
    """Bands, such as `24 °C`."""
    cells: tuple[str, ...] = ()
    """Cells of the sea, see `whereabouts`."""

    @property
    def in_conditions(self) -> bool:
        """Return whether it filters by conditions."""
        return bool(self.month or self.light or self.water or self.cells)


ALL: Final = Only()


@dataclass(frozen=True, slots=True)
class Slice:
    """A piece of a stint with its start and its end."""

    stint: Stint
    start: datetime
    end: datetime

    @property
    def hours(self) -> float:
        """Return its length in hours."""
        return (self.end - self.start) / timedelta(hours=1)


def horizon(trip: Trip, now: datetime) -> datetime:
    """Return the time up to which lures in the water count."""
    last = trip.ended or trip.last_at
    if last is None or (trip.is_open and now - last <= FORGOTTEN_AFTER):
        return now if last is None else max(now, last)
    return last


def slices(
    trip: Trip, now: datetime, only: Only = ALL, cuts: "Cuts | None" = None
) -> Iterator[Slice]:
    """Yield the closed pieces of time in which a lure that passes the filter was fishing.

    `cuts` are those of the trip; by default of one in UTC without a home.
    """
    if only.in_conditions:
        cuts = cuts or Cuts(trip, UTC)
        for piece in slices(trip, now, without_conditions(only)):
            yield from cuts.fitting_parts(piece, only)
        return
    upto = horizon(trip, now)
    for stint in trip.stints:
        if not lure_fits(stint, stint.position, stint.side, only):
            continue
        start = stint.start if only.since is None else max(stint.start, only.since)
        end = upto if stint.end is None else stint.end
        end = end if only.before is None else min(end, only.before)
        if end > start:
            yield Slice(stint, start, end)


def fair_slices(
    trip: Trip, now: datetime, only: Only = ALL, cuts: "Cuts | None" = None
) -> Iterator[Slice]:
    """Yield the pieces in which a lure was fishing and towed no weed."""
    fouled = [(f.line, f.start, f.end) for f in trip.fouled]
    for piece in slices(trip, now, only, cuts):
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


def fouled_hours(trip: Trip, now: datetime, only: Only = ALL, cuts: "Cuts | None" = None) -> float:
    """Return the lure-hours in which a lure in the water towed weed."""
    if not trip.fouled:
        return 0.0
    fair = _hours(p.end - p.start for p in fair_slices(trip, now, only, cuts))
    return _hours(p.end - p.start for p in slices(trip, now, only, cuts)) - fair


def lure_hours(
    trips: Iterable[Trip],
    now: datetime,
    only: Only = ALL,
    tz: tzinfo = UTC,
    home: Place | None = None,
) -> float:
    """Return all lure-hours."""
    return _hours(
        p.end - p.start
        for trip in trips
        for p in slices(trip, now, only, Cuts(trip, tz, home) if only.in_conditions else None)
    )


def hours_by_both(
    trips: Iterable[Trip],
    by: By,
    also: By,
    now: datetime,
    tz: tzinfo = UTC,
    only: Only = ALL,
    home: Place | None = None,
) -> dict[tuple[str, str], float]:
    """Return lure-hours by two keys at once; the second is empty by `none`."""
    spent: dict[tuple[str, str], timedelta] = {}
    for trip in trips:
        cuts = Cuts(trip, tz, home)
        for piece in slices(trip, now, only, cuts):
            for one, part in cuts.parts(piece, by):
                for two, least in cuts.parts(part, also):
                    spent[one, two] = spent.get((one, two), timedelta()) + least.end - least.start
    return {keys: time / timedelta(hours=1) for keys, time in spent.items()}


def line_hours(trip: Trip, lure: InWater, now: datetime) -> float:
    """Return how long a lure has been fishing on its line since it was put there."""
    since = lure.set_at or lure.since
    pieces = slices(trip, now, Only(since=since, before=now))
    return _hours(p.end - p.start for p in pieces if p.stint.line == lure.line)


def parts(piece: Slice, by: By, trip: Trip, tz: tzinfo) -> Iterator[tuple[str, timedelta]]:
    """Split a piece of time by a key; species, crew and none do not split it."""
    for key, part in Cuts(trip, tz).parts(piece, by):
        yield key, part.end - part.start


class Cuts:
    """Splits the time of one trip by a key, and returns the key of any moment."""

    def __init__(self, trip: Trip, tz: tzinfo, home: Place | None = None) -> None:
        self._trip, self._tz, self._home = trip, tz, home

    def parts(self, piece: Slice, by: By) -> Iterator[tuple[str, Slice]]:
        """Yield the parts of a piece with their keys; a part has several keys where it counts for all."""
        match by:
            case "hour":
                yield from self._hours(piece)
            case "month":
                yield from self._months(piece)
            case "speed" | "light" | "water" | "place":
                for key, start, end in self._steps(by).between(piece.start, piece.end):
                    yield key, Slice(piece.stint, start, end)
            case "trip" | "none":
                yield (self._trip.id if by == "trip" else ""), piece
            case _:
                for key in lure_keys(piece.stint, by, piece.stint.position, piece.stint.side):
                    yield key, piece

    def at(self, by: Condition, at: datetime) -> str:
        """Return what held at a time: the month, the speed band, the light, the water or the cell."""
        if by == "month":
            return MONTHS[at.astimezone(self._tz).month - 1]
        return self._steps(by).at(at)

    def fitting_parts(self, piece: Slice, only: Only) -> Iterator[Slice]:
        """Yield the parts of a piece that pass the filter's conditions."""
        found = [piece]
        for by, keys in _asked(only):
            found = [part for one in found for key, part in self.parts(one, by) if key in keys]
        yield from found

    def fits(self, at: datetime, only: Only) -> bool:
        """Return whether the conditions at a time pass the filter."""
        return all(self.at(by, at) in keys for by, keys in _asked(only))

    def _steps(self, by: Condition) -> Steps:
        match by:
            case "speed":
                return self._speed
            case "light":
                return self._light
            case "water":
                return self._water
            case _:
                return self._place

    @cached_property
    def _speed(self) -> Steps:
        return speed_steps(self._trip)

    @cached_property
    def _light(self) -> Steps:
        return light_steps(self._trip, self._home)

    @cached_property
    def _water(self) -> Steps:
        return water_steps(self._trip)

    @cached_property
    def _place(self) -> Steps:
        return place_steps(self._trip)

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

    def _months(self, piece: Slice) -> Iterator[tuple[str, Slice]]:
        if self.at("month", piece.start) == self.at("month", piece.end):
            yield self.at("month", piece.start), piece
            return
        for _, part in self._hours(piece):
            yield self.at("month", part.start), part


def without_conditions(only: Only) -> Only:
    """Return the filter without its conditions."""
    return replace(only, month=None, light=(), water=(), cells=())


def _asked(only: Only) -> Iterator[tuple[Condition, tuple[str, ...]]]:
    conditions: tuple[tuple[Condition, tuple[str, ...]], ...] = (
        ("month", (only.month,) if only.month else ()),
        ("light", only.light),
        ("water", only.water),
        ("place", only.cells),
    )
    return ((by, keys) for by, keys in conditions if keys)


def lure_keys(lure: LureSlots, by: By, position: str | None, side: str | None) -> tuple[str, ...]:
    """Return the keys under which a lure at a place counts."""
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
    """Return whether a lure at a place passes the filter."""
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
    """Return the hour of the boat's day, e.g. `09:00`."""
    return f"{at.astimezone(tz):%H}:00"


def speed_at(trip: Trip, at: datetime) -> float | None:
    """Return the speed as last called before a time."""
    spoken = [r.speed_kn for r in trip.readings if r.speed_kn is not None and r.at <= at]
    return spoken[-1] if spoken else None


def _hours(times: Iterable[timedelta]) -> float:
    return sum(times, timedelta()) / timedelta(hours=1)
