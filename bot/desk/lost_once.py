"""A lure that is lost with its fish, told twice in one breath: it went with the line that parted. Pure."""

from dataclasses import replace

from bot.calls.phrasing import question
from bot.calls.understand import Understanding, options_with
from bot.tackle.box import same_name
from bot.trip.acts import REWORK, TABLE
from bot.trip.call import Call
from bot.trip.lines import line_for, line_with
from bot.trip.lures import agrees
from bot.trip.meant import LostLure
from bot.trip.state import InWater, Trip


def lost_once(found: Understanding, trip: Trip) -> Understanding:
    """Return what was understood with "bitten off, lost the hat" as the break-off alone, on that line.

    Readings that come to the same then are one, and not asked about.
    """
    calls = _once(found.calls, trip)
    options = options_with(found.options, lambda calls: _once(calls, trip))
    if calls == found.calls and len(options) == len(found.options):
        return found
    asked = found.ask is not None and (len(options) > 1 or len(found.options) == 1)
    ask = question([one.calls for one in options]) if asked else None
    return replace(found, calls=calls, options=options, ask=ask)


def _once(calls: tuple[Call, ...], trip: Trip) -> tuple[Call, ...]:
    """Return the calls without the lure that is lost, where the break-off beside it loses that one."""
    gone = [n for n, call in enumerate(calls) if TABLE[call.act].loses_lure]
    lost = [n for n, call in enumerate(calls) if _says_lost(call)]
    if len(gone) != 1 or len(lost) != 1:
        return calls
    end, lure = calls[gone[0]], calls[lost[0]]
    placed = end if end.position else _on_its_line(end, lure, trip)
    there = trip.spread.get(line_for(trip.spread, placed.position or "", placed.side))
    if lure.names_lure and (there is None or not agrees(lure, there)):
        return calls
    changed = (placed if n == gone[0] else call for n, call in enumerate(calls) if n != lost[0])
    return tuple(changed)


def _says_lost(call: Call) -> bool:
    return call.act == REWORK and (
        call.meaning(LostLure) is not None or (call.text is None and not call.names_lure)
    )


def _on_its_line(end: Call, lure: Call, trip: Trip) -> Call:
    """Return a break-off on the line of the lure that is lost; as it is where that is on none."""
    named = [key for key, there in trip.spread.items() if _is_named(lure, there)]
    line = named[0] if len(named) == 1 else line_with(trip.spread, lure)
    if line is None or not lure.names_lure:
        return end
    there = trip.spread[line]
    return end.with_slots(position=there.position, side=there.side)


def _is_named(lure: Call, there: InWater) -> bool:
    return bool(lure.lure and there.lure) and same_name(lure.lure or "", there.lure or "")
