"""What hung on a line up to a time: "the long corner had grandma's quilt till 10:51". Pure.

Nothing went out then: what is said puts right which lure it was.
"""

from bot.calls.clock import clocks_at
from bot.calls.meant.reader import Line
from bot.trip.acts import AMEND, SET
from bot.trip.call import Call

_TABLE = "hung_until"


def until_calls(line: Line) -> tuple[Call, ...]:
    """Return the correction that a line is, where every word of it is accounted for; else none."""
    until = line.first(_TABLE, "until")
    places = [s for s in line.of("position") if s.cost == 0.0]
    lures = [s for s in line.of("name") if s.cost == 0.0]
    if until is None or len(places) != 1 or len(lures) != 1:
        return ()
    times = [c for c in clocks_at(line.lattice, until.end) if c.end == line.lattice.size]
    had = [s for s in line.signs if s.table == _TABLE and s.end <= until.end]
    known = {n for s in (until, *places, *lures, *had) for n in range(s.start, s.end)}
    if not times or not any(s.name == "had" for s in had) or len(known) < until.end:
        return ()
    place, lure = places[0].name, lures[0].name
    return (Call(AMEND, lure=lure, of_act=SET, of_position=place),)
