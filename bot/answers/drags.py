"""The drags as the crew read them off a scale: the answer to "what's the drag on the riggers"."""

from datetime import timedelta
from typing import Final

from bot.answers.answer import Answer
from bot.answers.view import View
from bot.replies.amounts import clock, number, sentence, span_words
from bot.trip.call import Call
from bot.trip.state import DragReading

OLD: Final = timedelta(hours=6)
"""A reading that is older is said to be old: drags change with heat and wear (common practice, no source)."""


def asked_drag(view: View, call: Call) -> Answer:
    """Answer with the last reading of each rod, or of the one asked for."""
    latest: dict[str, DragReading] = {}
    for reading in view.trip.drags:
        latest[reading.line or reading.position or "a rod"] = reading
    if call.position is not None:
        latest = {line: one for line, one in latest.items() if one.position == call.position}
    lines = [_line(view, line, one) for line, one in latest.items()]
    if not lines:
        where = f" on the {call.position}" if call.position else ""
        lines = [f"No drag was read off a scale{where} on this trip."]
    lines += _set_up(view, call)
    return Answer("\n".join(lines), lines[0])


def _line(view: View, line: str, one: DragReading) -> str:
    age = view.now - one.at
    old = f", {span_words(age)} old: check it again" if age > OLD else ""
    return sentence(
        f"{line}: {number(one.drag_kg)} kg on the scale at {clock(one.at, view.tz)}{old}"
    )


def _set_up(view: View, call: Call) -> list[str]:
    """Return what the settings say of the strike drag of the rod asked for."""
    outfits = [one for one in view.boat.outfits if one.position == call.position]
    return [
        f"The settings have {number(one.drag_kg)} kg at the strike, on {number(one.line_class_kg)} kg line."
        for one in outfits
    ]
