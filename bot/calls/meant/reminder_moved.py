"""That a kept reminder gets another time: "push lunch back half an hour", "move lunch to one". Pure.

Whether there is such a reminder is not known here.
"""

from typing import Final, NamedTuple

from bot.calls.clock import clocks_at
from bot.calls.meant.reader import Line, Reader
from bot.calls.meant.reminder import bare, span_at

_TABLE: Final = "moved_reminder"


class NewTime(NamedTuple):
    """What a reminder is about, and its new time."""

    about: str
    later_min: float | None = None
    """Minutes later than it was to be; below 0 for sooner."""
    clock: str | None = None
    """`HH:MM` of the boat's own time."""


def moved_in(text: str, reader: Reader) -> NewTime | None:
    """Return which reminder a line would move, and to when; None for any other line."""
    line = reader.line(text)
    opens = line.at(0, _TABLE, "opens")
    if opens is None:
        return None
    for start in range(opens.end + 1, line.lattice.size):
        found = _to(line, start) or _by(line, start)
        if found is not None:
            said = line.text[line.tokens[opens.end - 1].end : line.tokens[start].start]
            about = bare(said, reader, "reminder", "cancel")
            return found._replace(about=about) if about else None
    return None


def _to(line: Line, start: int) -> NewTime | None:
    """Return the new time of day that is said from a word on to the end."""
    until = line.at(start, _TABLE, "until")
    if until is None or until.end >= line.lattice.size:
        return None
    clocks = [c for c in clocks_at(line.lattice, until.end) if c.end == line.lattice.size]
    best = min(clocks, key=lambda one: one.cost, default=None)
    return NewTime("", clock=best.clock) if best is not None else None


def _by(line: Line, start: int) -> NewTime | None:
    """Return by how much it is moved, said from a word on to the end: "back half an hour"."""
    way = line.at(start, _TABLE, "way")
    span = span_at(line, way.end if way is not None else start)
    if span is None:
        return None
    minutes, end = span
    behind = line.at(end, _TABLE, "way") if way is None and end < line.lattice.size else None
    told = way or behind
    if told is None or (behind.end if behind is not None else end) != line.lattice.size:
        return None
    sooner = line.at(told.start, _TABLE, "sooner") is not None
    return NewTime("", later_min=-minutes if sooner else minutes)
