"""What a message did to the log, for edits of its text. Pure.

An edited message and the versions before it are one family: what they made and still stands is taken
back, and what is said now stands in its place. What others have undone or corrected since is left.
"""

from collections.abc import Collection, Sequence
from typing import Final

from bot.trip.acts import TABLE
from bot.trip.call import Call
from bot.trip.corrections import Refusal, Undo
from bot.trip.entry import Entry, Record, Restored, Voided
from bot.trip.history import void_ids

SINCE_CHANGED: Final = (
    "That call was undone or corrected since; the edit changes nothing. Please call what is right."
)


def what_it_did(
    records: Sequence[Record], family: Collection[str], said: Collection[str] = ()
) -> Undo | Refusal:
    """Return what to undo of a message; `family` are the ids of its versions, `said` their acts.

    The start of a trip that nobody said stays where others have logged something after it.
    """
    void = void_ids(records)
    made = [r for r in records if isinstance(r, Entry) and r.message in family]
    ids = {entry.id for entry in made}
    by_whom: dict[str, str] = {}
    for record in records:
        if isinstance(record, Voided | Restored):
            by_whom |= dict.fromkeys(record.entries, record.message)
    if any(one in void and by_whom[one] not in family for one in ids):
        return Refusal(SINCE_CHANGED)
    back = tuple(
        one
        for one, message in by_whom.items()
        if message in family and one in void and one not in ids
    )
    gone = [entry for entry in made if entry.id not in void]
    if not any(TABLE[act].form == "began" for act in said) and _others_stand(records, ids, void):
        gone = [entry for entry in gone if TABLE[entry.call.act].form != "began"]
    return Undo(tuple(entry.id for entry in gone), back)


def pairs(gone: Sequence[Entry], calls: Sequence[Call]) -> tuple[Entry | None, ...]:
    """Return the entry that each new call replaces: one of the same act, else the next in order."""
    left = list(gone)
    found: list[Entry | None] = []
    for call in calls:
        same = next((entry for entry in left if entry.call.act == call.act), None)
        if same is not None:
            left.remove(same)
        found.append(same)
    return tuple(entry if entry or not left else left.pop(0) for entry in found)


def _others_stand(records: Sequence[Record], ids: Collection[str], void: Collection[str]) -> bool:
    return any(isinstance(r, Entry) and r.id not in void and r.id not in ids for r in records)
