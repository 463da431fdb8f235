"""Whatever was called, in whatever order, there is a report of it, and its parts add up."""

import json

from hypothesis import given, settings, strategies as st

from bot.reports.compose import compose
from bot.reports.forms import report_file
from bot.trip.entry import Record
from tests.reports.days import day_view
from tests.reports.random_trips import records


@settings(max_examples=120, deadline=None)
@given(records(), st.booleans())
def test_any_trip_has_a_report_that_adds_up(made: tuple[Record, ...], positions: bool) -> None:
    view = day_view(made, "19:00")
    report = compose(view, "Driftwood", positions=positions)

    data = json.loads(report_file(report, "json", view.tz))
    assert report_file(report, "md", view.tz)
    assert report_file(report, "html", view.tz)
    strikes = [one for one in report.bites if one.fate != "rose only"]
    # a fish of which no line is known took a line of its own, so each is a strike
    assert sum(1 if one.where else one.count for one in strikes) == report.total.strikes
    for counted in report.tallies:
        if counted.by != "colour":  # a lure in two colours counts for both
            assert sum(row.strikes for row in counted.rows) == report.total.strikes
            if counted.by != "angler":  # nobody has lure-hours of their own
                assert abs(sum(row.hours for row in counted.rows) - report.total.hours) < 0.01
    assert abs(sum(one.hours for one in report.placements) - report.total.hours) < 0.01
    assert sum(one.strikes for one in report.placements) <= report.total.strikes
    caught = sum(one.count for one in report.catches)
    assert caught == report.total.caught == sum(r.kept + r.released for r in report.landed)
    assert data["with_positions"] is positions
    assert positions or report.spots == ()
