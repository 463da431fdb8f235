"""Lures that are lost: with the fish that is on, told twice in one breath, and found again. Pure.

A lure that is called lost while a fish is on its line may have gone with it; told twice, it went with the
line that parted; one that is not lost after all is taken back.
"""

from dataclasses import replace

from bot.calls.phrasing import question
from bot.calls.understand import Option, Understanding, options_with
from bot.tackle.box import same_name
from bot.trip.acts import BREAK_OFF, CLEAR, READY, REWORK, TABLE, UNDO
from bot.trip.call import Call
from bot.trip.lines import line_for, line_with
from bot.trip.lures import agrees
from bot.trip.meant import FoundLure, LostLure, OfLure, meaning
from bot.trip.state import InWater, Trip

SURE = 0.9
"""How sure a lure is found again that is named and was lost; common practice, no source."""


def settle_lost_lure(found: Understanding, trip: Trip) -> Understanding:
    """Return what was understood of a lure that is lost, or found again, as the trip has it."""
    again = meaning(found.meant, FoundLure)
    if again is not None:
        return _found(found, again, trip)
    return _with_its_fish(found, trip)


def _with_its_fish(found: Understanding, trip: Trip) -> Understanding:
    """Return what was understood, asked about where the lure that is lost has a fish on: it went with it."""
    if found.ask is not None or len(found.calls) != 1:
        return found
    call = found.calls[0]
    lost = call.lure if call.act == REWORK and call.meaning(LostLure) is not None else None
    open_ = [fish for fish in trip.fish if fish.was_struck and not fish.is_over]
    on = [fish for fish in open_ for x in _out(trip, lost or "") if fish.line == x.line]
    if len(on) != 1:
        return found
    gone = (Call(BREAK_OFF, on[0].position, side=on[0].side),)
    both = (gone, found.calls)
    asked = f"{call.lure} was bitten. {question(both)}"
    options = tuple(Option(calls, found.confidence / len(both)) for calls in both)
    return replace(found, calls=gone, options=options, ask=asked)


def _found(found: Understanding, again: FoundLure, trip: Trip) -> Understanding:
    """Return the loss of a lure taken back where it was called; else what it is now, without a question."""
    lure = again.lure
    told = [one for one in trip.rigging if one.lure and same_name(one.lure, lure)][-1:]
    if not (told and told[0].lost):
        went = any(same_name(one.lure or "", lure) for one in trip.lost)
        of_it = [c for c in found.calls if c.act in (READY, REWORK) and c.lure == lure]
        sure = went and of_it and len(of_it) == len(found.calls)
        return replace(found, ask=None) if sure else found
    undo = Call(UNDO, of_act=REWORK, meant=(OfLure(lure),))
    was_out = next((x for x in trip.lost if same_name(x.lure or "", lure)), None)
    in_boat = was_out is not None and again.here
    clear = (Call(CLEAR, was_out.position, side=was_out.side),) if was_out and in_boat else ()
    rest = tuple(c for c in found.calls if c.act in (READY, REWORK) and c.lure == lure and c.text)
    calls = (undo, *clear, *rest)
    return replace(found, calls=calls, confidence=max(found.confidence, SURE), ask=None, options=())


def _out(trip: Trip, name: str) -> list[InWater]:
    return [lure for lure in trip.spread.values() if name and same_name(lure.lure or "", name)]


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
