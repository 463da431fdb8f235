"""The pictures of a report, drawn from what was true while the lines were in."""

from dataclasses import replace
from datetime import timedelta
from typing import Final

from bot.answers.asked import Span
from bot.answers.drawing import spread_pictures, stamp, tally_pictures
from bot.answers.view import View
from bot.reports.blocks import Figure, Section
from bot.reports.report import Report
from bot.reports.season import picture_tally
from bot.trip.exposure import By
from bot.trip.fold import fold
from bot.trip.tally import tally

DRAWN_BY: Final[tuple[By, ...]] = ("position", "colour")
"""What rates are drawn by."""
SEASON_DRAWN: Final[tuple[tuple[By, Section], ...]] = (
    ("month", "day"), ("colour", "day"), ("light", "when"),
)  # fmt: skip


def figures(view: View, report: Report) -> tuple[Figure, ...]:
    """Draw what there is to draw, the day at a glance first; places only where the report has them."""
    then = while_lines_were_in(view)
    found = [
        Figure(picture.data, "The spread when the lines came out, from above", "day")
        for picture in spread_pictures(then)
    ]
    track = _track(view, report)
    found += [track] if track is not None else []
    if report.total.strikes:
        found += [_hours(view, "rates" if track is not None else "day")]
        found += [_tally(view, by) for by in DRAWN_BY]
    return tuple(found)


def _track(view: View, report: Report) -> Figure | None:
    if not report.spots and not report.track:
        return None
    from bot.pictures.track_view import ShownSpot, track_picture

    way = [(p.at, ShownSpot(p.latitude, p.longitude)) for p in report.track]
    way += [(s.at, ShownSpot(s.latitude, s.longitude, s.number, s.fish)) for s in report.spots]
    spots = [spot for _, spot in sorted(way, key=lambda one: one[0])]
    alt = "Places of fish and marks by their numbers, and the way between what is known"
    return Figure(track_picture(spots, stamp=stamp(view)), alt, "day")


def season_figures(view: View, span: Span) -> tuple[Figure, ...]:
    """Draw what several trips brought by month, by light and by colour."""
    found = []
    for by, section in SEASON_DRAWN:
        for picture in tally_pictures(
            view, picture_tally(view, span, by), span.label or "this trip"
        ):
            alt = f"Strikes in ten lure-hours by {by}, with how sure that is"
            found.append(Figure(picture.data, alt, section))
    return tuple(found)


def _hours(view: View, section: Section) -> Figure:
    (picture,) = tally_pictures(view, tally((view.trip,), "hour", view.now, view.tz), "this trip")
    alt = "Strikes hour by hour, and the lure-hours in which they came"
    return Figure(picture.data, alt, section)


def _tally(view: View, by: By) -> Figure:
    (picture,) = tally_pictures(view, tally((view.trip,), by, view.now, view.tz), "this trip")
    return Figure(
        picture.data, f"Strikes in ten lure-hours by {by}, with how sure that is", "rates"
    )


def while_lines_were_in(view: View) -> View:
    """Return the view of the moment before the last lines out; the view itself where they are in."""
    trip = view.trip
    if trip.is_fishing or not trip.intervals:
        return view
    end = trip.intervals[-1][1]
    if end is None:
        return view
    at = max(trip.intervals[-1][0], end - timedelta(seconds=1))
    return replace(view, trip=fold(view.stood, until=at), now=at)
