"""The log going out and coming in: records as plain values, and a merge that doubles nothing.

What goes out are entries with what became of them, and proposals; not the talk, not the recordings.
What comes in is looked at first: a record that this program cannot read is refused, and a record whose
id is known already stays as it is.
"""

import json
import math
import re
import sqlite3
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import astuple, dataclass, fields
from datetime import datetime
from pathlib import Path
from typing import Any, Final

from bot.findings import Finding
from bot.logbook import codec
from bot.logbook.opening import BUSY_S, explained, prepared
from bot.logbook.sqlite import Database
from bot.logbook.store import FILE
from bot.sky.light import light_at
from bot.stamps import MEASURED, Stamp
from bot.trip.call import LOGGED, Call
from bot.trip.entry import Advised, Asked, Entry, Record, Voided

KINDS: Final = (codec.ENTRY, codec.VOIDED, codec.RESTORED, codec.ADVISED)
"""What goes out and may come in."""
COLUMNS: Final = (
    "id", "trip", "at", "act", "position", "lure", "size_in", "colours", "species", "count",
    "length_cm", "weight_kg", "crew", "source", "text", "void",
)  # fmt: skip
"""The view `entries` of the contract."""
MORE: Final = (
    "side", "head", "tagged", "tag", "speed_kn", "water_c", "depth_m", "what", "remark",
    "place_from", "cog_deg", "sog_kn", "stw_kn", "heading_deg", "measured_c", "measured_m", "light",
)  # fmt: skip
"""What else of an entry goes out; `remark` is the text of a mark or a note. From `place_from` on it is what
the instruments measured, `measured_c` the water and `measured_m` the depth; `light` is that of the place."""

FIRST_YEAR: Final = 1970
LAST_YEAR: Final = 2200
"""Times outside are slips of a clock; sums with them could leave the calendar."""

_ID: Final = re.compile("0[0-9a-f-]{7,35}")
"""Ids begin with the time (RFC 9562, UUID version 7), those of the next centuries with a nought; later ones
would push the ids of this log beyond all that can be counted."""
_ROW: Final = "id, message, trip, at, kind, version, crew, source, text, body"


@dataclass(frozen=True, slots=True)
class Out:
    """One record as it goes out."""

    row: codec.Row
    values: Mapping[str, Any]
    """`COLUMNS` and `MORE`, for an entry; empty for other records."""
    boat: str | None
    """The boat it came from; None for this one."""

    @property
    def place(self) -> tuple[float, float] | None:
        """Give latitude and longitude in degrees, where the entry has both."""
        body = json.loads(self.row.body)
        if body.get("latitude") is None or body.get("longitude") is None:
            return None
        return float(body["latitude"]), float(body["longitude"])


@dataclass(frozen=True, slots=True)
class Merged:
    """What a merge did."""

    added: int = 0
    entries: int = 0
    """Of those added."""
    known: int = 0
    differ: tuple[str, ...] = ()
    """Ids that the log had with something else under them; they stay as they were."""
    trips: tuple[str, ...] = ()
    """Trips that are new here."""


def going_out(home: Path, trips: Sequence[str]) -> tuple[Out, ...]:
    """Give the records of trips in the order in which they were made; raises LogbookError."""
    marks, kinds = ", ".join("?" * len(trips)), ", ".join("?" * len(KINDS))
    sql = f"""SELECT {", ".join(f"r.{name}" for name in _ROW.split(", "))}, i.boat,
        {", ".join(f"e.{name}" for name in COLUMNS)}
        FROM records AS r LEFT JOIN entries AS e ON e.id = r.id
        LEFT JOIN imported AS i ON i.trip = r.trip
        WHERE r.trip IN ({marks}) AND r.kind IN ({kinds}) ORDER BY r.seq"""
    with connected(home) as db:
        rows = db.execute(sql, (*trips, *KINDS)).fetchall()
    found = []
    for row in rows:
        own, boat, view = codec.Row(*row[:10]), row[10], row[11:]
        values = _values(own, view) if own.kind == codec.ENTRY else {}
        found.append(Out(own, values, boat))
    return tuple(found)


def _values(row: codec.Row, view: Sequence[Any]) -> dict[str, Any]:
    body = json.loads(row.body)
    call, stamp = body["call"], body.get("stamp", {})
    more = {name: call.get(name, stamp.get(name)) for name in MORE}
    more["depth_m"], more["water_c"] = call.get("depth_m"), call.get("water_c")
    more |= {
        "remark": call.get("text"),
        "measured_c": stamp.get("water_c"),
        "measured_m": stamp.get("depth_m"),
    }
    if body.get("latitude") is not None and body.get("longitude") is not None:
        place = float(body["latitude"]), float(body["longitude"])
        more["light"] = light_at(*place, codec.from_text(row.at))
    more["tagged"] = int(bool(more["tagged"]))
    return dict(zip(COLUMNS, view, strict=True)) | more


def readable(row: codec.Row) -> str | None:
    """Say why a record cannot be taken in; None where it can."""
    if row.kind not in KINDS:
        return f"{row.kind!r} is no kind of record that can be imported"
    if not _ID.fullmatch(row.id):
        return f"{row.id[:40]!r} is no id of a deckcall log"
    try:
        if not FIRST_YEAR <= codec.from_text(row.at).year <= LAST_YEAR:
            return f"{row.at} is no time of a trip"
        found = codec.decode(row)
    except (ValueError, TypeError, KeyError, AttributeError) as problem:
        return f"cannot be read ({type(problem).__name__})"
    if isinstance(found, Finding):
        return "was written by a newer deckcall; update this one"
    return _wrong(found)


