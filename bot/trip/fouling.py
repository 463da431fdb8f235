"""Lines that tow weed: from the call to when the lure is next brought in, changed or put out again.

Contract hours count a lure in the water whatever it tows; time with weed on it is no fair exposure and is
kept apart, so that rates and advice may leave it out. A part of the fold. Pure.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import datetime
from typing import Final

from bot.trip.state import Fouled, InWater

_ALL: Final = re.compile(r"\b(?:everything|all (?:the )?(?:lines|lures)|all of them|every line)\b")
_SETS: Final[Mapping[str, str]] = {"riggers": "rigger", "corners": "corner"}


def weedy_lines(text: str, spread: Mapping[str, InWater]) -> tuple[str, ...]:
    """Give the lines that the words of a call about weed name; none where it only drifts by."""
    said = " ".join(text.casefold().replace("outrigger", "rigger").split())
    if _ALL.search(said):
        return tuple(spread)
    sets = [kind for word, kind in _SETS.items() if re.search(rf"\b{word}\b", said)]
    return tuple(
        line
        for line, lure in spread.items()
        if re.search(rf"\b{re.escape(lure.position)}\b", said)
        or any(lure.position.endswith(kind) for kind in sets)
    )


class Fouling:
    """Which lines tow weed; changes while entries are taken."""

    def __init__(self, spans: Iterable[Fouled] = ()) -> None:
        self._spans: list[Fouled] = list(spans)

    def copy(self) -> "Fouling":
        """Give a second one that goes on by itself."""
        return Fouling(self._spans)

    @property
    def spans(self) -> tuple[Fouled, ...]:
        """Give all of them, in the order in which they were called."""
        return tuple(self._spans)

    def start(self, lines: Iterable[str], at: datetime) -> None:
        """Note weed on lines; one that tows it already goes on doing so."""
        on = {span.line for span in self._spans if span.end is None}
        self._spans += [Fouled(line, at) for line in lines if line not in on]

    def stop(self, line: str | None, at: datetime) -> None:
        """Note that a line is clean, or all of them where None is given."""
        self._spans = [
            replace(span, end=at) if span.end is None and line in (None, span.line) else span
            for span in self._spans
        ]
