"""A lure that goes out on a line and was not heard: asked for before the one that is there comes in. Pure."""

from dataclasses import replace

from bot.answers.view import View
from bot.calls.reader.labels import CLEARED
from bot.calls.understand import Understanding
from bot.desk.settle import Act, Doubt
from bot.desk.sided import of_two
from bot.trip.acts import SET, SWAP
from bot.trip.lines import line_for
from bot.trip.lures import is_known

NEVER_TAKEN = 0.0
"""How sure such a call is, so that it is not taken where nobody answers."""


def as_known(settled: Act, found: Understanding, view: View) -> Act | Doubt:
    """Return calls with the line that a side means, or the question which line or lure it is."""
    sided = of_two(_back_out(settled, view), found, view)
    return _with_lure(sided, view) if isinstance(sided, Act) else sided


def _back_out(settled: Act, view: View) -> Act:
    """Return "weed on the gun, cleared it, back out" with the line and the lure that go out again.

    A lure that is named goes out on the line that came in.
    """
    calls = list(settled.calls)
    for n, call in enumerate(calls):
        at = next((i for i in reversed(range(n)) if calls[i].act == CLEARED), None)
        if call.act != SET or call.position or at is None:
            continue
        came = calls[at]
        line = line_for(view.trip.spread, came.position or "", came.side)
        there = None if call.names_lure else view.trip.spread.get(line)
        if there is None and not call.names_lure:
            continue
        call = call.with_slots(position=came.position, side=came.side)
        if there is not None:
            call = call.with_slots(lure=there.lure, size_in=there.size_in, colours=there.colours)
        calls[n] = call
        if came.clock is None and came.ago_min is None:
            calls[at] = came.with_slots(clock=call.clock, ago_min=call.ago_min)
    return replace(settled, calls=tuple(calls))


def _with_lure(settled: Act, view: View) -> Act | Doubt:
    """Return the question which lure it is, where a swap would put an unknown one in place of another."""
    call = settled.calls[0] if len(settled.calls) == 1 else None
    if call is None or call.act != SWAP or call.position is None or call.names_lure:
        return settled
    there = view.trip.spread.get(line_for(view.trip.spread, call.position, call.side))
    if there is None or not is_known(there):
        return settled
    asked = f"Which lure goes out on the {call.position}? {there.label} stays till then."
    return Doubt(asked, (settled.calls,), NEVER_TAKEN, settled.answers)
