"""The board: lures out, fish on, the proposal and the last entry. Pure.

As a few lines for a pinned message or the top of a page, and as values for the screen at the helm, which
counts the time by itself: nothing in them changes while nothing happens.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

from bot.answers.advise import verdict
from bot.answers.emergency import WAY_BACK_FOR, first_steps, open_trouble, way_back
from bot.answers.open_questions import answerable, left_open_lines
from bot.answers.proposal import advice_line
from bot.answers.questions import in_order
from bot.replies.amounts import clock, count, join_parts, span_words
from bot.replies.logged import short

if TYPE_CHECKING:
    from bot.answers.view import View
    from bot.trip.fish import Fish
    from bot.trip.state import InWater


@dataclass(frozen=True, slots=True)
class LureOut:
    """A lure on its line."""

    line: str
    lure: str
    since: datetime
    strikes: int
    """Strikes on this lure since it was put there."""


@dataclass(frozen=True, slots=True)
class FishOn:
    """A fish that is on."""

    line: str
    """Empty where nobody called it."""
    what: str
    """Species and angler, as far as they were called."""
    since: datetime


@dataclass(frozen=True, slots=True)
class Board:
    """The board of an open trip."""

    trip: str
    fishing: bool
    trouble: str
    """The way back to an emergency; empty where there was none."""
    fish: tuple[FishOn, ...]
    out: tuple[LureOut, ...]
    """From the boat outwards; while lines are out they are laid out but not in the water."""
    tally: str
    proposed: str
    last: str
    """The last entry, with its time."""
    unanswered: tuple[str, ...] = ()
    """What waits for an answer or got none, and is therefore not logged."""
    steps: tuple[str, ...] = ()
    """What to do first in an emergency of a moment ago, step by step."""


def board_of(view: "View") -> Board | None:
    """Return the board; None where no trip is open."""
    trip = view.trip
    if not trip.is_open:
        return None
    trouble = open_trouble(view)
    return Board(
        trip.id,
        trip.is_fishing,
        way_back(view, trouble) if trouble else "",
        tuple(_fish(fish, view) for fish in trip.fish_on),
        tuple(_out(lure, view) for lure in in_order(view, trip.spread.values())),
        _tally_words(view),
        advice_line(view, verdict(view)),
        _last(view),
        tuple(left_open_lines(view)),
        first_steps(trouble) if trouble and view.now - trouble.at <= WAY_BACK_FOR else (),
    )


def board(view: "View") -> tuple[str, str, bool] | None:
    """Return the trip and text of the board, and whether it shows a running time; None without open trip."""
    found = board_of(view)
    if found is None:
        return None
    lines = [found.trouble] if found.trouble else []
    lines += [_fish_line(fish, view) for fish in found.fish]  # before the rest: it matters then
    lines += _spread_lines(found, view)
    lines += [found.tally, found.proposed]
    lines += [f"Last: {found.last}"] if found.last else []
    lines += found.unanswered
    return found.trip, "\n".join(lines), bool(found.fish)


def helm(view: "View") -> dict[str, Any] | None:
    """Return the board for the screen at the helm, times in ISO 8601; None where no trip is open."""
    found = board_of(view)
    if found is None:
        return None
    return {
        "fishing": found.fishing,
        "trouble": found.trouble,
        "steps": list(found.steps),
        "fish": [
            {"line": one.line, "what": one.what, "since": one.since.isoformat()}
            for one in found.fish
        ],
        "out": [
            {
                "line": one.line,
                "lure": one.lure,
                "since": one.since.isoformat(),
                "strikes": one.strikes,
                "on": any(fish.line == one.line for fish in found.fish),
            }
            for one in found.out
        ],
        "tally": found.tally,
        "proposed": found.proposed,
        "last": found.last,
        "open": answerable(view),
        "night": _is_night(view),
        "zone": str(view.tz),
    }


def between_trips(view: "View") -> str:
    """Return what stands where no trip is open: how the last one ended, if there was one."""
    trip = view.trip
    if trip.ended is None:
        return "No trip yet. Say: trip start."
    began = trip.started or trip.first_at
    after = f", after {span_words(trip.ended - began)}" if began and began < trip.ended else ""
    lines = (f"Trip ended, {_when(trip.ended, view)}{after}.", f"{_tally_words(view)}.")
    return "\n".join((*lines, "For the next trip say: trip start."))


def _when(at: datetime, view: "View") -> str:
    """Return the clock, with its day where that is another than today."""
    here, now = at.astimezone(view.tz), view.now.astimezone(view.tz)
    day = "" if here.date() == now.date() else f" on {here.day} {here:%B}"
    return f"{clock(at, view.tz)}{day}"


def _fish(fish: "Fish", view: "View") -> FishOn:
    what = join_parts((fish.species or "", fish.angler or ""))
    return FishOn(fish.line or fish.position or "", what, fish.hooked_at or view.now)


def _out(lure: "InWater", view: "View") -> LureOut:
    line, since = lure.line or lure.position, lure.set_at or lure.since
    bites = (f.bite_at or f.first_at for f in view.trip.fish if f.line == line and f.is_strike)
    return LureOut(line, lure.label, lure.since, sum(at >= since for at in bites))


def _fish_line(fish: FishOn, view: "View") -> str:
    minutes = int((view.now - fish.since) / timedelta(minutes=1))
    lasts = f"{minutes} min" if minutes > 0 else "just now"
    return f"FISH ON, {join_parts((fish.line or 'position not called', fish.what))}: {lasts}"


def _spread_lines(found: Board, view: "View") -> list[str]:
    if not found.fishing:
        return ["Lines are out of the water."]
    if not found.out:
        return ["Nothing called out yet."]
    return [
        join_parts(
            (
                f"{lure.line}: {lure.lure}",
                f"since {clock(lure.since, view.tz)}",
                count(lure.strikes, "strike") if lure.strikes else "",
            )
        )
        for lure in found.out
    ]


def _tally_words(view: "View") -> str:
    from bot.trip.tally import tally

    total = tally((view.trip,), "none", view.now).total
    parts = (count(total.strikes, "strike"), count(total.hookups, "hook-up"))
    return f"{', '.join(parts)}, {total.caught} caught in {total.hours:.1f} lure-hours"


def _last(view: "View") -> str:
    if not view.stood:
        return ""
    last = max(
        view.stood, key=lambda entry: entry.id
    )  # made last, though it may have happened before
    return f"{short(last.call)}, {clock(last.at, view.tz)}"


def _is_night(view: "View") -> bool | None:
    """Return whether the sun is down where the boat is; None where that is not known."""
    from bot.sky.light import light_at

    place = view.here or view.place
    return None if place is None else light_at(*place, view.now) in ("dark", "dusk", "dawn")
