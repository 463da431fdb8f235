"""The drags as read off a scale: the answer to "what's the drag on the riggers", and their use. Pure."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import timedelta
from itertools import chain
from typing import Final

from bot.answers.answer import Answer
from bot.answers.view import View
from bot.replies.amounts import clock, sentence, span_words
from bot.tackle.cautions import caution
from bot.tackle.items import Boat, Outfit
from bot.trip.call import Call
from bot.trip.state import DragReading

OLD: Final = timedelta(hours=6)
"""Age beyond which a reading is called old: drags change with heat and wear (common practice, no source)."""


def use_scale_drags(boat: Boat, drags: Iterable[DragReading]) -> Boat:
    """Return the boat with the drags read off a scale in place of those of the settings."""
    read = {one.position: one.drag_kg for one in drags if one.position is not None}
    outfits = tuple(_with_drag(one, read.get(one.position)) for one in boat.outfits)
    return replace(boat, outfits=outfits) if outfits != boat.outfits else boat


def _with_drag(outfit: Outfit, drag_kg: float | None) -> Outfit:
    if drag_kg is None or not 0.1 <= drag_kg < outfit.line_class_kg:
        return outfit
    return replace(outfit, strike_drag_kg=drag_kg)


def asked_drag(view: View, call: Call) -> Answer:
    """Answer with the last reading of each rod, or of the one asked for; then with the usual caution.

    Where no rod is named the rods that have a fish on come first.
    """
    on = (
        dict.fromkeys(f.position for f in view.trip.fish_on if f.position)
        if not call.position
        else {}
    )
    asked = [call.with_slots(position=line) for line in on] or [call]
    lines = [line for one in asked for line in _of_rod(view, one)]
    if on:
        lines += [
            _line(view, line, x) for line, x in _latest(view, call).items() if x.position not in on
        ]
    shown = [] if view.said(caution("drag")) else [caution("drag")]
    return Answer("\n".join([*lines, *shown]), lines[0])


def _of_rod(view: View, call: Call) -> list[str]:
    """Return the last reading of the rod asked for, or of each; else what the settings have."""
    if lines := [_line(view, line, one) for line, one in _latest(view, call).items()]:
        return lines
    where = f" on the {call.position}" if call.position else ""
    return [f"No drag was read off a scale{where}.", *_set_up(view, call)]


def _latest(view: View, call: Call) -> dict[str, DragReading]:
    found: dict[str, DragReading] = {}
    trips = chain(view.past.trips, (view.trip,))
    for reading in chain.from_iterable(trip.drags for trip in trips):
        if call.position in (None, reading.position):
            found[reading.line or reading.position or "a rod"] = reading
    return found


def _line(view: View, line: str, one: DragReading) -> str:
    age = view.now - one.at
    when = f"at {clock(one.at, view.tz)}"
    if age > OLD:
        days = age // timedelta(days=1)
        when = f"{days} days ago" if days > 1 else f"{span_words(age)} ago"
        when += ", which is old: check it again"
    return sentence(f"{line}: {view.units.weight(one.drag_kg)} on the scale {when}")


def _set_up(view: View, call: Call) -> list[str]:
    """Return what the settings say of the strike drag of the rod asked for."""
    units = view.units
    return [
        f"The settings have {units.weight(one.drag_kg)} at the strike, on {units.line(one.line_class_kg)}."
        for one in view.boat.outfits
        if one.position == call.position
    ]
