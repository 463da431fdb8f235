"""Strikes, hook-ups and catches by anything, with the lure-hours that they took.

A strike is an event: a double hook-up on one line is one event for a rate and two fish in the tally
(reference: strikes come in bursts). No rates and no intervals here; those are in `bot.advice`. Pure.
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, tzinfo
from itertools import pairwise
from typing import Final

from bot.trip.acts import CAUGHT, LOST
from bot.trip.conditions import LIGHTS, MONTHS, UNKNOWN
from bot.trip.encounters import same_person, species_match
from bot.trip.entry import Place
from bot.trip.exposure import (
    ALL,
    By,
    Cuts,
    Only,
    hour_key,
    hours_by_both,
    lure_fits,
    lure_hours,
    lure_keys,
)
from bot.trip.fish import Fish
from bot.trip.state import Trip

WHOLE_HOURS: Final = frozenset({"species", "crew", "angler", "none"})
"""Keys that a lure in the water does not have; each of their rows has all hours."""
KNOWN_OF_FISH_ON: Final = frozenset({"species", "angler"})
"""Keys known mostly of fish that were on, so that their share of hooked strikes means nothing."""
IN_ORDER: Final = frozenset({"hour", "trip", "month", "light", "water"})
"""Keys that have an order of their own."""
COUNTS: Final = ("strikes", "hookups", "caught", "raises", "events_on", "lost")
"""Fields of a row that are counted, in the order of the sums."""


@dataclass(frozen=True, slots=True)
class TallyRow:
    """The figures of one key."""

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
    """Strikes of which at least one fish was on."""
    lost: int = 0
    """Fish that were on and came off or broke off."""
    other: str = ""
    """The second key, where it is counted by two things at once."""


@dataclass(frozen=True, slots=True)
class Tally:
    """Rows by key, most strikes first (hours in order), and the total."""

    by: By
    rows: tuple[TallyRow, ...]
    total: TallyRow
    also: By = "none"
    """The second thing that it is counted by."""


Keys = tuple[str, str]


@dataclass(slots=True)
class TallySums:
    """Sums from which a tally is made; those of other trips may be added."""

    by: By
    also: By
    sums: dict[Keys, list[int]] = field(default_factory=dict)
    """By the two keys (the second empty by `none`), in the order of `COUNTS`."""
    whole: list[int] = field(default_factory=lambda: [0] * len(COUNTS))
    """Each fish once."""
    hours: dict[Keys, float] = field(default_factory=dict)
    """Lure-hours by those of the keys that a lure in the water has, the others empty."""
    all_hours: float = 0.0

    def add(self, other: "TallySums") -> None:
        """Add the sums of other trips."""
        for keys, counted in other.sums.items():
            _add(self.sums.setdefault(keys, [0] * len(COUNTS)), counted)
        _add(self.whole, other.whole)
        for keys, hours in other.hours.items():
            self.hours[keys] = self.hours.get(keys, 0.0) + hours
        self.all_hours += other.all_hours

    def tally(self, first_month: str = MONTHS[0]) -> Tally:
        """Return the tally of counts and lure-hours; a rate is a ratio of sums, never a mean of ratios.

        Months stand in order from `first_month` on; hours from midnight, or from the evening before it
        where the time runs over midnight.
        """
        rows = {keys: _row(keys, counted, self._of(keys)) for keys, counted in self.sums.items()}
        if self.by not in WHOLE_HOURS and self.also not in WHOLE_HOURS - {"none"}:
            for keys, spent in self.hours.items():
                rows.setdefault(keys, TallyRow(keys[0], hours=spent, other=keys[1]))
        order = sorted(rows.values(), key=lambda row: _place(row, self.by, self.also, first_month))
        if self.also == "none" and self.by == "hour":
            order = _over_midnight(order)
        total = _row(("total", ""), self.whole, self.all_hours)
        return Tally(self.by, tuple(order), total, self.also)

    def _of(self, keys: Keys) -> float:
        """Return the lure-hours in which something could count under these keys."""
        one, two = split_by(self.by, self.also)
        if one == two == "none":
            return self.all_hours
        return self.hours.get(
            (keys[0] if one != "none" else "", keys[1] if two != "none" else ""), 0.0
        )


def tally(
    trips: Iterable[Trip],
    by: By,
    now: datetime,
    tz: tzinfo = UTC,
    only: Only = ALL,
    also: By = "none",
    home: Place | None = None,
) -> Tally:
    """Return the tally by one key or two; `total` counts each fish once, so colours may add up to more."""
    return sum_tally(trips, by, now, tz, only, also, home).tally()


def sum_tally(
    trips: Iterable[Trip],
    by: By,
    now: datetime,
    tz: tzinfo = UTC,
    only: Only = ALL,
    also: By = "none",
    home: Place | None = None,
) -> TallySums:
    """Return the sums of a tally, to which those of other trips may be added."""
    held, found = tuple(trips), TallySums(by, also)
    for trip in held:
        cuts = Cuts(trip, tz, home)
        for fish in trip.fish:
            if fish_fits(fish, only) and cuts.fits(fish.bite_at or fish.first_at, only):
                _add(found.whole, numbers(fish))
                _count(found, fish, cuts, trip.id, tz)
    found.all_hours = lure_hours(held, now, only, tz, home)
    if (by, also) != ("none", "none"):
        found.hours = hours_by_both(held, *split_by(by, also), now, tz, only, home)
    return found


def fish_of(trips: Iterable[Trip], only: Only = ALL) -> TallyRow:
    """Return the counts of fish alone, without lure-hours."""
    found = TallySums("none", "none")
    for trip in trips:
        for fish in trip.fish:
            if fish_fits(fish, only):
                _add(found.whole, numbers(fish))
    return _row(("total", ""), found.whole, 0.0)


def split_by(by: By, also: By) -> tuple[By, By]:
    """Return the two keys, with `none` for one that a lure in the water does not have."""
    return ("none" if by in WHOLE_HOURS else by), ("none" if also in WHOLE_HOURS else also)


def fish_fits(fish: Fish, only: Only) -> bool:
    """Return whether a fish passes the filter, conditions apart (for those see `Cuts.fits`)."""
    if only is ALL:
        return True
    at = fish.bite_at or fish.first_at
    return (
        lure_fits(fish, fish.position, fish.side, only)
        and (
            only.species is None or (fish.species is not None and is_a(fish.species, only.species))
        )
        and (only.crew is None or only.crew in crews(fish))
        and (only.angler is None or same_person(only.angler, fish.angler or UNKNOWN) == 2)
        and (only.since is None or at >= only.since)
        and (only.before is None or at < only.before)
    )


def crews(fish: Fish) -> frozenset[str]:
    """Return everybody who called a stage of a fish."""
    called = (fish.raise_crew, fish.strike_crew, fish.hookup_crew, *(e.crew for e in fish.ends))
    return frozenset(crew for crew in called if crew is not None)


def fish_on_count(fish: Fish) -> int:
    """Count the fish of an encounter that were on."""
    return max(fish.count, fish.caught) if fish.was_on else 0


def fish_bites(fish: Fish) -> int:
    """Return the strikes of an encounter: one a line, and one for each fish where no line is known."""
    if not fish.was_struck:
        return 0
    return 1 if fish.line is not None else max(1, fish.count)


def numbers(fish: Fish) -> tuple[int, ...]:
    """Return what a fish adds to the sums, in the order of `COUNTS`."""
    if not fish.is_catch:
        return (0,) * len(COUNTS)
    was_on = fish.was_on
    lost = sum(end.count for end in fish.ends if end.act in LOST)
    caught = fish.caught
    on = max(fish.count, caught) if was_on else 0
    bites = fish_bites(fish)
    return bites, on, caught, int(fish.raised_at is not None), min(bites, on), lost


def by_crew(fish: Fish) -> Iterator[tuple[str, tuple[int, ...]]]:
    """Yield each stage to the one who called it, with what it adds to the sums."""
    if not fish.is_catch:
        return
    if fish.raised_at is not None and fish.raise_crew:
        yield fish.raise_crew, (0, 0, 0, 1, 0, 0)
    if fish.was_struck:
        bites = fish_bites(fish)
        on = min(bites, fish_on_count(fish))
        yield fish.bite_crew or UNKNOWN, (bites, 0, 0, 0, on, 0)
    if fish.was_on:
        yield fish.hookup_crew or fish.bite_crew or UNKNOWN, (0, fish_on_count(fish), 0, 0, 0, 0)
    for end in fish.ends:
        caught, lost = end.count * (end.act in CAUGHT), end.count * (end.act in LOST)
        yield end.crew, (0, 0, caught, 0, 0, lost)


def _fish_keys(fish: Fish, by: By, cuts: Cuts, trip: str, tz: tzinfo) -> tuple[str, ...]:
    """Return the keys under which a fish counts (by crew each stage has its own)."""
    match by:
        case "species":
            return (fish.species or UNKNOWN,)
        case "angler":
            return (fish.angler or UNKNOWN,)
        case "hour":
            return (hour_key(fish.bite_at or fish.first_at, tz),)
        case "speed" | "month" | "light" | "water" | "place":
            return (cuts.at(by, fish.bite_at or fish.first_at),)
        case "trip":
            return (trip,)
        case "none":
            return ("",)
        case _:
            return lure_keys(fish, by, fish.position, fish.side)


def _count(found: TallySums, fish: Fish, cuts: Cuts, trip: str, tz: tzinfo) -> None:
    by, also = found.by, found.also
    if by == also == "none":
        return
    parts = by_crew(fish) if "crew" in (by, also) else (("", numbers(fish)),)
    for crew, stage in parts:
        ones = (crew,) if by == "crew" else _fish_keys(fish, by, cuts, trip, tz)
        twos = (crew,) if also == "crew" else _fish_keys(fish, also, cuts, trip, tz)
        for one in ones:
            for two in twos:
                _add(found.sums.setdefault((one, two), [0] * len(COUNTS)), stage)


def _add(sums: list[int], counted: Sequence[int]) -> None:
    for place, many in enumerate(counted):
        sums[place] += many


def _row(keys: Keys, counted: list[int], hours: float) -> TallyRow:
    return TallyRow(keys[0], hours=hours, other=keys[1], **dict(zip(COUNTS, counted, strict=True)))


def is_a(species: str, asked: str) -> bool:
    """Return whether a fish is of the species asked for; `marlin` asks for all of them."""
    return species == asked or (" " not in asked and species_match(species, asked) == 2)


def _place(row: TallyRow, by: By, also: By, first_month: str) -> tuple[object, ...]:
    """Return the sort key of a row: hours, months, light and trips in their order, all else by strikes."""
    if by in IN_ORDER:
        return (_order(row.key, by, first_month), -row.strikes, -row.hours, row.other)
    if also in IN_ORDER:
        return (_order(row.other, also, first_month), -row.strikes, -row.hours, row.key)
    return (-row.strikes, -row.hours, row.key, row.other)


def _order(key: str, by: By, first_month: str) -> tuple[float, str]:
    if by == "water":
        return (float(key.split()[0]) if key != UNKNOWN else math.inf), key
    if by == "month" and key in MONTHS:
        return (MONTHS.index(key) - MONTHS.index(first_month)) % len(MONTHS), key
    names = MONTHS if by == "month" else LIGHTS if by == "light" else ()
    return (names.index(key) if key in names else len(names)), key


def _over_midnight(rows: list[TallyRow]) -> list[TallyRow]:
    """Return the rows from after the longest gap on, where there are rows on both sides of midnight."""
    hours = [int(row.key[:2]) for row in rows]
    if not hours or (hours[0], hours[-1]) != (0, 23):
        return rows
    gaps = [later - hour for hour, later in pairwise(hours)]
    first = gaps.index(max(gaps)) + 1 if gaps and max(gaps) > 1 else 0
    return [*rows[first:], *rows[:first]]
