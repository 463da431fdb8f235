"""What a desk says unasked: found by `reminders`, given once to each channel."""

from collections.abc import Collection
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Final

from bot.answers.last_time import last_time_here
from bot.answers.view import View
from bot.logbook.reminded import claim, reminded_keys, trips_with_promises
from bot.logbook.store import Logbook
from bot.logbook.track import last_fix
from bot.reminders.due import Due, Surroundings, due, of_tomorrow, reminders_of
from bot.settings import Settings
from bot.stamps import Fix
from bot.trip.entry import Entry
from bot.trip.history import void_ids
from bot.trip.meant import Reminder
from bot.trip.state import Remark

LAST_TIME: Final = "last time "
"""Beginning of the keys under which places are noted as told."""
LAST_TRIPS: Final = 3
"""Number of the latest trips whose reminders for the day after are looked at."""
STILL_HERE: Final = timedelta(minutes=5)
"""Age beyond which a place no longer says where the boat is: it may be half a mile off (our estimate)."""


def claim_due(
    log: Logbook, view: View, settings: Settings, channel: str, fix: Fix | None
) -> tuple[str, ...]:
    """Return what is due now on a channel and note it as said; raises LogbookError.

    What is given here is not given again, even where the caller fails before it is said.
    """
    trip = view.trip
    promised = () if trip.fish_on else _of_tomorrow(log, view, channel)
    if not trip.is_open:
        return promised
    surroundings = surroundings_of(log, view, settings, fix)
    if not settings.reminders.any and next(reminders_of(trip), None) is None:
        return promised
    said = reminded_keys(log, trip.id, channel)
    found = due(trip, settings.reminders, said, view.now, surroundings)
    if settings.reminders.last_time_here:
        found += _last_time(view, surroundings, said)
    now = (one.text for one in found if claim(log, trip.id, channel, one.key, view.now))
    return (*promised, *now)


def _of_tomorrow(log: Logbook, view: View, channel: str) -> tuple[str, ...]:
    """Return what was asked for the day after and is due, on whichever of the last trips it was said."""
    told = []
    for trip in trips_with_promises(log, LAST_TRIPS):
        records = log.records(trip)
        void = void_ids(records)
        for one in records:
            asked = one.call.meaning(Reminder) if isinstance(one, Entry) else None
            if not isinstance(one, Entry) or asked is None or one.id in void:
                continue
            note = Remark(one.at, one.id, one.call.text or "", one.crew)
            for due_now in of_tomorrow(note, asked, view.now, view.tz):
                if claim(log, trip, channel, due_now.key, view.now):
                    told.append(due_now.text)
    return tuple(told)


def _last_time(view: View, surroundings: Surroundings, said: Collection[str]) -> tuple[Due, ...]:
    """Return what bit here last time, where the place is known well enough."""
    if surroundings.placed_at is None or view.now - surroundings.placed_at > STILL_HERE:
        return ()
    told = {key.removeprefix(LAST_TIME) for key in said if key.startswith(LAST_TIME)}
    found = last_time_here(replace(view, here=surroundings.place), told)
    return () if found is None else (Due(LAST_TIME + found.key, found.text),)


def surroundings_of(log: Logbook, view: View, settings: Settings, fix: Fix | None) -> Surroundings:
    """Return what reminders need besides the trip; `fix` is what is measured now."""
    trip = view.trip
    entry = next((one for one in reversed(view.stood) if one.place is not None), None)
    last = last_fix(log)
    known: list[tuple[datetime, tuple[float, float]]] = []
    for at, place in (
        (view.now, fix.place if fix else None),
        (last.at if last else view.now, last.place if last else None),
        (entry.at if entry else view.now, entry.place if entry else None),
    ):
        if place is not None and at <= view.now:
            known.append((at, place))
    newest = max(known, default=None)
    begun = trip.first_at or view.now
    of_trip = newest is not None and newest[0] >= begun
    placed_at = newest[0] if newest and of_trip else begun if settings.instruments.kind else None
    place = newest[1] if newest and of_trip else view.place
    return Surroundings(view.tz, place, placed_at)
