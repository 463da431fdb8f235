"""The board: spread, tally and fish on as a few lines, for a pinned message or the top of a page."""

from datetime import timedelta
from typing import TYPE_CHECKING

from bot.answers.advise import verdict
from bot.answers.proposal import advice_line
from bot.answers.questions import in_order
from bot.replies.amounts import count

if TYPE_CHECKING:
    from bot.answers.view import View
    from bot.trip.fish import Fish


def board(view: "View") -> tuple[str, str, bool] | None:
    """Return trip, text, and whether a time is running on it; None where no trip is open."""
    trip = view.trip
    if not trip.is_open:
        return None
    lines = [
        _fish_line(fish, view) for fish in trip.fish_on
    ]  # first, for that is what matters then
    lines += _spread_lines(view)
    lines.append(_tally_line(view))
    lines.append(advice_line(view, verdict(view)))
    return trip.id, "\n".join(lines), bool(trip.fish_on)


def _fish_line(fish: "Fish", view: "View") -> str:
    where = fish.position or "position not called"
    minutes = int((view.now - (fish.hooked_at or view.now)) / timedelta(minutes=1))
    return f"FISH ON, {where}{f', {fish.species}' if fish.species else ''}: {minutes} min"


def _spread_lines(view: "View") -> list[str]:
    trip = view.trip
    if not trip.in_water:
        return ["Lines are out." if not trip.is_fishing else "Nothing called out yet."]
    return [
        f"{lure.line or lure.position}: {lure.label}, since {lure.since.astimezone(view.tz):%H:%M}"
        for lure in in_order(view, trip.in_water.values())
    ]


def _tally_line(view: "View") -> str:
    from bot.trip.tally import tally

    total = tally((view.trip,), "none", view.now).total
    parts = (count(total.strikes, "strike"), count(total.hookups, "hook-up"))
    return f"{', '.join(parts)}, {total.caught} caught in {total.hours:.1f} lure-hours"
