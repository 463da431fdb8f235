"""What is to be said unasked at a time, given what was said before. Pure.

While a fish is on nothing is said; what still holds afterwards is said then. After the end of the trip
nothing is. Every reminder has a key: what is among `said` is not said again, in whatever process.
"""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, tzinfo
from typing import Final

from bot.reminders.wanted import Reminders
from bot.replies.amounts import clock, sentence, span_words
from bot.sky.sun import sun_times
from bot.trip.conditions import FORGOTTEN_AFTER
from bot.trip.meant import Reminder
from bot.trip.state import InWater, Remark, Trip

LATE: Final = timedelta(minutes=5)
"""What is said so much later than it was to be says for when it was."""
STILL_OF_USE: Final = timedelta(hours=12)
"""How long after its time a reminder of the day before is still said; common practice, no source."""
EARLIEST_H: Final = 4
"""Hour before which a bare hour of tomorrow is the afternoon's: "tomorrow at two"."""
BEFORE_SUNSET: Final = timedelta(minutes=30)
"""When who asks to be reminded of the sunset hears of it, where the settings say nothing."""


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What is known besides the trip."""

    tz: tzinfo = UTC
    place: tuple[float, float] | None = None
    """Where the boat is, for the sun."""
    placed_at: datetime | None = None
    """When something told last where the boat is; None where nothing ever does."""


@dataclass(frozen=True, slots=True)
class Due:
    """Something to be said now."""

    key: str
    text: str


def due(
    trip: Trip, wanted: Reminders, said: Collection[str], now: datetime, surroundings: Surroundings
) -> tuple[Due, ...]:
    """Return what is to be said now; `said` are the keys of what was said on this trip."""
    if not trip.is_open or trip.last_at is None or now - trip.last_at > FORGOTTEN_AFTER:
        return ()
    if trip.fish_on:
        return ()
    found = [
        one
        for note, asked in reminders_of(trip)
        for one in _of_note(trip, note, asked, wanted, now, surroundings)
    ]
    found += [*_weed(trip, wanted, now), *_out(trip, wanted, now)]
    found += [*_sunset(wanted, now, surroundings), *_no_position(wanted, now, surroundings)]
    return tuple(one for one in found if one.key not in said)


def reminders_of(trip: Trip) -> Iterator[tuple[Remark, Reminder]]:
    """Yield the notes of a trip that ask for a reminder, and what they ask for."""
    for note in trip.notes:
        for one in note.meant:
            if isinstance(one, Reminder):
                yield note, one


def promise(asked: Reminder, said_at: datetime, surroundings: Surroundings) -> str:
    """Return when somebody will be reminded, or what is missing, in words."""
    if asked.out_min is not None:
        if asked.position is None and asked.lure is None:
            return "Of which line, or which lure? Say it again with its name."
        return f"I will say when {out_words(asked)} has been out {span_words(_minutes(asked.out_min))}."
    if asked.every_min is not None:
        paused = " while lines are in" if asked.fishing else ""
        return f"I will say so every {span_words(_minutes(asked.every_min))}{paused}."
    at = due_at(asked, said_at, surroundings.tz)
    if at is not None:
        return f"I will say so at {when_words(at, said_at, surroundings.tz)}."
    if asked.sunset:
        known = surroundings.place is not None
        return "I will say so before sunset." if known else "Where is the boat? Then I will say so."
    if asked.tomorrow:
        return "At what time? Say: remind me tomorrow at 05:30 to buy ice."
    return "When? Say: remind me to check for weed in twenty minutes."


def due_at(asked: Reminder, said_at: datetime, tz: tzinfo) -> datetime | None:
    """Return the time of a reminder that has one: so long after it was said, or by the boat's clock."""
    if asked.after_min is not None:
        return said_at + _minutes(asked.after_min)
    if asked.clock is None:
        return None
    hour, minute = (int(part) for part in asked.clock.split(":"))
    midnight = said_at.astimezone(tz).replace(hour=0, minute=0, second=0, microsecond=0)
    if asked.tomorrow:
        late = not asked.is_exact and 1 <= hour < EARLIEST_H
        return (midnight + timedelta(days=1, hours=hour + 12 * late, minutes=minute)).astimezone(
            UTC
        )
    for ahead in _ahead(hour, asked.is_exact):
        at = midnight.replace(minute=minute) + ahead
        if at > said_at:
            return at.astimezone(UTC)
    return None


def _ahead(hour: int, is_exact: bool) -> Iterator[timedelta]:
    """Yield the hours after midnight that a clock may mean: "at two" said at one p.m. is 14:00."""
    if is_exact or not 1 <= hour <= 12:
        yield timedelta(hours=hour)
        yield timedelta(days=1, hours=hour)
        return
    for halves in range(4):
        yield timedelta(hours=hour % 12 + 12 * halves)


def _minutes(minutes: float) -> timedelta:
    return timedelta(minutes=minutes)


def when_words(at: datetime, said_at: datetime, tz: tzinfo) -> str:
    """Write when a reminder comes, with its day where that is another: `05:30 on Monday`."""
    day = at.astimezone(tz)
    another = day.date() != said_at.astimezone(tz).date()
    return f"{clock(at, tz)} on {day:%A}" if another else clock(at, tz)


def out_words(asked: Reminder) -> str:
    """Write what is to be out for so long: a line, or a lure."""
    line = " ".join(word for word in (asked.side, asked.position) if word)
    return f"the {line}" if line else f"{asked.lure}"


