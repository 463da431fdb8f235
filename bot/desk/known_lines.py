"""Lines that the boat has not: asked about, or refused where it names its lines itself. Pure."""

from collections.abc import Sequence
from dataclasses import replace

from bot.calls.completed_ways import lacking
from bot.calls.phrasing import question
from bot.calls.understand import Option, Understanding
from bot.trip.acts import FISH_ACTS, LAYING
from bot.trip.call import Call
from bot.trip.state import Trip


def known_lines(found: Understanding, trip: Trip, positions: Sequence[str]) -> Understanding:
    """Return what was understood, asked about where a lure goes out on a line that the boat has not.

    A boat with names of its own has no other line: a fish is logged without one, anything else is refused.
    """
    known = {*positions, *(lure.position for lure in trip.spread.values())}
    if lacks := lacking(positions) - known:
        return _on_no_line(found, lacks, positions)
    odd = [
        call.position
        for call in found.calls
        if call.act in LAYING and call.position is not None and call.position not in known
    ]
    if found.ask is not None or not odd:
        return found
    asked = f"This boat has no {odd[0]} ({', '.join(positions)}). {question([found.calls])}"
    return replace(found, ask=asked, options=(Option(found.calls, found.confidence),))


def _on_no_line(
    found: Understanding, lacks: frozenset[str], positions: Sequence[str]
) -> Understanding:
    """Return what was understood without usual lines that the boat has not."""
    odd = next((c.position for c in found.calls if c.position in lacks), None)
    if odd is not None and any(c.position in lacks and c.act not in FISH_ACTS for c in found.calls):
        text = f"This boat has no {odd}. Its lines: {', '.join(positions)}."
        return replace(found, calls=(), ask=None, options=(), refusal=text)

    def bare(calls: tuple[Call, ...]) -> tuple[Call, ...]:
        return tuple(c.with_slots(position=None) if c.position in lacks else c for c in calls)

    fits = [
        o
        for o in found.options
        if all(c.act in FISH_ACTS or c.position not in lacks for c in o.calls)
    ]
    options = tuple(replace(one, calls=bare(one.calls)) for one in fits)
    calls = bare(found.calls)
    if calls == found.calls and options == found.options:
        return found
    ask = question([one.calls for one in options] or [calls]) if found.ask is not None else None
    return replace(found, calls=calls, options=options, ask=ask)
