"""Which entries stand: undo and amend applied, in order of the time at which things happened.

Records come in the order in which they were made; that order decides what an undo undid. Pure.
"""

from collections.abc import Iterable, Sequence
from datetime import datetime

from bot.trip.entry import Entry, Record, Restored, Voided


def standing_entries(records: Iterable[Record]) -> tuple[Entry, ...]:
    """Return the entries that are not void, by the time they happened, then by the time they were made.

    An entry that puts another right counts as made when that one was, so that a strike corrected
    after the hook-up of the same minute still comes before it.
    """
    held = tuple(records)
    void = void_ids(held)
    made: dict[str, str] = {}
    stand: list[tuple[datetime, str, Entry]] = []
    for record in held:
        if isinstance(record, Entry):
            first = record.id
            if record.replaces is not None:
                first = made[record.id] = made.get(record.replaces, record.replaces)
            if record.id not in void:
                stand.append((record.at, first, record))
    stand.sort(key=lambda place: place[:2])
    return tuple(entry for _, _, entry in stand)


def void_ids(records: Iterable[Record]) -> frozenset[str]:
    """Return the ids of the entries that do not stand."""
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
    """Return the entries that happened no later than a time."""
    return tuple(entry for entry in entries if entry.at <= at)
