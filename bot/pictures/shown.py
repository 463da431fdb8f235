"""What pictures show: from a plan, from what is laid out on a trip, from a tally."""

from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import datetime, tzinfo
from typing import Final

from bot.advice.rates import garwood, rate_per_10h, wilson
from bot.pictures.conversion_view import ShownConversion, ShownShare
from bot.pictures.spread_view import ShownLure
from bot.pictures.tally_view import ShownHour, ShownRate
from bot.spread.plan import Plan
from bot.spread.positions import CENTRE, PORT, STARBOARD, distances_m, places
from bot.tackle.crew_units import CrewUnits
from bot.tackle.items import Boat, Lure
from bot.trip.conditions import UNKNOWN
from bot.trip.exposure import By, line_hours
from bot.trip.state import InWater, Trip
from bot.trip.tally import IN_ORDER, KNOWN_OF_FISH_ON, Tally, TallyRow, fish_bites, tally
from bot.water.wake import WaveCount


def shown_plan(plan: Plan, boat: Boat) -> tuple[ShownLure, ...]:
    """Return the lures of a plan for a picture."""
    across = {place.position: place.across_m for place in places(boat.positions)}
    return tuple(
        ShownLure(
            p.position,
            p.lure,
            p.size_in,
            p.colours,
            p.back_m,
            across[p.position],
            p.head,
            back=boat.crew_units.distance(p.back_m),
        )
        for p in plan.positions
    )


def shown_trip(
    trip: Trip,
    boat: Boat,
    now: datetime,
    *,
    count: WaveCount | None = None,
    runs_m: Mapping[str, float] | None = None,
) -> tuple[ShownLure, ...]:
    """Return the lures laid out on a trip, with their hours and strikes, for a picture.

    `runs_m` says how far back every position runs where that is known; else as they would be set now.
    """
    laid = trip.spread.values()
    unknown = dict.fromkeys(x.position for x in laid if x.position not in boat.positions)
    positions = (*boat.positions, *unknown)
    across = {place.position: place.across_m for place in places(positions)}
    back_m = {**distances_m(positions, trip.speed_kn or boat.usual_kn, count), **(runs_m or {})}
    counts = Counter(lure.position for lure in laid)
    return tuple(
        _shown(trip, lure, across, back_m, now, boat.crew_units, twin=counts[lure.position] > 1)
        for lure in laid
    )


def _shown(
    trip: Trip,
    lure: InWater,
    across: Mapping[str, float],
    back_m: Mapping[str, float],
    now: datetime,
    units: CrewUnits,
    *,
    twin: bool,
) -> ShownLure:
    side = {"port": PORT, "starboard": STARBOARD}.get(lure.side or "", CENTRE)
    across_m = across[lure.position]
    if side != CENTRE and across_m != 0:
        across_m = side * abs(across_m)
    since = lure.set_at or lure.since
    strikes = sum(
        fish_bites(fish)
        for fish in trip.fish
        if fish.line == lure.line and fish.is_catch and (fish.bite_at or since) >= since
    )
    return ShownLure(
        position=f"{lure.side} {lure.position}" if twin and lure.side else lure.position,
        name=lure.lure or "",
        size_in=lure.size_in,
        colours=lure.colours,
        back_m=back_m[lure.position],
        back=units.distance(back_m[lure.position]),
        across_m=across_m,
        head=lure.head,
        hours=line_hours(trip, lure, now) if trip.is_fishing else None,
        strikes=strikes,
        is_on=any(fish.is_on for fish in trip.fish if fish.line == lure.line),
    )


MOST_RATES: Final = 10
"""Rows of a picture of rates; more would be too small for a phone."""
MOST_IN_ORDER: Final = 12
"""The same where they have an order of their own: all months of a year."""


