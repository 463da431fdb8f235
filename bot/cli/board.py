"""The board: spread, tally and fish on as a few lines, for a pinned message or the top of a page."""

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from bot.settings import Settings

if TYPE_CHECKING:
    from bot.trip.state import Fish, Trip


def board(found: Settings, now: datetime | None = None) -> tuple[str, str, bool] | None:
    """Give trip, text, and whether a time is running on it; None where the log holds no open trip."""
    from bot.cli.record import folded

    trips = folded(found, None)
    if not trips or not trips[0].is_open:
        return None
    trip, at = trips[0], now or datetime.now(UTC)
    return trip.id, board_text(trip, at, found), bool(trip.fish_on)


def board_text(trip: "Trip", now: datetime, found: Settings) -> str:
    """Write the board: fish on first, for that is what matters then."""
    lines = [_fish_line(fish, now) for fish in trip.fish_on]
    lines += _spread_lines(trip, found)
    lines.append(_tally_line(trip, now))
    return "\n".join(lines)


def _fish_line(fish: "Fish", now: datetime) -> str:
    where = fish.position or "position not called"
    minutes = int((now - (fish.hooked_at or now)) / timedelta(minutes=1))
    return f"FISH ON, {where}{f', {fish.species}' if fish.species else ''}: {minutes} min"


def _spread_lines(trip: "Trip", found: Settings) -> list[str]:
    if not trip.in_water:
        return ["Lines are out." if not trip.is_fishing else "Nothing called out yet."]
    zone = found.boat.zone
    return [
        f"{lure.line or lure.position}: {lure.label}, since {lure.since.astimezone(zone):%H:%M}"
        for lure in trip.in_water.values()
    ]


def _tally_line(trip: "Trip", now: datetime) -> str:
    from bot.trip.tally import tally

    total = tally((trip,), "none", now).total
    return (
        f"{total.strikes} strikes, {total.hookups} hook-ups, {total.caught} caught"
        f" in {total.hours:.1f} lure-hours"
    )
