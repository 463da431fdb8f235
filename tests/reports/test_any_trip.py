"""Whatever was called, in whatever order, there is a report of it, and its parts add up."""

import json
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from bot.messages import Advice
from bot.reports.compose import compose
from bot.reports.forms import written
from bot.trip.call import POSITIONS
from bot.trip.entry import Advised, Entry, Record
from bot.trip.history import in_order
from tests.builders import at, entry
from tests.reports.days import day_view

ACTS = (
    "trip_start", "trip_end", "lines_in", "lines_out", "set", "swap", "clear", "raise", "strike",
    "hookup", "miss", "pulled_hook", "break_off", "boat", "release", "sighting", "mark", "note",
    "speed", "ready", "rework",
)  # fmt: skip
LURES = ("", "purple 8", "@Tea Cosy", "@Milk Jug", "red 6")
_LURED = frozenset({"set", "swap", "raise", "strike", "hookup", "ready", "rework"})
_FISH = frozenset({"boat", "release", "raise", "strike", "hookup"})
_PLACED = frozenset(ACTS[4:15])


@st.composite
def records(draw: st.DrawFn) -> tuple[Record, ...]:
    made: list[Entry] = []
    said: list[Record] = []
    for number in range(draw(st.integers(0, 25))):
        act = draw(st.sampled_from(ACTS))
        minute = draw(st.integers(0, 12 * 60))
        clock = f"{6 + minute // 60:02d}:{minute % 60:02d}"
        position = draw(st.sampled_from((None, *POSITIONS[:3]))) if act in _PLACED else None
        lure = draw(st.sampled_from(LURES)) if act in _LURED else ""
        slots: dict[str, Any] = {}
        if act in _FISH and draw(st.booleans()):
            slots |= {"species": draw(st.sampled_from(("wahoo", "blue marlin"))), "count": 2}
        if draw(st.booleans()):
            slots |= {"latitude": draw(st.floats(-90, 90)), "longitude": draw(st.floats(-180, 180))}
        if act == "speed":
            slots["speed_kn"] = 8.0
        made.append(entry(clock, act, position, lure, **slots))
        if draw(st.integers(0, 4)) == 0:
            advice = Advice(POSITIONS[0], "Tea Cosy", "why", 0.8, 0.1)
            said.append(Advised(f"{number:08x}", advice, at(clock)))
    return (*in_order(made), *said)


@settings(max_examples=120, deadline=None)
@given(records(), st.booleans())
def test_any_trip_has_a_report_that_adds_up(made: tuple[Record, ...], positions: bool) -> None:
    view = day_view(made, "19:00")
    report = compose(view, "Driftwood", positions=positions)

    data = json.loads(written(report, "json", view.tz))
    assert written(report, "md", view.tz)
    assert written(report, "html", view.tz)
    strikes = [one for one in report.bites if one.fate != "rose only"]
    # a fish of which no line is known took a line of its own, so each is a strike
    assert sum(1 if one.where else one.count for one in strikes) == report.total.strikes
    for counted in report.tallies:
        if counted.by != "colour":  # a lure in two colours counts for both
            assert sum(row.strikes for row in counted.rows) == report.total.strikes
            assert abs(sum(row.hours for row in counted.rows) - report.total.hours) < 0.01
    assert abs(sum(one.hours for one in report.placements) - report.total.hours) < 0.01
    assert sum(one.strikes for one in report.placements) <= report.total.strikes
    caught = sum(one.count for one in report.catches)
    assert caught == report.total.caught == sum(r.kept + r.released for r in report.landed)
    assert data["with_positions"] is positions
    assert positions or report.spots == ()
