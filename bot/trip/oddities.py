"""Find what to tell the crew about a call that does not fit the log, and the call that would mend it.

Nothing is refused here: what was called is logged as called. Pure.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, tzinfo

from bot.findings import Finding, Severity
from bot.trip.acts import BITES, CAUGHT, FISH_ACTS, LINES_IN, SET, TABLE, TRIP_END, Act
from bot.trip.call import Call
from bot.trip.encounters import LONG_ON, SAID_AGAIN
from bot.trip.entry import Entry
from bot.trip.fill import fish_of_call, old_lure
from bot.trip.lines import line_for
from bot.trip.lures import LURE_SLOTS, agrees, is_known, label
from bot.trip.meant import MaybeOver
from bot.trip.state import InWater, Trip


@dataclass(frozen=True, slots=True)
class Oddity:
    """A finding about a call, and the call that would set the log right, where there is one."""

    finding: Finding
    mend: Call | None = None


def oddities(said: Call, full: Call, trip: Trip, at: datetime) -> tuple[Oddity, ...]:
    """Yield the oddities of a call (as said, and completed) against the trip before it."""
    if full.act in BITES:
        return tuple(_bite(said, full, trip, at))
    if full.act in FISH_ACTS:
        return tuple(_ending(full, trip, at))
    row = TABLE[full.act]
    if row.places and "position" in row.takes:
        return tuple(_lines(full, trip, at))
    return tuple(_state(full, trip))


def held_by(by: Entry, at: datetime, tz: tzinfo) -> Oddity:
    """Return that an entry could not be moved past another of its fish; `at` is where it stands now."""
    side = "earlier" if at >= by.at else "later"
    text = f"No {side} than {by.at.astimezone(tz):%H:%M} ({TABLE[by.call.act].label})."
    return _odd("note", "in-its-life", text, by.call.position)


def already_so(full: Call, trip: Trip, tz: tzinfo) -> str:
    """Return the sentence that what is called is so already; empty where it is not, or no lure is named."""
    if full.act == LINES_IN and trip.fishing_since is not None and not trip.fish_on:
        return f"Lines are in already, since {trip.fishing_since.astimezone(tz):%H:%M}."
    if not TABLE[full.act].lays or full.lure is None or full.position is None:
        return ""
    there = trip.spread.get(line_for(trip.spread, full.position, full.side, new=full.act == SET))
    guessed = there is not None and there.guessed and full.act != SET  # a swap brings another lure
    if there is None or guessed or there.lure != full.lure:
        return ""
    if full.act == SET and not _hangs_there(there, trip):
        return ""
    return f"{there.label} is on the {full.position} already."


def _hangs_there(there: InWater, trip: Trip) -> bool:
    """Return whether a lure stayed where it was laid: no lines out since, no fish on it, no weed."""
    laid_at = there.set_at or there.since
    came_in = any(end is not None and end >= laid_at for _, end in trip.intervals)
    fought = any(f.line == there.line and f.was_on and f.first_at >= laid_at for f in trip.fish)
    towed = any(span.line == there.line and span.end is None for span in trip.fouled)
    return trip.is_open and not (came_in or fought or towed)


def _bite(said: Call, full: Call, trip: Trip, at: datetime) -> Iterator[Oddity]:
    where = full.position
    if not trip.is_fishing:
        text = "Lines are not in, so no hours are counted."
        yield _odd("caution", "lines-not-in", text, where, Call("lines_in"))
    if where is None:
        return
    line = line_for(trip.spread, where, full.side)
    there = trip.spread.get(line)
    if there is None:
        mend = _lure_call("set", said) if said.names_lure else None
        yield _odd("note", "empty-position", f"No lure is logged on {where}.", where, mend)
    elif said.names_lure and not agrees(full, there):
        text = f"The log has {there.label} on {where}, not {label(full)}."
        yield _odd("caution", "contradiction", text, where, _lure_call("swap", full))
    elif said.side and there.side and said.side != there.side:
        text = f"The log has {where} on the {there.side} side."
        yield _odd("note", "other-side", text, where)
    for fish in trip.fish_on:
        on_at = fish.hooked_at or fish.bite_at
        if fish.line == line and full.act != "raise" and on_at and at - on_at > SAID_AGAIN:
            text = f"A fish was on at {where}; how did it end?"
            yield _odd("caution", "fish-still-on", text, where)


def _ending(full: Call, trip: Trip, at: datetime) -> Iterator[Oddity]:
    if fish_of_call(full, trip, at) is None and full.act not in CAUGHT:
        where = " there" if full.position else ""
        text = f"No bite was called{where}: it counts as one that was on."
        text = f"No fish had bitten{where}." if full.act == "miss" else text
        yield _odd("note", "no-open-fish", text, full.position)


def _lines(full: Call, trip: Trip, at: datetime) -> Iterator[Oddity]:
    where = full.position
    if where is None:
        yield _odd("caution", "which-position", "On which position?", None)
        return
    there = trip.spread.get(line_for(trip.spread, where, full.side, new=full.act == "set"))
    if there is None and full.act != "set":
        yield _odd("note", "empty-position", f"No lure is logged on {where}.", where)
    old = old_lure(full)
    if full.act == "swap" and there and is_known(old) and _differs(old, there):
        text = f"The log had {there.label} on {where}, not {label(old)}."
        yield _odd("note", "contradiction", text, where)
    if full.act != "clear":
        line = line_for(trip.spread, where, full.side)
        for fish in trip.fish_on:
            on_at = fish.hooked_at or fish.bite_at
            if fish.line == line and on_at and at - on_at > LONG_ON:
                text = f"A fish is still on at {where}; how did it end?"
                yield _odd("caution", "fish-still-on", text, where)
    if full.act != "clear" and not full.names_lure:
        yield _odd("note", "which-lure", f"Which lure is on {where}?", where)


def _state(full: Call, trip: Trip) -> Iterator[Oddity]:
    if full.act == "lines_in" and trip.is_fishing:
        yield _odd("note", "lines-already-in", "Lines were in already.")
    elif full.meaning(MaybeOver) is not None and trip.is_open and not trip.fish_on:
        text = 'Say "trip over" when the day is done.'
        yield _odd("note", "maybe-over", text, mend=Call(TRIP_END))
    elif full.act == "lines_out" and not trip.is_fishing:
        yield _odd("note", "lines-already-out", "Lines were out of the water already.")
    elif full.act == "trip_start" and trip.is_open and trip.is_begun:
        yield _odd("note", "trip-already-started", "This trip has started already.")
    elif full.act == "trip_end" and trip.ended is not None:
        yield _odd("note", "trip-already-ended", "This trip has ended already.")
    elif full.act == "trip_end" and trip.is_fishing:
        text = (
            'Lines out was not called. When did they come out? Say: "lines out twenty minutes ago".'
        )
        yield _odd("note", "lines-still-in", text)
    if full.act in ("lines_in", "trip_end"):
        for fish in trip.fish_on:
            where = f" at {fish.position}" if fish.position else ""
            text = f"A fish is still on{where}; how did it end?"
            yield _odd("caution", "fish-still-on", text, fish.position)


def _differs(old: Call, there: InWater) -> bool:
    return not agrees(old, there)


def _lure_call(act: Act, call: Call) -> Call:
    slots = {slot: getattr(call, slot) for slot in LURE_SLOTS}
    return Call(act, position=call.position, side=call.side, **slots)


def _odd(
    severity: Severity, code: str, text: str, position: str | None = None, mend: Call | None = None
) -> Oddity:
    return Oddity(Finding(severity, text, "the log", position, code), mend)
