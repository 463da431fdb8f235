"""That a plan on offer is to go out: "set it", "06:40 set it", "set it at quarter past six". Pure."""

import re
from typing import Final

from bot.calls.clock import Clock, clocks_at
from bot.calls.meant.reader import Line, Reader
from bot.trip.meant import SetsPlan

_TABLE: Final = "sets_plan"
_DOTTED: Final = re.compile(r"^(\s*(?:\w+\s+)?(?:[01]?\d|2[0-3]))\.(?=[0-5]\d\b(?!\.))")
"""A time at the start of a line that is typed with a dot: "6.40", "at 6.40"."""


def sets_plan(text: str, reader: Reader) -> SetsPlan | None:
    """Return that a line only says that a plan is to be set, and at what time; None for any other line."""
    line = reader.line(_DOTTED.sub(r"\1:", text))
    size = line.lattice.size
    for at, clock in ((0, None), *((c.end, c) for c in _times(line, 0))):
        for name in ("plan", "spread"):
            said = line.at(at, _TABLE, name) if at < size else None
            if said is None or said.cost > 0.0:
                continue
            times = [c for c in _times(line, said.end) if c.end == size]
            if said.end == size or (times and clock is None):
                time = times[0] if times else clock
                return SetsPlan(time.clock if time else None, name == "spread")
    return None


def words_of_time(line: Line) -> range:
    """Return the words at the start of a line that only say what time it is."""
    dotted = _DOTTED.match(line.text)
    typed = sum(token.start < dotted.end() for token in line.tokens) if dotted else 0
    return range(max([typed, *(c.end for c in _times(line, 0))]))


def _times(line: Line, at: int) -> list[Clock]:
    """Return the times of day that are said from a word on, with "at" before them, the longest first."""
    led = line.at(at, _TABLE, "led") if at < line.lattice.size else None
    start = led.end if led is not None else at
    if start >= line.lattice.size:
        return []
    found = [c for c in clocks_at(line.lattice, start) if led is not None or not c.hour]
    return sorted(found, key=lambda c: (-c.end, c.cost))
