"""Lines that tow weed, from the call until the lure is brought in, changed or put out again.

Contract hours count a lure in the water whatever it tows; time with weed on it is no fair exposure and is
kept apart, so that rates and advice may leave it out. A part of the fold. Pure.
"""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import datetime

from bot.trip.meant import Weedy
from bot.trip.state import Fouled, InWater


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

    def __init__(self, spans: Iterable[Fouled] = ()) -> None:
        self._spans: list[Fouled] = list(spans)

    def copy(self) -> "Fouling":
        """Return an independent copy."""
        return Fouling(self._spans)

    @property
    def spans(self) -> tuple[Fouled, ...]:
        """Return all spans of towing weed, in the order in which they were called."""
        return tuple(self._spans)

    def start(self, lines: Iterable[str], at: datetime) -> None:
        """Note weed on lines; a line that already tows it continues to."""
        on = {span.line for span in self._spans if span.end is None}
        self._spans += [Fouled(line, at) for line in lines if line not in on]

    def stop(self, line: str | None, at: datetime) -> None:
        """Note that a line is clean, or all of them where None is given."""
        self._spans = [
            replace(span, end=at) if span.end is None and line in (None, span.line) else span
            for span in self._spans
        ]
