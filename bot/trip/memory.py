"""The trip as it is now, kept from one message to the next so that one more entry costs one more step.

Nothing here is a source of truth: whatever does not simply come last (an undo, a late call) makes it
all be folded anew, and `Memory` gives for any records what `standing` and `fold` give.
"""

from collections.abc import Iterable, Sequence

from bot.trip.entry import Entry, Record, Restored, Voided
from bot.trip.fold import Folding
from bot.trip.history import standing
from bot.trip.state import Trip


class Now:
    """The standing entries of a trip, and the trip that they make; grows at its end."""

    def __init__(self, stood: Iterable[Entry] = (), folding: Folding | None = None) -> None:
        self._stood = list(stood)
        self._folding = folding or _folded(self._stood)
        self._trip: Trip | None = None

    @classmethod
    def after(cls, records: Iterable[Record]) -> "Now":
        """Give what stands after records, in the order in which they were made."""
        return cls(standing(records))

    @property
    def stood(self) -> tuple[Entry, ...]:
        """Give the entries that stand, by the time they happened."""
        return tuple(self._stood)

    @property
    def trip(self) -> Trip:
        """Give the trip."""
        if self._trip is None:
            self._trip = self._folding.trip()
        return self._trip

    def copy(self) -> "Now":
        """Give one that can go on by itself."""
        return Now(self._stood, self._folding.copy())

    def take(self, record: Record) -> bool:
        """Take a record that comes last; False, and unchanged, where all must be made anew."""
        if isinstance(record, Voided | Restored):
            return False
        if isinstance(record, Entry):
            last = self._stood[-1] if self._stood else record
            if record.replaces is not None:
                return False
            if (record.at, record.id) < (last.at, last.id):
                return False
            self._stood.append(record)
            self._folding.add(record)
            self._trip = None
        return True


class Memory:
    """Remembers the last log that it was shown; one for each desk."""

    def __init__(self) -> None:
        self._records: tuple[Record, ...] = ()
        self._now = Now()

    def now(self, records: Sequence[Record]) -> Now:
        """Give what stands after these records; not to be changed, but copied."""
        shown, known = tuple(records), len(self._records)
        if shown[:known] != self._records or not all(self._now.take(r) for r in shown[known:]):
            self._now = Now.after(shown)
        self._records = shown
        return self._now


def _folded(entries: Iterable[Entry]) -> Folding:
    folding = Folding()
    for entry in entries:
        folding.add(entry)
    return folding
