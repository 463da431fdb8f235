"""What may come into a log from a file: each record by itself, then against the log that is there.

A file is the word of a stranger: texts, numbers and times are bounded, a record is written anew from what
was understood of it, and it may touch only trips that came from where it comes from.
"""

import re
import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields, replace
from datetime import UTC, datetime, timedelta
from typing import Any, Final
from unicodedata import category

from bot.findings import Finding
from bot.logbook import codec
from bot.logbook.old_words import with_old_meanings
from bot.logbook.sqlite import Database
from bot.stamps import MEASURED_FIELDS, Stamp
from bot.trip.acts import LOGGED
from bot.trip.call import Call
from bot.trip.entry import Advised, Asked, Entry, Record, Restored, Voided
from bot.trip.meant import Meaning, as_plain, wrong_field

KINDS: Final = (codec.ENTRY, codec.VOIDED, codec.RESTORED, codec.ADVISED)
"""What goes out and may come in."""
FIRST_YEAR: Final = 1970
LAST_YEAR: Final = 2200
"""Times outside are slips of a clock; sums with them could leave the calendar."""
AHEAD: Final = timedelta(days=1)
"""How far the clock of the machine that logged may run before this one's."""
MOST_TEXT: Final = 4000
"""Letters of what was said: as many as a message of a messenger may have."""
MOST_NAME: Final = 100
"""Letters of a name: of a boat, a trip, a person, a lure, a place."""
MOST_NAMED: Final = 1000
"""Entries that one record may void or restore."""

_ID: Final = re.compile("0[0-9a-f-]{7,35}")
"""Ids begin with the time (RFC 9562, UUID version 7), those of the next centuries with a nought."""
_LARGEST: Final = 1e7
_TEXTS: Final = frozenset(
    f.name for f in fields(Call) if "str" in str(f.type) and "tuple" not in str(f.type)
)
_LISTS: Final = frozenset({"colours", "old_colours"})
_NO_LETTERS: Final = ("Cc", "Cs")
_NO_NAME: Final = (*_NO_LETTERS, "Zl", "Zp")
"""Categories of Unicode: control characters, halves of letters, ends of lines and paragraphs."""


@dataclass(frozen=True, slots=True)
class MergeRules:
    """What decides which trips a file may add to: made from the log and the file, both at once."""

    native: frozenset[str]
    """Trips that were logged here."""
    boat_of: Mapping[str, str]
    """The boat of every trip that was imported."""
    trip_of: Mapping[str, str]
    """The trip of every entry of the file."""
    now: datetime


def admit(row: codec.Row) -> codec.Row | str:
    """Return a record as this program would have written it, or why it cannot be taken in."""
    if row.kind not in KINDS:
        return f"{row.kind[:40]!r} is no kind of record that can be imported"
    if not _ID.fullmatch(row.id):
        return f"{row.id[:40]!r} is no id of a deckcall log"
    try:
        if not FIRST_YEAR <= codec.from_text(row.at).year <= LAST_YEAR:
            return f"{row.at} is no time of a trip"
        row.body.encode()  # half a letter is no text
        found = codec.decode(with_old_meanings(row))
        if isinstance(found, Finding):
            return "was written by a newer deckcall; update this one"
        if wrong := _wrong_text(row) or _wrong(found):
            return wrong
        made = codec.encode(found, row.trip)
    except (ValueError, TypeError, KeyError, AttributeError, OverflowError) as problem:
        return f"cannot be read ({type(problem).__name__})"
    return made


def known_of(db: Database, rows: Iterable[codec.Row], now: datetime) -> MergeRules:
    """Read from the log what decides which trips a file may add to."""
    boats = dict(db.execute("SELECT trip, boat FROM imported").fetchall())
    every = {trip for (trip,) in db.execute("SELECT id FROM trips").fetchall()}
    trips: dict[str, str] = {}
    for row in rows:
        if row.kind == codec.ENTRY:
            trips.setdefault(row.id, row.trip)
    return MergeRules(frozenset(every - set(boats)), boats, trips, now)


def clash(db: Database, row: codec.Row, boat: str, known: MergeRules) -> str | None:
    """Return why a record that is new here may not be added to this log; None where it may."""
    latest = known.now + AHEAD
    if codec.from_text(row.at) > latest or _made_at(row.id, latest) > latest:
        return f"is of a time that has not come yet ({row.at}); check this machine's clock"
    if row.trip in known.native:
        return f"would change trip {row.trip}, which was logged here"
    if known.boat_of.get(row.trip, boat) != boat:
        return f"would change trip {row.trip}, which came from {known.boat_of[row.trip]!r}"
    if db.execute("SELECT 1 FROM messages WHERE id = ?", (row.message,)).fetchone():
        return "names a message of this log as its own"
    record = codec.decode(row)
    if isinstance(record, Voided | Restored):
        return _not_its_own(db, row.trip, record.entries, known)
    return None


def same(here: codec.Row, there: codec.Row) -> bool:
    """Return whether two records of one id say the same; a copy that only lacks the places does."""
    return _bare(here) == _bare(there)


