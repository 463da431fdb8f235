"""Times that a stage of a fish can have: never before its own bite, whatever was said. Pure."""

from dataclasses import replace
from datetime import datetime, timedelta
from typing import Final

from bot.trip.acts import BITES, CAUGHT, LOST, TABLE
from bot.trip.call import Call
from bot.trip.encounters import find_fish, fish_clue
from bot.trip.entry import Entry
from bot.trip.fill import FilledCall, fish_of_call
from bot.trip.lines import line_for
from bot.trip.meant import ToldLate
from bot.trip.memory import Now
from bot.trip.state import Trip

SLOPPY: Final = timedelta(minutes=15)
"""How much too early a time said may be for the fish that is on; larger joins more."""
FRESH: Final = timedelta(minutes=10)
"""How long what was told of counts as being spoken of, and how late it must be told to be told late."""
LATE: Final = timedelta(hours=12)
"""How long after a trip the ending of a fish that was still on can be called."""
_A_SECOND: Final = timedelta(seconds=1)


def after_its_bite(trip: Trip, call: Call, at: datetime) -> datetime:
    """Return the time of an ending or the leader, not before the bite of the open fish that it is about."""
    if call.act not in CAUGHT | LOST and TABLE[call.act].stage != "leader":
        return at
    if trip.last_at is None or at >= trip.last_at:
        return at
    line = line_for(trip.spread, call.position, call.side) if call.position else None
    waits = [fish for fish in trip.fish if not fish.is_over]
    fish = find_fish(waits, fish_clue(call, trip.last_at, line))
    bite = fish.bite_at if fish is not None else None
    over_then = any(
        one.bite_at is not None
        and one.bite_at <= at
        and (one.ended_at is None or one.ended_at > at)
        for one in trip.fish
    )
    if bite is None or over_then or not at < bite <= at + SLOPPY:
        return at
    return bite


def told_late(call: Call, at: datetime, said_at: datetime) -> Call:
    """Return a bite with how much later it was told, where that is much; any other call as it is."""
    late = said_at - at
    if TABLE[call.act].stage not in ("struck", "on") or late < FRESH:
        return call
    rest = tuple(one for one in call.meant if not isinstance(one, ToldLate))
    return replace(call, meant=(*rest, ToldLate(late / timedelta(minutes=1))))


def time_of_late_bite(now: Now, call: Call, at: datetime) -> datetime:
    """Return the time of a bite that was told late just now, for what is said of its fish after it.

    "Strike short rigger at seven" and at noon "missed him": nothing was logged between, so both are of seven.
    """
    stage = TABLE[call.act].stage
    if stage not in ("on", "leader", "missed", "lost", "caught") or call.position or not now.stood:
        return at
    last = max(now.stood, key=lambda entry: entry.id)
    fish = next((one for one in now.trip.fish if last.id in one.entries), None)
    told = last.call.meaning(ToldLate)
    if fish is None or fish.is_over or fish.was_on or told is None:
        return at
    waits = any(not f.is_over and f.first_at > last.at for f in now.trip.fish)
    just = timedelta() <= at - last.at - timedelta(minutes=told.after_min) <= FRESH
    return last.at if just and not waits else at


def before_the_end(trip: Trip, call: Call, at: datetime) -> datetime:
    """Return the time of an ending that was called after the trip: the end of the trip."""
    if (
        call.act not in CAUGHT | LOST
        or trip.ended is None
        or not trip.ended < at <= trip.ended + LATE
    ):
        return at
    left = [fish for fish in trip.fish if fish.closed_at == trip.ended and fish.was_on]
    open_ = [replace(fish, closed_at=None) for fish in left]
    line = line_for(trip.spread, call.position, call.side) if call.position else None
    now = fish_clue(call, trip.ended, line)
    return trip.ended - _A_SECOND if find_fish(open_, now) is not None else at


def trip_at(now: Now, at: datetime) -> Trip:
    """Return the trip as it was at a time, each fish with who is known now to have had its rod."""
    if now.trip.last_at is None or at >= now.trip.last_at:
        return now.trip
    then = now.until(at)
    who = {fish.id: fish.angler for fish in now.trip.fish}
    told = (fish if fish.angler else replace(fish, angler=who.get(fish.id)) for fish in then.fish)
    return replace(then, fish=tuple(told))


def with_its_angler(full: FilledCall, now: Now, at: datetime) -> FilledCall:
    """Return an ending that was called late with who took the rod of its fish between it and the call."""
    call = full.call
    if call.act not in CAUGHT | LOST or call.angler or call.count or now.trip.last_at is None:
        return full
    if at >= now.trip.last_at:
        return full
    fish = fish_of_call(call, trip_at(now, at), at)
    before = {one.id: one.angler for one in now.until(at).fish}
    if fish is None or fish.angler is None or before.get(fish.id) is not None:
        return full
    return FilledCall(call.with_slots(angler=fish.angler), (*full.inferred, "angler"))


def in_its_life(now: Now, entry: Entry, at: datetime) -> tuple[datetime, Entry | None]:
    """Return a time kept between the entry before and the entry after it in the life of its fish.

    The second value is the entry that keeps it from the time that was wanted; None where nothing does.
    """
    fish = next((one for one in now.trip.fish if entry.id in one.entries), None)
    if fish is None:
        return at, None
    own = [e for e in now.stood if e.id in fish.entries and e.id != entry.id]
    earlier = [e for e in own if (e.at, e.id) < (entry.at, entry.id)]
    later = [e for e in own if (e.at, e.id) > (entry.at, entry.id)]
    if earlier and at < (last := max(earlier, key=_made)).at:
        return last.at, last
    if later and entry.call.act in BITES and at >= (next_ := min(later, key=_made)).at:
        return next_.at - _A_SECOND, next_
    return at, None


def _made(entry: Entry) -> tuple[datetime, str]:
    return entry.at, entry.id
