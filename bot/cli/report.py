"""`report`: one trip on paper, in the form that is asked for."""

import sys
from dataclasses import replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from bot.cli.options import Arguments
from bot.cli.outfile import out_file
from bot.errors import DeckcallError
from bot.settings import Settings

if TYPE_CHECKING:
    from bot.reports.forms import ReportForm


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
    out = out_file(args.out, args, found)
    if args.span:
        if args.trip or args.of_trip:
            raise DeckcallError("a report is of one trip or of a --span of them; leave one out")
        out.put(_of_several(args, form, found))
        return 0
    now, zone = datetime.now(UTC), found.boat.zone
    with Logbook.open(found.home) as logbook:
        trip = trip_named(logbook, args.trip or args.of_trip)
        view = view_of(logbook, trip, boat_of(found), zone, now)
        view = replace(view, place=found.boat.place)
        boat = boat_named(logbook, trip, found.boat.name)
        track = track_of(logbook, trip) if args.positions else ()
        made = compose(view, boat, positions=args.positions, track=track)
        out.put(written(made, form, zone, view, now))
    return 0


def _of_several(args: Arguments, form: "ReportForm", found: Settings) -> bytes:
    """Return the report of the trips of a span."""
    from bot.answers.asked import span_named, trips_in
    from bot.build import open_view
    from bot.reports.forms import season_written
    from bot.reports.season import season

    with open_view(found) as view:
        span = span_named(view, args.span)
        if span is None or not trips_in(view, span):
            raise DeckcallError(f"no trip of that span ({args.span}); deckcall trips shows them")
        made = season(view, span, found.boat.name, positions=args.positions)
        return season_written(made, form, view, span, datetime.now(UTC))
