"""`report`: one trip on paper, in the form that is asked for."""

import sys
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
    from bot.desk.on_paper import trip_on_paper
    from bot.reports.forms import form_of

    form = "json" if args.json else args.format or form_of(args.out)
    if form == "pdf" and args.out is None and sys.stdout.isatty():
        raise DeckcallError("a PDF is nothing for a terminal; name a file with --out")
    out = out_file(args.out, args, found)
    if args.span:
        if args.trip or args.of_trip:
            raise DeckcallError("a report is of one trip or of a --span of them; leave one out")
        out.put(_of_several(args, form, found))
        return 0
    trip = args.trip or args.of_trip
    out.put(trip_on_paper(found, trip, form, datetime.now(UTC), args.positions))
    return 0


def _of_several(args: Arguments, form: "ReportForm", found: Settings) -> bytes:
    """Return the report of the trips of a span."""
    from bot.answers.asked import named_span, trips_in
    from bot.build import open_view
    from bot.reports.forms import write_season
    from bot.reports.season import season

    with open_view(found) as view:
        span = named_span(view, args.span)
        if span is None or not trips_in(view, span):
            raise DeckcallError(f"no trip of that span ({args.span}); deckcall trips shows them")
        made = season(view, span, found.boat.name, positions=args.positions)
        return write_season(made, form, view, span, datetime.now(UTC))
