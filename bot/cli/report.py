"""`report`: one trip on paper, in the form that is asked for."""

import sys
from dataclasses import replace
from datetime import UTC, datetime

from bot.cli.options import Arguments
from bot.cli.shown import put_file
from bot.errors import DeckcallError
from bot.settings import Settings


def report(args: Arguments, found: Settings) -> int:
    """Write the report of a trip to standard output, or to a file."""
    from bot.fittings import boat_of
    from bot.logbook.store import Logbook
    from bot.logbook.track import track_of
    from bot.reports.compose import compose
    from bot.reports.forms import form_of, written
    from bot.reports.gather import boat_named, trip_named, view_of

    form = "json" if args.json else args.format or form_of(args.out)
    if form == "pdf" and args.out is None and sys.stdout.isatty():
        raise DeckcallError("a PDF is nothing for a terminal; name a file with --out")
    now, zone = datetime.now(UTC), found.boat.zone
    with Logbook.open(found.home) as logbook:
        trip = trip_named(logbook, args.trip or args.of_trip)
        view = view_of(logbook, trip, boat_of(found), zone, now)
        view = replace(view, place=found.boat.place)
        boat = boat_named(logbook, trip, found.boat.name)
        track = track_of(logbook, trip) if args.positions else ()
        made = compose(view, boat, positions=args.positions, track=track)
        put_file(written(made, form, zone, view, now), args.out)
    return 0
