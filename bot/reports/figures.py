"""The pictures of a report, drawn from what was true while the lines were in."""

from dataclasses import replace
from datetime import timedelta

from bot.answers.drawing import spread_pictures
from bot.answers.view import View
from bot.reports.blocks import Figure
from bot.trip.fold import fold


def figures(view: View) -> tuple[Figure, ...]:
    """Draw what there is to draw; nothing for a trip on which no lure was laid out."""
    then = while_lines_were_in(view)
    return tuple(
        Figure(picture.data, "The spread when the lines came out, from above")
        for picture in spread_pictures(then)
    )


def while_lines_were_in(view: View) -> View:
    """Give the view of the moment before the last lines out; the view itself where they are in."""
    trip = view.trip
    if trip.is_fishing or not trip.intervals:
        return view
    end = trip.intervals[-1][1]
    if end is None:
        return view
    at = max(trip.intervals[-1][0], end - timedelta(seconds=1))
    return replace(view, trip=fold(view.stood, until=at), now=at)
