"""Which entries stand: undo and amend applied, in order of the time at which things happened.

Records come in the order in which they were made; that order decides what an undo undid. Pure.
"""

from collections.abc import Iterable, Sequence
from datetime import datetime

from bot.trip.entry import Entry, Record, Restored, Voided


def standing(records: Iterable[Record]) -> tuple[Entry, ...]:
    """Give the entries that are not void, by the time they happened, then by the time they were made."""
    held = tuple(records)
    void = void_ids(held)
    return in_order(r for r in held if isinstance(r, Entry) and r.id not in void)


def void_ids(records: Iterable[Record]) -> frozenset[str]:
    """Give the ids of the entries that do not stand."""
    void: set[str] = set()
    for record in records:
        if isinstance(record, Voided):
            void.update(record.entries)
        elif isinstance(record, Restored):
            void.difference_update(record.entries)
    return frozenset(void)


def in_order(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """Sort entries by the time they happened, then by the time they were made."""
    return tuple(sorted(entries, key=lambda entry: (entry.at, entry.id)))


def until(entries: Sequence[Entry], at: datetime) -> tuple[Entry, ...]:
    """Give those that happened no later than a time."""
    return tuple(entry for entry in entries if entry.at <= at)
