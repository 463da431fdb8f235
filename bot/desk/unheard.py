"""A lure that goes out on a line and was not heard: asked for before the one that is there comes in. Pure."""

from bot.answers.view import View
from bot.calls.understand import Understanding
from bot.desk.settle import Act, Doubt
from bot.desk.sided import of_two
from bot.trip.acts import SWAP
from bot.trip.lines import line_for
from bot.trip.lures import is_known

NEVER_TAKEN = 0.0
"""How sure such a call is, so that it is not taken where nobody answers."""


def as_known(settled: Act, found: Understanding, view: View) -> Act | Doubt:
    """Return calls with the line that a side means, or the question which line or lure it is."""
    sided = of_two(settled, found, view)
    return _with_lure(sided, view) if isinstance(sided, Act) else sided


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
