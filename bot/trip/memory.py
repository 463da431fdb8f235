"""The present trip, kept between messages so that one more entry costs one more step.

Nothing here is a source of truth: `Memory` gives for any records what `standing_entries` and `fold` give.
What does not simply come last (an undo, a late call) is folded anew from the last mark before it.
"""

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Final

from bot.trip.entry import Entry, Record, Restored, Voided
from bot.trip.fold import Folding
from bot.trip.history import standing_entries
from bot.trip.state import Trip

MARK_EVERY: Final = 32
"""Entries between two marks; fewer cost memory, more cost time when something earlier changes."""

_Marks = tuple[tuple[int, Folding], ...]


class Now:
    """The standing entries of a trip and the trip that follows from them; it grows at its end."""

    def __init__(self, stood: Iterable[Entry] = (), marks: _Marks = ()) -> None:
        self._stood: list[Entry] = []
        self._marks = marks
        """How the fold stood after so many entries; never changed, but copied."""
        self._trip: Trip | None = None
        known = tuple(stood)
        self._folding = Folding()
        if marks:
            self._stood = list(known[: marks[-1][0]])
            self._folding = marks[-1][1].copy()
        for entry in known[len(self._stood) :]:
            self._add(entry)

    @classmethod
    def after(cls, records: Iterable[Record]) -> "Now":
        """Return what stands after records, in the order in which they were made."""
        return cls(standing_entries(records))

    def anew(self, records: Iterable[Record]) -> "Now":
        """Return what stands after other records of the same trip, folding only what differs."""
        stood = standing_entries(records)
        return Now(stood, self._up_to(_common(self._stood, stood)))

    @property
    def stood(self) -> tuple[Entry, ...]:
        """Return the entries that stand, by the time they happened."""
        return tuple(self._stood)

    @property
    def trip(self) -> Trip:
        """Return the trip."""
        if self._trip is None:
            self._trip = self._folding.trip()
        return self._trip

    def until(self, at: datetime, but: str | None = None) -> Trip:
        """Return the trip as it was at a time, without one entry if one is named."""
        stood = [entry for entry in self._stood if entry.at <= at and entry.id != but]
        return Now(stood, self._up_to(_common(self._stood, stood))).trip

    def before(self, at: datetime) -> tuple[Folding, tuple[Entry, ...]]:
        """Return a fold of entries that all happened before a time, and the entries that come after it."""
        early = next((n for n, entry in enumerate(self._stood) if entry.at >= at), len(self._stood))
        marks = self._up_to(early)
        count, folding = marks[-1] if marks else (0, Folding())
        return folding.copy(), tuple(self._stood[count:])

    def copy(self) -> "Now":
        """Return an independent copy."""
        other = Now()
        other._stood, other._marks = self._stood.copy(), self._marks
        other._folding, other._trip = self._folding.copy(), self._trip
        return other

    def take(self, record: Record) -> bool:
        """Add a record at the end; return False, unchanged, where everything must be folded again."""
        if isinstance(record, Voided | Restored):
            return False
        if isinstance(record, Entry):
            last = self._stood[-1] if self._stood else record
            if record.replaces is not None:
                return False
            if (record.at, record.id) < (last.at, last.id):
                return False
            self._add(record)
        return True

    def _add(self, entry: Entry) -> None:
        self._stood.append(entry)
        self._folding.add(entry)
        self._trip = None
        if len(self._stood) % MARK_EVERY == 0:
            self._marks = (*self._marks, (len(self._stood), self._folding.copy()))

    def _up_to(self, count: int) -> _Marks:
        return tuple(mark for mark in self._marks if mark[0] <= count)


class Memory:
    """Caches the last log that it was given; each desk has one."""

    def __init__(self) -> None:
        self._records: tuple[Record, ...] = ()
        self._now = Now()

    def now(self, records: Sequence[Record]) -> Now:
        """Return what stands after these records; copy it before changing it."""
        shown, known = tuple(records), len(self._records)
        if shown[:known] != self._records or not all(self._now.take(r) for r in shown[known:]):
            self._now = self._now.anew(shown)
        self._records = shown
        return self._now


def _common(one: Sequence[Entry], other: Sequence[Entry]) -> int:
    """Count the entries at the start that are the same in both."""
    for place, (mine, theirs) in enumerate(zip(one, other, strict=False)):
        if mine is not theirs and mine != theirs:
            return place
    return min(len(one), len(other))
