"""What the log holds: records, in the order in which they were made.

An `Entry` is an act that happened. The other records are about entries or about the talk with the
crew: `Voided` and `Restored` (undo, undo of an undo), `Asked` (a question that waits for its answer)
and `Advised` (a change that was proposed). Nothing is ever deleted: an amended entry is voided and a
new one with the right values stands in its place (`replaces`). Pure values.
"""

from dataclasses import dataclass
from datetime import datetime
from typing import Final

from bot.messages import Advice
from bot.stamps import NO_STAMP, Stamp
from bot.trip.call import Call

Place = tuple[float, float]
"""Latitude and longitude in degrees, north and east positive."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One act that the log holds."""

    id: str
    """Unique over all boats, sortable by time of entry."""
    trip: str
    at: datetime
    """When it happened (UTC); back-dated where the call said so."""
    call: Call
    """What happened: what was said, and what follows from it (the position of "missed him", the lure
    that was in the water there); `text` holds the words themselves."""
    crew: str
    source: str
    text: str
    """All that was said."""
    message: str = ""
    """The message that made it; the entries of one message share it."""
    replaces: str | None = None
    """The entry that this one puts right."""
    inferred: tuple[str, ...] = ()
    """Slots of `call` that nobody said: they follow from the log or the box and may be computed again."""
    latitude: float | None = None
    """Degrees, north positive; where the boat was, as the instruments or a shared place had it."""
    longitude: float | None = None
    """Degrees, east positive."""
    stamp: Stamp = NO_STAMP
    """What the instruments measured then, and whose place it is."""

    @property
    def callers(self) -> list[str]:
        """Return who called it; the names of several are held in one text."""
        return self.crew.split(", ")

    @property
    def place(self) -> Place | None:
        """Return latitude and longitude, where both are known."""
        if self.latitude is None or self.longitude is None:
            return None
        return self.latitude, self.longitude


NOT_SAID: Final = ("act",)
"""Value of `inferred` for an entry that nobody said at all, such as the start of a trip."""


@dataclass(frozen=True, slots=True)
class Voided:
    """These entries do not stand (undo, amend)."""

    id: str
    entries: tuple[str, ...]
    at: datetime
    message: str = ""


@dataclass(frozen=True, slots=True)
class Restored:
    """These entries stand again (undo of an undo)."""

    id: str
    entries: tuple[str, ...]
    at: datetime
    message: str = ""


@dataclass(frozen=True, slots=True)
class Asked:
    """A question with the readings it offers, best first; open until answered, or taken as likeliest."""

    id: str
    question: str
    options: tuple[tuple[Call, ...], ...]
    at: datetime
    text: str = ""
    """What had been said."""
    crew: str = ""
    message: str = ""
    closes: str = ""
    """Without options only: the id of the question that it closes; empty in old logs for the last one."""
    about: Call | None = None
    """The question that this offer answers: `plan`, with its tackle."""
    sure: float = 0.0
    """Probability, 0 to 1, of the first reading; 0 where it must not be taken without an answer."""


@dataclass(frozen=True, slots=True)
class Advised:
    """A change that was proposed to the crew."""

    id: str
    advice: Advice
    at: datetime
    message: str = ""


Record = Entry | Voided | Restored | Asked | Advised
