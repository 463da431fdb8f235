"""Strikes, hook-ups and catches by anything, with the lure-hours that they took.

A strike is an event: a double hook-up on one line is one event for a rate and two fish in the tally
(reference: strikes come in bursts). No rates and no intervals here; those are in `bot.advice`. Pure.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import UTC, datetime, tzinfo
from typing import Final

from bot.trip.encounters import species_match
from bot.trip.exposure import (
    ALL,
    UNKNOWN,
    By,
    Only,
    hour_key,
    hours_by,
    lure_fits,
    lure_hours,
    lure_keys,
    speed_at,
    speed_key,
)
from bot.trip.state import CAUGHT, Fish, Trip

WHOLE_HOURS: Final = frozenset({"species", "crew", "none"})
"""Keys that a lure in the water does not have: each of their rows had all hours to come in."""


@dataclass(frozen=True, slots=True)
class TallyRow:
    """What came under one key."""

    key: str
    strikes: int = 0
    """Bites, as events."""
    hookups: int = 0
    """Fish that were on."""
    caught: int = 0
    """Fish boated or released."""
    hours: float = 0.0
    """Lure-hours."""
    raises: int = 0
    """Fish that came up, whether or not they bit."""
    events_on: int = 0
    """Strikes of which at least one fish was on: of `strikes`, the share that came tight."""
    lost: int = 0
    """Fish that were on and came off or broke off."""


@dataclass(frozen=True, slots=True)
class Tally:
    """Rows by key, most strikes first (hours in order), and all of it together."""

    by: By
    rows: tuple[TallyRow, ...]
    total: TallyRow


def tally(
    trips: Iterable[Trip], by: By, now: datetime, tz: tzinfo = UTC, only: Only = ALL
) -> Tally:
    """Count by a key; `total` counts each fish once, so it may be less than the sum over colours."""
    held = tuple(trips)
    rows: dict[str, TallyRow] = {}
    total = TallyRow("total", hours=lure_hours(held, now, only))
    for trip in held:
        for fish in trip.fish:
            if fish_fits(fish, only):
                total = _plus(total, fish)
                _count(rows, fish, by, trip, tz)
    for key, hours in hours_by(held, by, now, tz, only).items():
        rows[key] = replace(rows.get(key, TallyRow(key)), hours=hours)
    if by in WHOLE_HOURS:
        rows = {key: replace(row, hours=total.hours) for key, row in rows.items()}
    order = _by_key if by == "hour" else _order
    return Tally(by, tuple(sorted(rows.values(), key=order)), total)


def fish_fits(fish: Fish, only: Only) -> bool:
    """Say whether a fish is one of those that are looked at."""
    at = fish.bite_at or fish.first_at
    crews = {fish.raise_crew, fish.strike_crew, fish.hookup_crew, *(e.crew for e in fish.ends)}
    return (
        lure_fits(fish, fish.position, fish.side, only)
        and (
            only.species is None or (fish.species is not None and _is_a(fish.species, only.species))
        )
        and (only.crew is None or only.crew in crews)
        and (only.since is None or at >= only.since)
        and (only.before is None or at < only.before)
    )


def fish_on_count(fish: Fish) -> int:
    """Count the fish of an encounter that were on."""
    return max(fish.count, fish.caught) if fish.was_on else 0


def fish_keys(fish: Fish, by: By, trip: Trip, tz: tzinfo) -> tuple[str, ...]:
    """Give the keys under which a fish counts (by crew see `tally`: each stage has its own)."""
    at = fish.bite_at or fish.first_at
    match by:
        case "species":
            return (fish.species or UNKNOWN,)
        case "hour":
            return (hour_key(at, tz),)
        case "speed":
            return (speed_key(speed_at(trip, at)),)
        case "crew":
            return (fish.bite_crew or fish.raise_crew or UNKNOWN,)
        case _:
            return lure_keys(fish, by, fish.position, fish.side)


def _count(rows: dict[str, TallyRow], fish: Fish, by: By, trip: Trip, tz: tzinfo) -> None:
    if by == "crew":
        for who, part in _by_crew(fish):
            row = rows.get(who, TallyRow(who))
            rows[who] = _sum(row, part)
        return
    for key in fish_keys(fish, by, trip, tz):
        rows[key] = _plus(rows.get(key, TallyRow(key)), fish)


def _by_crew(fish: Fish) -> Iterable[tuple[str, TallyRow]]:
    """Give each stage to the one who called it."""
    if fish.raised_at is not None and fish.raise_crew:
        yield fish.raise_crew, TallyRow("", raises=1)
    if fish.was_struck:
        yield fish.bite_crew or UNKNOWN, TallyRow("", strikes=1, events_on=int(fish.was_on))
    if fish.was_on:
        who = fish.hookup_crew or fish.bite_crew or UNKNOWN
        yield who, TallyRow("", hookups=fish_on_count(fish))
    for end in fish.ends:
        landed = end.act in CAUGHT
        lost = end.act in ("pulled_hook", "break_off")
        yield end.crew, TallyRow("", caught=end.count * landed, lost=end.count * lost)


def _plus(row: TallyRow, fish: Fish) -> TallyRow:
    return _sum(
        row,
        TallyRow(
            "",
            strikes=int(fish.was_struck),
            hookups=fish_on_count(fish),
            caught=fish.caught,
            raises=int(fish.raised_at is not None),
            events_on=int(fish.was_on),
            lost=sum(e.count for e in fish.ends if e.act in ("pulled_hook", "break_off")),
        ),
    )


def _sum(row: TallyRow, part: TallyRow) -> TallyRow:
    return TallyRow(
        row.key,
        row.strikes + part.strikes,
        row.hookups + part.hookups,
        row.caught + part.caught,
        row.hours + part.hours,
        row.raises + part.raises,
        row.events_on + part.events_on,
        row.lost + part.lost,
    )


def _is_a(species: str, asked: str) -> bool:
    """Say whether a fish is of the species asked for; `marlin` asks for all of them."""
    return species == asked or (" " not in asked and species_match(species, asked) == 2)


def _order(row: TallyRow) -> tuple[float, float, str]:
    return (-row.strikes, -row.hours, row.key)


def _by_key(row: TallyRow) -> tuple[float, float, str]:
    return (0, 0, row.key)
