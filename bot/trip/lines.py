"""Lines: which one a call is about (positions, sides, a lure moved from one to another), and which tow weed.

A line is a rod with its lure in the spread; its key is the position, or position and side where both
sides have one. Contract hours count a lure in the water whatever it tows; time with weed on it, from the call
until the lure is brought in, changed or put out again, is no fair exposure and is kept apart, so that rates
and advice may leave it out. Pure.
"""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import datetime

from bot.tackle.box import same_name
from bot.trip.call import Call
from bot.trip.lures import LureSlots, agrees, is_known, same_lure
from bot.trip.meant import FromOtherLine, Weedy
from bot.trip.state import FouledLine, InWater

Spread = Mapping[str, InWater]


def line_for(spread: Spread, position: str, side: str | None, *, new: bool = False) -> str:
    """Return the key of the line that a position and a side mean, whether or not it has a lure.

    A position is one line until a lure is put out on its other side too; then each side is a line.
    `new` is for a lure that goes out: only then may the other side become a line of its own.
    """
    here = [key for key, lure in spread.items() if lure.position == position]
    if side is None or not here:
        return here[-1] if here else position
    for wanted in (side, None):
        for key in here:
            if spread[key].side == wanted:
                return key
    if not new:
        return here[-1]
    return f"{side} {position}" if position in here else position


def lines_at(spread: Spread, position: str | None, side: str | None) -> tuple[str, ...]:
    """Return the keys of the lines with a lure at a position: both sides where none was said."""
    if position is None:
        return ()
    if side is None:
        return tuple(key for key, lure in spread.items() if lure.position == position)
    line = line_for(spread, position, side)
    return (line,) if line in spread else ()


def line_with(spread: Spread, lure: LureSlots) -> str | None:
    """Return the only line whose lure can be the one said; None for none or several."""
    if not is_known(lure):
        return None
    fits = [key for key, there in spread.items() if is_known(there) and agrees(lure, there)]
    return fits[0] if len(fits) == 1 else None


def moved_from(call: Call, inferred: Iterable[str], spread: Spread, to: str) -> str | None:
    """Return the line that a lure leaves when it is set on another, or None for one more lure.

    A lure named from the box is one lure; one that was only described moves where the words say so.
    """
    others = {key: there for key, there in spread.items() if key != to}
    if call.lure is not None and "lure" not in inferred:
        moved = call.meaning(FromOtherLine) is not None
        named = [
            key
            for key, there in others.items()
            if same_name(there.lure or "", call.lure) and (moved or not there.guessed)
        ]
        return named[0] if named else None
    if call.meaning(FromOtherLine) is None:
        return None
    alike = [key for key, there in others.items() if is_known(call) and same_lure(call, there)]
    return alike[0] if len(alike) == 1 else line_with(others, call)


def weedy_lines(meant: Weedy | None, spread: Mapping[str, InWater]) -> tuple[str, ...]:
    """Return the lines on which weed was called; none where it only drifts by."""
    if meant is None:
        return ()
    return tuple(
        line
        for line, lure in spread.items()
        if meant.everywhere
        or lure.position in meant.positions
        or any(lure.position.endswith(kind) for kind in meant.kinds)
    )


class Fouling:
    """The lines that tow weed; it changes as entries are added."""

    def __init__(self, spans: Iterable[FouledLine] = ()) -> None:
        self._spans: list[FouledLine] = list(spans)

    def copy(self) -> "Fouling":
        """Return an independent copy."""
        return Fouling(self._spans)

    @property
    def spans(self) -> tuple[FouledLine, ...]:
        """Return all spans of towing weed, in the order in which they were called."""
        return tuple(self._spans)

    def start(self, lines: Iterable[str], at: datetime) -> None:
        """Note weed on lines; a line that already tows it continues to."""
        on = {span.line for span in self._spans if span.end is None}
        self._spans += [FouledLine(line, at) for line in lines if line not in on]

    def stop(self, line: str | None, at: datetime) -> None:
        """Note that a line is clean, or all of them where None is given."""
        self._spans = [
            replace(span, end=at) if span.end is None and line in (None, span.line) else span
            for span in self._spans
        ]