def _is_meant(asked: Reminder, there: InWater) -> bool:
    """Return whether a lure in the water is the one that is to be out for so long."""
    if asked.position is None:
        return asked.lure is not None and asked.lure == there.lure
    return asked.position == there.position and asked.side in (None, there.side)


def of_tomorrow(note: Remark, asked: Reminder, now: datetime, tz: tzinfo) -> Iterator[Due]:
    """Yield what was asked for the day after, in the hours in which it still is of use."""
    at = due_at(asked, note.at, tz)
    if asked.tomorrow and at is not None and at <= now < at + STILL_OF_USE:
        yield Due(_key(note), _timed_words(note, asked, at, now, tz))


def _key(note: Remark) -> str:
    return f"note {note.at:%Y-%m-%dT%H:%M:%S} {note.text}"


def _timed_words(note: Remark, asked: Reminder, at: datetime, now: datetime, tz: tzinfo) -> str:
    late = f" (for {clock(at, tz)})" if now - at > LATE else ""
    return f"{_whom(note)}{late}: {sentence(asked.about)}"


def _whom(note: Remark) -> str:
    return f"Reminder for {note.crew}" if note.crew else "Reminder"


def _of_note(
    trip: Trip,
    note: Remark,
    asked: Reminder,
    wanted: Reminders,
    now: datetime,
    surroundings: Surroundings,
) -> Iterator[Due]:
    key, whom = _key(note), _whom(note)
    at = due_at(asked, note.at, surroundings.tz)
    if asked.tomorrow:
        return
    if asked.out_min is not None:
        for line, lure in trip.in_water.items():
            if _is_meant(asked, lure) and now - lure.since >= _minutes(asked.out_min):
                yield Due(key, f"{whom}: {_been_out(line, lure, now)}")
                return
    elif asked.every_min is not None:
        since = _counted_from(trip, note, asked)
        times = (now - since) // _minutes(asked.every_min) if since is not None else 0
        if times >= 1:
            again = "" if since == note.at else f"{since:%Y-%m-%dT%H:%M:%S} "
            yield Due(f"{key} {again}{times}", f"{whom}: {sentence(asked.about)}")
    elif at is not None and now >= at:
        yield Due(key, _timed_words(note, asked, at, now, surroundings.tz))
    elif asked.sunset:
        before = timedelta(minutes=wanted.sunset_min) or BEFORE_SUNSET
        sunset = _next_sunset(now, surroundings)
        if sunset is not None and sunset - before <= now < sunset:
            yield Due(key, f"{whom}: {_sunset_words(sunset, now, surroundings)}")


def _counted_from(trip: Trip, note: Remark, asked: Reminder) -> datetime | None:
    """Return from when a repeated reminder counts: what wants lines in the water begins anew with them."""
    if not asked.fishing:
        return note.at
    return None if trip.fishing_since is None else max(note.at, trip.fishing_since)


def _weed(trip: Trip, wanted: Reminders, now: datetime) -> Iterator[Due]:
    if not wanted.weed_min or trip.fishing_since is None:
        return
    times = (now - trip.fishing_since) // timedelta(minutes=wanted.weed_min)
    if times >= 1:
        key = f"weed {trip.fishing_since:%Y-%m-%dT%H:%M:%S} {times}"
        yield Due(
            key, f"Check the lures for weed: lines in for {span_words(now - trip.fishing_since)}."
        )


def _out(trip: Trip, wanted: Reminders, now: datetime) -> Iterator[Due]:
    if not wanted.out_h:
        return
    for line, lure in trip.in_water.items():
        if now - lure.since >= timedelta(hours=wanted.out_h):
            yield Due(f"out {line} {lure.since:%Y-%m-%dT%H:%M:%S}", _been_out(line, lure, now))


def _sunset(wanted: Reminders, now: datetime, surroundings: Surroundings) -> Iterator[Due]:
    sunset = _next_sunset(now, surroundings) if wanted.sunset_min else None
    if sunset is not None and sunset - timedelta(minutes=wanted.sunset_min) <= now < sunset:
        day = sunset.astimezone(surroundings.tz).date().isoformat()
        yield Due(f"sunset {day}", _sunset_words(sunset, now, surroundings))


def _no_position(wanted: Reminders, now: datetime, surroundings: Surroundings) -> Iterator[Due]:
    if not wanted.no_position_min or surroundings.placed_at is None:
        return
    silent = now - surroundings.placed_at
    if silent >= timedelta(minutes=wanted.no_position_min):
        key = f"position {surroundings.placed_at:%Y-%m-%dT%H:%M:%S}"
        yield Due(key, f"No position for {span_words(silent)}: entries carry no place.")


def _been_out(line: str, lure: InWater, now: datetime) -> str:
    return sentence(f"the {line}, {lure.label}, has been out {span_words(now - lure.since)}")


def _sunset_words(sunset: datetime, now: datetime, surroundings: Surroundings) -> str:
    return f"Sunset {clock(sunset, surroundings.tz)}, in {span_words(sunset - now)}."


def _next_sunset(now: datetime, surroundings: Surroundings) -> datetime | None:
    if surroundings.place is None:
        return None
    return sun_times(
        *surroundings.place, now.astimezone(surroundings.tz).date(), surroundings.tz
    ).sunset
