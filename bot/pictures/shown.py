"""What a picture of the spread shows: from a plan, or from what is laid out on a trip."""

from collections import Counter
from collections.abc import Mapping
from datetime import datetime

from bot.pictures.spread_view import ShownLure
from bot.spread.plan import Plan
from bot.spread.positions import CENTRE, PORT, STARBOARD, distances_m, places
from bot.tackle.items import Boat
from bot.trip.exposure import line_hours
from bot.trip.state import InWater, Trip
from bot.water.wake import WaveCount

USUAL_KN = 8.0
"""Where no speed was called, distances are those of this speed."""


def shown_plan(plan: Plan, boat: Boat) -> tuple[ShownLure, ...]:
    """Give the lures of a plan for a picture."""
    across = {place.position: place.across_m for place in places(boat.positions)}
    return tuple(
        ShownLure(p.position, p.lure, p.size_in, p.colours, p.back_m, across[p.position], p.head)
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
    """Give the lures laid out on a trip, with their hours and strikes, for a picture.

    `runs_m` says how far back every position runs where that is known; else as they would be set now.
    """
    laid = trip.spread.values()
    unknown = dict.fromkeys(x.position for x in laid if x.position not in boat.positions)
    positions = (*boat.positions, *unknown)
    across = {place.position: place.across_m for place in places(positions)}
    back_m = {**distances_m(positions, trip.speed_kn or USUAL_KN, count), **(runs_m or {})}
    counts = Counter(lure.position for lure in laid)
    return tuple(
        _shown(trip, lure, across, back_m, now, twin=counts[lure.position] > 1) for lure in laid
    )


def _shown(
    trip: Trip,
    lure: InWater,
    across: Mapping[str, float],
    back_m: Mapping[str, float],
    now: datetime,
    *,
    twin: bool,
) -> ShownLure:
    side = {"port": PORT, "starboard": STARBOARD}.get(lure.side or "", CENTRE)
    across_m = across[lure.position]
    if side != CENTRE and across_m != 0:
        across_m = side * abs(across_m)
    since = lure.set_at or lure.since
    strikes = sum(
        fish.count
        for fish in trip.fish
        if fish.line == lure.line and fish.bite_at is not None and fish.bite_at >= since
    )
    return ShownLure(
        position=f"{lure.side} {lure.position}" if twin and lure.side else lure.position,
        name=lure.lure or "",
        size_in=lure.size_in,
        colours=lure.colours,
        back_m=back_m[lure.position],
        across_m=across_m,
        head=lure.head,
        hours=line_hours(trip, lure, now) if trip.is_fishing else None,
        strikes=strikes,
    )
