"""A line that takes an entry further back out of the log, and which one. Pure.

    scratch the 12:01 strike            the miss at eight forty never happened
    delete the last strike              there was no raise on the shotgun

Every word of the line must be accounted for; what is left over makes it another line.
"""

from typing import Final, cast

from bot.calls.clock import Clock, clocks_at
from bot.calls.meant.reader import Line
from bot.calls.meant.signs import Sign
from bot.trip.acts import UNDO, Act
from bot.trip.call import Call

_ENTRY: Final = "entry"
"""Name of the sign that stands for any act: "the 12:01 entry"."""
_TABLE: Final = "taken_out"


def undone_calls(line: Line) -> tuple[Call, ...]:
    """Return the undo that a line is, with what names its entry; none where the line is no such thing."""
    if not line.tokens:
        return ()
    opens = line.at(0, _TABLE, "opens")
    maybe = line.at(0, _TABLE, "maybe")
    ends = [s for s in line.signs if s[:2] == (_TABLE, "ends") and s.end == line.lattice.size]
    first = max((sign.end for sign in (opens, maybe) if sign is not None), default=0)
    if not (opens or maybe or ends):
        return ()
    acts, places, fish = (
        [s for s in line.of(table) if s.start >= first]
        for table in ("taken_act", "position", "species")
    )
    clock = _clock(line, first)
    named = bool(clock or places or fish)
    several = len(acts) > 1 and not named
    if max(len(places), len(fish), 1 if several else len(acts)) > 1 or not (acts or fish):
        return ()
    name = acts[0].name if acts else _ENTRY
    if name == _ENTRY and not (named and (opens or ends)):
        return ()
    used = [*acts, *places, *fish, *line.of("side"), *(s for s in line.signs if s.table == _TABLE)]
    known = {n for sign in used for n in range(sign.start, sign.end)}
    if clock is not None:
        known |= set(range(clock[0], clock[1].end))
    if len(known) < line.lattice.size:
        return ()
    if several:
        return tuple(Call(UNDO, of_act=cast("Act", sign.name)) for sign in acts)
    call = Call(
        UNDO,
        of_act=None if name == _ENTRY else cast("Act", name),
        of_clock=clock[1].clock if clock is not None else None,
        of_position=_name(places),
        of_species=_name(fish),
    )
    return (call,)


def _name(signs: list[Sign]) -> str | None:
    return signs[0].name if signs else None


def _clock(line: Line, first: int) -> tuple[int, Clock] | None:
    """Return the longest time of day from a word on, and the word at which it begins."""
    found = [
        (start, one)
        for start in range(first, line.lattice.size)
        for one in clocks_at(line.lattice, start)
    ]
    return max(found, key=lambda each: each[1].end - each[0], default=None)
