"""The report of one trip as a file, made from the log of a boat."""

from dataclasses import replace
from datetime import datetime

from bot.fittings import boat_of
from bot.logbook.store import Logbook
from bot.logbook.track import track_of
from bot.reports.compose import compose
from bot.reports.forms import ReportForm, report_file
from bot.reports.gather import named_boat, named_trip, view_of
from bot.settings import Settings


def trip_on_paper(
    found: Settings, trip: str | None, form: ReportForm, now: datetime, positions: bool = False
) -> bytes:
    """Return the report of a trip, of the latest where none is named; raises LogbookError."""
    zone = found.boat.zone
    with Logbook.open(found.home) as logbook:
        name = named_trip(logbook, trip)
        view = replace(view_of(logbook, name, boat_of(found), zone, now), place=found.boat.place)
        boat = named_boat(logbook, name, found.boat.name)
        track = track_of(logbook, name) if positions else ()
        made = compose(view, boat, positions=positions, track=track)
        return report_file(made, form, zone, view, now)
