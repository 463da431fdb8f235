"""What a report is made from, out of the log: one trip as it was, with the trips before it."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, tzinfo
from typing import Final

from bot.answers.view import Past, View
from bot.errors import LogbookError
from bot.logbook.store import Logbook, TripRow
from bot.logbook.trays import made_trays, tray_entries
from bot.tackle.items import Boat
from bot.trip.entry import Record
from bot.trip.fold import fold
from bot.trip.history import standing_entries
from bot.trip.memory import Now

MOST_EARLIER: Final = 40
"""Earlier trips that are looked at for how lures stand; as many as the answers of the chat look at."""


def named_trip(logbook: Logbook, said: str | None) -> str:
    """Return the trip that is meant; a part of its name that fits one will do, and none means the latest.

    Raises LogbookError.
    """
    if said is None:
        latest = logbook.latest_trip() or logbook.last_trip()
        if latest is not None:
            return latest
        others = max(logbook.trips(), key=lambda row: (row.first_at, row.id), default=None)
        if others is None:
            raise LogbookError("the log holds no trip yet; start one with deckcall chat")
        return others.id
    known = [row.id for row in logbook.trips()]
    fits = [said] if said in known else [name for name in known if said and said in name]
    if len(fits) != 1:
        why = f"{len(fits)} trips fit" if fits else "no trip"
        raise LogbookError(f'{why} "{said}" in the log; deckcall trips shows what there is')
    return fits[0]


def named_boat(logbook: Logbook, trip: str, own: str) -> str:
    """Return the name of the boat that a trip was logged on."""
    boat = next((row.boat for row in logbook.trips() if row.id == trip), None)
    return own if boat is None else boat


def view_of(logbook: Logbook, trip: str, boat: Boat, tz: tzinfo, now: datetime) -> View:
    """Return the view of a trip of the log, whether or not it is the latest; the past ends where it began."""
    records = logbook.records(trip)
    then = Now.after(records)
    earlier = _before(logbook.trips(), trip)
    return View(
        replace(then.trip, id=trip),
        now,
        records,
        then.stood,
        replace(boat, name=named_boat(logbook, trip, boat.name)),
        logbook.lures(),
        logbook.imported_at(),
        tz,
        Past(lambda: tuple(fold(standing_entries(kept)) for kept in _all(logbook, earlier))),
        load_trays=lambda: (made_trays(logbook), tray_entries(logbook)),
    )


def _before(rows: Sequence[TripRow], trip: str) -> Sequence[str]:
    """Return the trips of the same boat that were begun before, oldest first."""
    own = next(row for row in rows if row.id == trip)
    before = [row for row in rows if row.boat == own.boat and row.first_at < own.first_at]
    return [row.id for row in sorted(before, key=lambda row: row.first_at)][-MOST_EARLIER:]


def _all(logbook: Logbook, names: Sequence[str]) -> list[tuple[Record, ...]]:
    return [logbook.records(name) for name in names]
