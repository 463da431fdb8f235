"""A line that takes an entry further back out of the log, and which one. Pure.

    scratch the 12:01 strike            the miss at eight forty never happened
    delete the last strike              there was no raise on the shotgun
    take back the second sailfish, only one was let go

Every word of the line must be accounted for; what is left over makes it another line.
"""

from typing import Final, cast

from bot.calls.meant.reader import Line, Reader, only_with
from bot.calls.meant.signs import Sign
from bot.calls.times import Clock, clocks_at
from bot.trip.acts import UNDO, Act
from bot.trip.call import Call
from bot.trip.meant import Meaning, OfThese, OfYesterday

_ENTRY: Final = "entry"
"""Name of the sign that stands for any act: "the 12:01 entry"."""
_TABLE: Final = "taken_out"


@only_with(_TABLE, otherwise=())
def undone_calls(line: Line) -> tuple[Call, ...]:
    """Return the undo that a line is, with what names its entry; none where the line is no such thing."""
    if not line.tokens:
        return ()
    order = _order(line)
    yesterday = line.first(_TABLE, "yesterday")
    opens = line.at(0, _TABLE, "opens") or (
        line.at(0, _TABLE, "counted") if order or yesterday else None
    )
    maybe = line.at(0, _TABLE, "maybe")
    ends = [s for s in line.signs if s[:2] == (_TABLE, "ends") and s.end == line.lattice.size]
    first = max((sign.end for sign in (opens, maybe) if sign is not None), default=0)
    if not (opens or maybe or ends):
        return ()
    acts, places, fish = (
        [s for s in line.of(table) if s.start >= first]
        for table in ("taken_act", "position", "species")
    )
    beside = _beside(line)
    tails = [sign.start for sign in beside if sign.name == "tail"]
    clock = _clock(line, first, min(tails, default=line.lattice.size))
    named = bool(clock or places or fish)
    several = len(acts) > 1 and not named
    if max(len(places), len(fish), 1 if several else len(acts)) > 1 or not (acts or fish):
        return ()
    name = acts[0].name if acts else _ENTRY
    if name == _ENTRY and not (named and (opens or ends)):
        return ()
    used = [*acts, *places, *fish, *line.of("side"), *order, *beside]
    known = {n for sign in used for n in range(sign.start, sign.end)}
    if clock is not None:
        known |= set(range(clock[0], clock[1].end))
    if len(known) < line.lattice.size:
        return ()
    if several:
        return tuple(Call(UNDO, of_act=cast("Act", sign.name)) for sign in acts)
    meant: list[Meaning] = [OfThese(int(sign.name)) for sign in order]
    meant += [OfYesterday()] if yesterday is not None else []
    call = Call(
        UNDO,
        of_act=None if name == _ENTRY else cast("Act", name),
        of_clock=clock[1].clock if clock is not None else None,
        of_position=_name(places),
        of_species=_name(fish),
        meant=tuple(meant),
    )
    return (call,)


def without_yesterday(text: str, reader: Reader) -> str:
    """Return a line without its word that it is about yesterday; empty where it has none."""
    line = reader.line(text)
    found = line.first(_TABLE, "yesterday")
    if found is None or found.cost > 0.0:
        return ""
    return line.without(found.start, found.end).strip()


def _beside(line: Line) -> list[Sign]:
    """Return the signs of the line that name nothing; a reason only behind a stop."""
    found = [s for s in line.signs if s.table == _TABLE]
    return [s for s in found if s.name != "tail" or line.tokens[s.start].stop]


def _order(line: Line) -> list[Sign]:
    """Return the ordinal of "the second sailfish", in a list; none where nothing countable follows."""
    after = {s.start for s in line.signs if s.table in ("species", "taken_act")}
    return [s for s in line.of("ordinal") if s.end in after][:1]


def _name(signs: list[Sign]) -> str | None:
    return signs[0].name if signs else None


def _clock(line: Line, first: int, end: int) -> tuple[int, Clock] | None:
    """Return the longest time of day between two words, and the word at which it begins.

    A bare number is an hour where "at" stands before it: in "scratch that one" it is none.
    """
    found = [
        (start, one)
        for start in range(first, end)
        for one in clocks_at(line.lattice, start)
        if not one.hour or line.at(start - 1, _TABLE, "at_hour") is not None
    ]
    return max(found, key=lambda each: each[1].end - each[0], default=None)