def shown_rates(found: Tally) -> tuple[ShownRate, ...]:
    """Return the rows of a tally for a picture, those with most strikes."""
    rows = [row for row in found.rows if row.hours > 0 or row.strikes]
    if found.also == "none" and found.by in IN_ORDER and len(rows) <= MOST_IN_ORDER:
        return tuple(_rate(row, found.by, found.also) for row in rows)
    if len(rows) > MOST_RATES:
        rows = sorted(rows, key=lambda row: (-row.strikes, -row.hours))[:MOST_RATES]
    return tuple(_rate(row, found.by, found.also) for row in rows)


def shown_conversions(found: Tally) -> tuple[ShownConversion, ...]:
    """Return what became of the strikes of a tally, the rows with most of them, then of all together."""
    rows = [row for row in found.rows if row.strikes]
    if len(rows) > MOST_RATES and not (found.by in IN_ORDER and len(rows) <= MOST_IN_ORDER):
        rows = sorted(rows, key=lambda row: -row.strikes)[:MOST_RATES]
    said_of_all = not KNOWN_OF_FISH_ON.isdisjoint({found.by, found.also})
    shown = []
    for row in (*rows, found.total):
        label, colours = (
            _named(row, found.by, found.also) if row is not found.total else ("all", ())
        )
        hooked = (
            None if said_of_all and row is not found.total else _share(row.events_on, row.strikes)
        )
        landed = _share(row.caught, row.caught + row.lost)
        shown.append(ShownConversion(label, hooked, landed, row.strikes, colours))
    return tuple(shown) if rows else ()


def _share(some: int, of: int) -> ShownShare:
    interval = wilson(some, of)
    return ShownShare(some, of, *((interval.low, interval.high) if interval else (0.0, 1.0)))


def shown_hours(found: Tally) -> tuple[ShownHour, ...]:
    """Return the hours of a tally by the hour for a picture: those in which lines were in, or a fish bit."""
    return tuple(
        ShownHour(row.key, row.hours, row.strikes, row.events_on, row.caught)
        for row in found.rows
        if row.hours or row.strikes
    )


def shown_contrast(
    trip: Trip, now: datetime, tz: tzinfo, out: InWater | None, lure: Lure | None
) -> tuple[ShownRate, ...]:
    """Return the rates of head, size and colour where the lure that comes in differs from the one there."""
    if out is None or lure is None:
        return ()
    found: list[ShownRate] = []
    if out.head != lure.head and out.head and lure.head:
        found += _picked(trip, now, tz, "head", [lure.head, out.head])
    if out.size_in != lure.size_in:
        sizes = [f"{size:g}" for size in (lure.size_in, out.size_in) if size]
        found += _picked(trip, now, tz, "size", sizes)
    new = [colour for colour in lure.colours if colour not in out.colours]
    old = [colour for colour in out.colours if colour not in lure.colours]
    return (*found, *_picked(trip, now, tz, "colour", [*new[:1], *old[:1]]))


def _picked(trip: Trip, now: datetime, tz: tzinfo, by: By, keys: Sequence[str]) -> list[ShownRate]:
    rows = {row.key: row for row in tally((trip,), by, now, tz).rows}
    return [_rate(rows.get(key, TallyRow(key)), by, "none") for key in keys]


def _rate(row: TallyRow, by: By, also: By) -> ShownRate:
    interval = garwood(row.strikes, row.hours)
    low, high = (interval.low * 10, interval.high * 10) if interval else (0.0, 0.0)
    label, colours = _named(row, by, also)
    return ShownRate(
        label, row.strikes, row.hours, rate_per_10h(row.strikes, row.hours), low, high, colours
    )


def _named(row: TallyRow, by: By, also: By) -> tuple[str, tuple[str, ...]]:
    """Return what a row is about, and which colours those are."""
    keys = ((row.key, by), (row.other, also))
    words = [_key_words(key, kind) for key, kind in keys if kind != "none"]
    return ", ".join(words), tuple(key for key, kind in keys if kind == "colour")


def _key_words(key: str, by: By) -> str:
    return f"{key}-inch" if by == "size" and key != UNKNOWN else key