def merge(
    home: Path, rows: Iterable[codec.Row], boats: Mapping[str, str], own: str, at: datetime
) -> Merged:
    """Add the records that the log does not have, all of them or none; raises LogbookError.

    `boats` names the boat of every trip, `own` this one: trips of others are kept apart from its past.
    """
    added = entries = known = 0
    differ: list[str] = []
    new: list[str] = []
    with connected(home) as db, _whole(db):
        for row in rows:
            there = db.execute(f"SELECT {_ROW} FROM records WHERE id = ?", (row.id,)).fetchone()
            if there is not None:
                known += 1
                differ += [row.id] if _differs(codec.Row(*there), row) else []
                continue
            _insert(db, row)
            added += 1
            if row.kind == codec.ENTRY:
                entries += 1
                new += _begin(db, row, boats.get(row.trip, ""), own, at)
    return Merged(added, entries, known, tuple(differ), tuple(new))


@contextmanager
def connected(home: Path) -> Iterator[Database]:
    """Open the file of a log for as long as it is worked on; raises LogbookError."""
    path = home / FILE
    with explained(path):
        home.mkdir(parents=True, exist_ok=True)
        connection = sqlite3.connect(path, timeout=BUSY_S, isolation_level=None)
        try:
            yield prepared(connection, path)
        finally:
            connection.close()


@contextmanager
def _whole(db: Database) -> Iterator[None]:
    db.execute("BEGIN IMMEDIATE")
    try:
        yield
        db.execute("COMMIT")
    except BaseException:
        if db.conn.in_transaction:
            db.conn.rollback()
        raise


def _insert(db: Database, row: codec.Row) -> None:
    db.execute(f"INSERT INTO records ({_ROW}) VALUES (?,?,?,?,?,?,?,?,?,?)", astuple(row))
    if row.kind in (codec.VOIDED, codec.RESTORED):
        for entry in json.loads(row.body)["entries"]:
            db.execute(
                "INSERT INTO stands (entry, void, record) VALUES (?,?,?)",
                (entry, int(row.kind == codec.VOIDED), row.id),
            )


def _begin(db: Database, row: codec.Row, boat: str, own: str, at: datetime) -> list[str]:
    """Note the trip of an entry where it is new, and where it came from; give its name then."""
    if db.execute("SELECT 1 FROM trips WHERE id = ?", (row.trip,)).fetchone():
        return []
    db.execute("INSERT INTO trips (id, first_at) VALUES (?, ?)", (row.trip, row.at))
    db.execute(
        "INSERT INTO imported (trip, boat, elsewhere, imported_at) VALUES (?,?,?,?)",
        (row.trip, boat, int(boat != own), codec.to_text(at)),
    )
    return [row.trip]


def _differs(here: codec.Row, there: codec.Row) -> bool:
    """Say whether one id stands for two things; a copy without places is no other thing."""
    return _bare(here) != _bare(there)


def _bare(row: codec.Row) -> tuple[Any, ...]:
    body = json.loads(row.body)
    body.pop("latitude", None)
    body.pop("longitude", None)
    return (row.trip, row.at, row.kind, row.crew, row.text, body)


def _wrong(record: Record) -> str | None:
    """Say what is wrong with the values of a record; the fold trusts them."""
    match record:
        case Entry():
            if record.call.act not in LOGGED:
                return f"{record.call.act!r} is no act of a log"
            for name, value in record.call.said().items():
                if not _fits(name, value):
                    return f"{name} cannot be {value!r}"
            place = record.place
            if place is not None and not (_within(place[0], 90) and _within(place[1], 180)):
                return f"{place} is no place"
            if not _is_stamp(record.stamp):
                return f"{record.stamp} is nothing that instruments say"
            texts = (
                record.id,
                record.trip,
                record.crew,
                record.source,
                record.text,
                record.message,
            )
            return None if all(isinstance(one, str) for one in texts) else "has no text"
        case Advised():
            advice = record.advice
            words = (advice.position, advice.lure, advice.reason)
            numbers = (advice.chance, advice.gain_per_h)
            good = all(isinstance(w, str) for w in words) and all(map(_is_number, numbers))
            return None if good else "has no advice in it"
        case Asked():
            return "is a question"
        case Voided():
            pass
    good = bool(record.entries) and all(isinstance(one, str) for one in record.entries)
    return None if good else "names no entries"


def _is_stamp(stamp: Stamp) -> bool:
    measured = (getattr(stamp, name) for name in MEASURED)
    known = stamp.place_from in (None, "instruments", "shared")
    return known and all(value is None or _is_number(value) for value in measured)


_TEXTS: Final = frozenset(
    f.name for f in fields(Call) if "str" in str(f.type) and "tuple" not in str(f.type)
)
_LISTS: Final = frozenset({"colours", "old_colours"})
_LARGEST: Final = 1e7


def _fits(name: str, value: Any) -> bool:
    if name in _LISTS:
        return isinstance(value, tuple) and all(isinstance(one, str) for one in value)
    if name == "tagged":
        return isinstance(value, bool)
    if name == "count":
        return isinstance(value, int) and not isinstance(value, bool) and 0 < value < _LARGEST
    if name == "tackle":
        return isinstance(value, str) or _is_number(value)
    return isinstance(value, str) if name in _TEXTS else _is_number(value)


def _is_number(value: Any) -> bool:
    good = isinstance(value, int | float) and not isinstance(value, bool)
    return good and math.isfinite(value) and abs(value) < _LARGEST


def _within(value: Any, limit: float) -> bool:
    return _is_number(value) and abs(value) <= limit