def _not_its_own(db: Database, trip: str, entries: Iterable[str], known: MergeRules) -> str | None:
    for name in entries:
        sql = "SELECT trip FROM records WHERE id = ? AND kind = ?"
        row = db.execute(sql, (name, codec.ENTRY)).fetchone()
        if (row[0] if row else known.trip_of.get(name)) != trip:
            return f"takes back {name[:40]}, which is no entry of its trip"
    return None


def _made_at(name: str, latest: datetime) -> datetime:
    """Return the time in an id of version 7; for other ids a time that is never too late."""
    try:
        made_ms = uuid.UUID(name).int >> 80
    except ValueError:
        return latest
    try:
        return datetime.fromtimestamp(made_ms / 1000, UTC)
    except (OverflowError, OSError, ValueError):
        return latest + AHEAD


def _bare(row: codec.Row) -> tuple[Any, ...]:
    found = codec.decode(row)
    if isinstance(found, Entry):
        found = replace(found, latitude=None, longitude=None, message="", source="")
    elif not isinstance(found, Finding):
        found = replace(found, message="")
    return row.trip, row.kind, found


def _wrong_text(row: codec.Row) -> str | None:
    """Return what is wrong with the texts of a row: too long, half a letter, or control characters."""
    names = {"trip": row.trip, "message": row.message, "crew": row.crew, "source": row.source}
    for what, name in names.items():
        if not is_name(name):
            return f"{what} is too long, or holds what cannot be printed"
    if len(row.text) > MOST_TEXT or not _is_text(row.text):
        return "text is too long, or holds what cannot be printed"
    return None


def _is_text(text: str) -> bool:
    """Return whether a text holds no control characters and no half letters; joiners of emoji may be."""
    return all(letter in "\n\t" or category(letter) not in _NO_LETTERS for letter in text)


def is_name(value: Any) -> bool:
    """Return whether a value is a text of one line that may name something."""
    return (
        isinstance(value, str)
        and len(value) <= MOST_NAME
        and all(category(letter) not in _NO_NAME for letter in value)
    )


def _wrong(record: Record) -> str | None:
    """Return what is wrong with the values of a record; the fold trusts them."""
    match record:
        case Entry():
            return _wrong_entry(record)
        case Advised():
            advice = record.advice
            words = (advice.position, advice.lure)
            numbers = (advice.chance, advice.gain_per_h)
            reason = isinstance(advice.reason, str) and len(advice.reason) <= MOST_TEXT
            good = all(map(is_name, words)) and all(map(_is_number, numbers)) and reason
            return None if good and _is_text(advice.reason) else "has no advice in it"
        case Asked():
            return "is a question"
        case Voided() | Restored():
            named = record.entries
            good = bool(named) and len(named) <= MOST_NAMED and all(map(is_name, named))
            return None if good else "names no entries"


def _wrong_entry(entry: Entry) -> str | None:
    if entry.call.act not in LOGGED:
        return f"{str(entry.call.act)[:40]!r} is no act of a log"
    for name, value in entry.call.said().items():
        if not _fits(name, value):
            return f"{name} cannot be {repr(value)[:40]}"
    if wrong := next(filter(None, map(_wrong_meaning, entry.call.meant)), None):
        return f"{wrong} of what the words mean is not as it should be"
    place = entry.place
    if place is not None and not (_within(place[0], 90) and _within(place[1], 180)):
        return f"{repr(place)[:60]} is no place"
    if not _is_stamp(entry.stamp):
        return "has a stamp that is nothing that instruments say"
    named = (*entry.inferred, *([] if entry.replaces is None else [entry.replaces]))
    return None if all(map(is_name, named)) else "names what is no entry"


def _wrong_meaning(one: Meaning) -> str | None:
    """Return the name of a field that holds what it cannot; None where all is well."""
    for name, value in as_plain([one])[0].items():
        if isinstance(value, str):
            good = len(value) <= MOST_TEXT and _is_text(value)
        elif isinstance(value, list):
            good = len(value) <= MOST_NAMED and all(map(is_name, value))
        else:
            good = isinstance(value, bool) or _is_number(value)
        if not good:
            return name
    return wrong_field(one)


def _is_stamp(stamp: Stamp) -> bool:
    measured = (getattr(stamp, name) for name in MEASURED_FIELDS)
    known = stamp.place_from in (None, "instruments", "shared")
    return known and all(value is None or _is_number(value) for value in measured)


def _fits(name: str, value: Any) -> bool:
    if name in _LISTS:
        return isinstance(value, tuple) and len(value) <= MOST_NAMED and all(map(is_name, value))
    if name == "text":
        return isinstance(value, str) and len(value) <= MOST_TEXT and _is_text(value)
    if name == "tagged":
        return isinstance(value, bool)
    if name == "count":
        return isinstance(value, int) and not isinstance(value, bool) and 0 < value < _LARGEST
    if name == "tackle":
        return is_name(value) or _is_number(value)
    return is_name(value) if name in _TEXTS else _is_number(value)


def _is_number(value: Any) -> bool:
    good = isinstance(value, int | float) and not isinstance(value, bool)
    return good and abs(value) < _LARGEST  # false for NaN; whole numbers of any length compare


def _within(value: Any, limit: float) -> bool:
    return _is_number(value) and abs(value) <= limit
