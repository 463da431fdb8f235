"""The conditions at every moment of a trip: speed, water, light and place as steps in time. Pure.

A step holds from its time to that of the next; before the first nothing is known. Steps stand on whole
seconds where the calls do, so that pieces of time cut at them add up to the second.
"""

from bisect import bisect_right
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from math import floor
from typing import Final

from bot.sky.light import sun_at
from bot.stamps import Fix as Measured
from bot.trip.entry import Place
from bot.trip.measured import OVERRULES_FOR
from bot.trip.state import Trip
from bot.trip.whereabouts import PlaceFix, entered_cells, place_at

UNKNOWN: Final = "unknown"
FORGOTTEN_AFTER: Final = timedelta(hours=16)
"""Silence after which a trip counts as forgotten: its hours stop at the last word."""
SPEED_BAND_KN: Final = 1.0
"""Width of a speed band; a call belongs to the nearest band, half-way between two to the faster."""
WATER_BAND_C: Final = 1.0
"""Width of a band of water temperature; bands are as those of speeds."""
WATER_HOLDS: Final = timedelta(hours=2)
"""How long a called temperature holds for the boat's water: some 15 nm (our estimate)."""
MEASURED_HOLDS: Final = timedelta(minutes=15)
"""How long a measured temperature holds without a newer one."""
LIGHT_STEP: Final = timedelta(minutes=10)
"""Interval at which the sun is computed; where two results differ, the exact second is found."""

LIGHTS: Final = ("dark", "dawn", "low morning sun", "day", "low evening sun", "dusk")
"""The light as `sky.light` tells it, a low sun by whether it rises; in the order of a day."""
MONTHS: Final = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Steps:
    """Values, each with the time from which it held."""

    times: tuple[datetime, ...] = ()
    keys: tuple[str, ...] = ()

    def at(self, at: datetime) -> str:
        """Return the value at a time."""
        index = bisect_right(self.times, at)
        return self.keys[index - 1] if index else UNKNOWN

    def between(self, start: datetime, end: datetime) -> Iterator[tuple[str, datetime, datetime]]:
        """Return a span of time cut into the parts with one value each, without gaps."""
        index = bisect_right(self.times, start)
        key = self.keys[index - 1] if index else UNKNOWN
        while index < len(self.times) and self.times[index] < end:
            if self.keys[index] != key:
                if self.times[index] > start:
                    yield key, start, self.times[index]
                    start = self.times[index]
                key = self.keys[index]
            index += 1
        yield key, start, end


def steps(held: Iterable[tuple[datetime, str | None]]) -> Steps:
    """Return steps from times in order; a value that nobody knows is None."""
    found = tuple(held)
    return Steps(tuple(at for at, _ in found), tuple(key or UNKNOWN for _, key in found))


def speed_steps(trip: Trip) -> Steps:
    """Return the speed bands as called."""
    return steps((r.at, speed_key(r.speed_kn)) for r in trip.readings if r.speed_kn is not None)


def water_steps(trip: Trip) -> Steps:
    """Return the bands of water temperature: as called for an hour, then as measured, else as called last."""
    called = [(r.at, r.water_c) for r in trip.readings if r.water_c is not None]
    measured = trip.thermometer
    changes = {at + more for at, _ in called for more in (timedelta(), OVERRULES_FOR, WATER_HOLDS)}
    changes |= {at + more for at, _ in measured for more in (timedelta(), MEASURED_HOLDS)}

    def held(at: datetime) -> str | None:
        said = _last(called, at, WATER_HOLDS)
        if said is not None and at - said[0] < OVERRULES_FOR:
            return water_key(said[1])
        found = _last(measured, at, MEASURED_HOLDS) or said
        return None if found is None else water_key(found[1])

    return steps((at, held(at)) for at in sorted(changes))


def _last(
    known: Sequence[tuple[datetime, float]], at: datetime, holds: timedelta
) -> tuple[datetime, float] | None:
    """Return the last known value at a time, unless it is too old."""
    index = bisect_right(known, at, key=lambda one: one[0])
    if not index or at - known[index - 1][0] >= holds:
        return None
    return known[index - 1]


def with_track(trip: Trip, points: Iterable[Measured]) -> Trip:
    """Return a trip with the track and the water that the instruments recorded."""
    track = tuple(points)
    if not track:
        return trip
    fixes = [PlaceFix(_second(p.at), *p.place) for p in track if p.place is not None]
    water = [(_second(p.at), p.stamp.water_c) for p in track if p.stamp.water_c is not None]
    return replace(
        trip,
        fixes=tuple(sorted((*trip.fixes, *fixes), key=lambda fix: fix.at)),
        thermometer=tuple(sorted((*trip.thermometer, *water))),
    )


def place_steps(trip: Trip) -> Steps:
    """Return the cells of the sea through which the boat went."""
    return steps(entered_cells(trip.fixes))


def light_steps(trip: Trip, home: Place | None) -> Steps:
    """Return the light where the boat was, or at home where that is not known; unknown without either."""
    if trip.first_at is None or trip.last_at is None or not (trip.fixes or home):
        return Steps()

    def seen(at: datetime) -> str:
        place = place_at(trip.fixes, at, near=False) or home
        return UNKNOWN if place is None else light_key(place, at)

    end = trip.ended or trip.last_at
    end = end if trip.ended else end + FORGOTTEN_AFTER
    start = trip.first_at.replace(second=0, microsecond=0)
    found = [(start, seen(start))]
    while found[-1][0] < end:
        at = found[-1][0] + LIGHT_STEP
        key = seen(at)
        if key != found[-1][1]:
            found += [(_changed(seen, found[-1][0], at), key)]
        found.append((at, key))
    return steps(found)


def _changed(seen: Callable[[datetime], str], start: datetime, end: datetime) -> datetime:
    """Return the first second at which the light differs from that at the start."""
    before = seen(start)
    low_s, high_s = 0, round((end - start).total_seconds())
    while high_s - low_s > 1:
        middle_s = (low_s + high_s) // 2
        if seen(start + timedelta(seconds=middle_s)) == before:
            low_s = middle_s
        else:
            high_s = middle_s
    return start + timedelta(seconds=high_s)


def light_key(place: Place, at: datetime) -> str:
    """Return the light at a place and a time, one of `LIGHTS`."""
    sun = sun_at(*place, at)
    if sun.light != "low sun":
        return sun.light
    return "low morning sun" if sun.rising else "low evening sun"


def _second(at: datetime) -> datetime:
    return at.replace(microsecond=0)


def speed_key(speed_kn: float | None) -> str:
    """Return the speed band, e.g. `8 kn`."""
    return UNKNOWN if speed_kn is None else f"{_band(speed_kn, SPEED_BAND_KN):g} kn"


def water_key(water_c: float | None) -> str:
    """Return the band of water temperature, e.g. `24 °C` for 23.5 to below 24.5."""
    return UNKNOWN if water_c is None else f"{_band(water_c, WATER_BAND_C):g} °C"


def _band(value: float, width: float) -> float:
    return floor(value / width + 0.5) * width
