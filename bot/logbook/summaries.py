"""The figures of earlier trips, kept in a table beside the log so that they need not be folded again.

A cache and nothing else: a row holds up to which record of its trip it was made, and one that does not
reach to the last record, or that another program made, is made anew. Nothing here is ever the truth.
"""

import json
import sqlite3
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, tzinfo
from pathlib import Path
from typing import Final

from bot.logbook.codec import from_text, to_text
from bot.logbook.opening import BUSY_S, explain_faults
from bot.logbook.sqlite import Database
from bot.logbook.trip_codec import decode_trip, encode_trip
from bot.stamps import Fix, Stamp
from bot.trip.conditions import with_track
from bot.trip.entry import Place, Record
from bot.trip.fold import fold
from bot.trip.history import standing_entries
from bot.trip.packed import PackedTable
from bot.trip.state import Trip
from bot.trip.summary import FISH, STAGES, VERSION, WATER, Summary, is_settled, summary

BATCH: Final = 25
"""Trips that are kept in one transaction when many are missing."""
_WORD, _KIND, _AS_JSON = "\x1e", "\x1d", "\x02"

_VALID: Final = (
    "s.key = ?1 AND s.through = (SELECT max(r.seq) FROM records AS r WHERE r.trip = t.id)"
)
_OWN: Final = """(t.id NOT IN (SELECT trip FROM imported WHERE elsewhere = 1)
    OR NOT EXISTS (SELECT 1 FROM trips WHERE id NOT IN (SELECT trip FROM imported)))"""
"""Imported trips of other boats are none of this boat's past; in a log without trips of its own, as one on
shore for a fleet, all are."""
_MISSING: Final = f"""SELECT t.id FROM trips AS t WHERE {{among}} AND {_OWN} AND NOT EXISTS (
    SELECT 1 FROM summaries AS s WHERE s.trip = t.id AND {_VALID}) ORDER BY t.seq"""
_ALL, _NAMED = "?2 IS NULL", "t.id IN (SELECT value FROM json_each(?2))"
_FIGURES: Final = f"""SELECT t.id, s.first_at, s.last_at, s.started, s.ended, s.entries, s.labels,
    s.water, s.fish, s.stages
    FROM trips AS t JOIN summaries AS s ON s.trip = t.id
    WHERE {_VALID} AND s.entries > 0 AND {_OWN} ORDER BY t.seq"""
_TRACK: Final = """SELECT at, latitude, longitude, water_c FROM track WHERE at BETWEEN ? AND ?
    AND ? NOT IN (SELECT trip FROM imported) ORDER BY at"""
_KEEP: Final = """INSERT OR REPLACE INTO summaries (trip, key, through, first_at, last_at, started,
    ended, entries, labels, water, fish, stages, body) VALUES (?,?,?,?,?,?,?,?,?,?,?,?,?)"""

ReadTrip = Callable[[str], tuple[Sequence[Record], int]]
"""Return the records of a trip, and the number of the last of them."""


@dataclass(frozen=True, slots=True, eq=False)
class _Made:
    """A trip that was folded, and up to which record."""

    name: str
    trip: Trip
    through: int
    figures: Summary | None


@dataclass(frozen=True, slots=True)
class _Frame:
    """What figures depend on beside the records: the boat's time zone, and its home for the light."""

    tz: tzinfo
    home: Place | None

    @property
    def key(self) -> str:
        """Name it, with the way in which figures are made."""
        where = "" if self.home is None else f" {self.home[0]:.2f} {self.home[1]:.2f}"
        return f"{VERSION} {getattr(self.tz, 'key', None) or self.tz}{where}"


class Summaries:
    """Earlier trips in figures; belongs to the thread that opened the log."""

    def __init__(self, db: Database, path: Path, read: ReadTrip) -> None:
        self._db = db
        self._path = path
        self._read = read

    def figures(
        self, now: datetime, tz: tzinfo, but: str | None = None, home: Place | None = None
    ) -> tuple[Summary, ...]:
        """Return all trips in figures but one, in the order in which they were begun."""
        frame = _Frame(tz, home)
        with explain_faults(self._path):
            loose = {t.id: one for t, one in self._brought_up(now, frame, but) if one is not None}
            rows = self._db.execute(_FIGURES, (frame.key,)).fetchall()
        found = [*(_summary(row) for row in rows if row[0] != but), *loose.values()]
        if loose:
            order = {name: place for place, (name,) in enumerate(self._begun())}
            found.sort(key=lambda one: order.get(one.trip, -1))
        return tuple(found)

    def trips(
        self,
        now: datetime,
        tz: tzinfo,
        most: int,
        but: str | None = None,
        home: Place | None = None,
    ) -> tuple[Trip, ...]:
        """Return the latest trips but one, as `trip_codec` keeps them, in the order of their beginning."""
        sql = "SELECT body FROM summaries WHERE trip = ? AND entries > 0"
        with explain_faults(self._path):
            names = [name for (name,) in self._begun() if name != but][-most:]
            frame = _Frame(tz, home)
            loose = {trip.id: trip for trip, _ in self._brought_up(now, frame, but, names)}
            rows = {name: self._db.execute(sql, (name,)).fetchone() for name in names}
        found = (loose.get(n) or (decode_trip(rows[n][0]) if rows[n] else None) for n in names)
        return tuple(trip for trip in found if trip is not None)

    def _begun(self) -> list[tuple[str]]:
        sql = f"SELECT t.id FROM trips AS t WHERE {_OWN} ORDER BY t.seq"
        return list(self._db.execute(sql).fetchall())

    def _brought_up(
        self, now: datetime, frame: _Frame, but: str | None, names: Iterable[str] | None = None
    ) -> list[tuple[Trip, Summary | None]]:
        """Make what is missing; return the trips that still change by themselves and are not kept."""
        sql = _MISSING.format(among=_ALL if names is None else _NAMED)
        among = None if names is None else json.dumps(list(names))
        wanted = [name for (name,) in self._db.execute(sql, (frame.key, among)) if name != but]
        loose: list[tuple[Trip, Summary | None]] = []
        for start in range(0, len(wanted), BATCH):
            made = [self._made(name, now, frame) for name in wanted[start : start + BATCH]]
            settled = [one for one in made if is_settled(one.trip, now)]
            kept = {one.name for one in settled} if self._keep(settled, frame.key) else set()
            loose += [(m.trip, m.figures) for m in made if m.name not in kept and m.trip.entries]
        return loose

    def _made(self, name: str, now: datetime, frame: _Frame) -> _Made:
        records, through = self._read(name)
        trip = self._sailed(fold(standing_entries(records)))
        return _Made(name, trip, through, summary(trip, now, frame.tz, frame.home))

    def forget(self, start: datetime, end: datetime) -> None:
        """Make the figures of trips anew that may have been under way then: their track has grown."""
        sql = "DELETE FROM summaries WHERE first_at <= ? AND last_at >= ?"
        with explain_faults(self._path):
            self._db.execute(sql, (to_text(end), to_text(start)))

    def _sailed(self, trip: Trip) -> Trip:
        """Return a trip of this boat with its track."""
        if trip.first_at is None or trip.last_at is None:
            return trip
        rows = self._db.execute(_TRACK, (to_text(trip.first_at), to_text(trip.last_at), trip.id))
        return with_track(
            trip,
            (Fix(from_text(at), north, east, stamp=Stamp(water_c=water_c))
             for at, north, east, water_c in rows),
        )  # fmt: skip

    def _keep(self, made: Sequence[_Made], key: str) -> bool:
        """Keep figures; False where the log is read-only or busy: then they are made again next time."""
        if not made:
            return True
        try:
            self._db.execute("PRAGMA busy_timeout = 0")
            self._db.execute("BEGIN IMMEDIATE")
            for one in made:
                row = (one.name, key, one.through, *_columns(one.trip, one.figures))
                self._db.execute(_KEEP, row)
            self._db.execute("COMMIT")
        except sqlite3.OperationalError:
            if self._db.conn.in_transaction:
                self._db.conn.rollback()
            return False
        finally:
            self._db.execute(f"PRAGMA busy_timeout = {int(BUSY_S * 1000)}")
        return True


def _columns(trip: Trip, one: Summary | None) -> Iterator[object]:
    if one is None:
        yield from ("", "", "", None, 0, "[]", b"", b"", b"", "")
        return
    yield from (to_text(one.first_at), to_text(one.last_at), to_text(one.started))
    yield None if one.ended is None else to_text(one.ended)
    yield from (one.entries, write_labels(one.labels))
    for table in (one.water, one.fish, one.stages):
        yield table.data
    yield encode_trip(trip)


def _summary(row: Sequence[object]) -> Summary:
    name, first_at, last_at, started, ended, entries, labels, water, fish, stages = row
    return Summary(
        str(name),
        from_text(str(first_at)),
        from_text(str(last_at)),
        from_text(str(started)),
        None if ended is None else from_text(str(ended)),
        int(str(entries)),
        read_labels(str(labels)),
        _table(water, WATER),
        _table(fish, FISH),
        _table(stages, STAGES),
    )


def _table(data: object, columns: tuple[str, ...]) -> PackedTable:
    return PackedTable(data if isinstance(data, bytes) else b"", len(columns))


def write_labels(labels: Sequence[Sequence[str]]) -> str:
    """Return labels as text, with separators after each and between kinds; as JSON where one holds these."""
    text = _KIND.join("".join(word + _WORD for word in words) for words in labels)
    signs = (text.count(_WORD), text.count(_KIND), text.count(_AS_JSON))
    if signs == (sum(map(len, labels)), len(labels) - 1, 0):
        return text
    return _AS_JSON + json.dumps(labels, ensure_ascii=False, separators=(",", ":"))


def read_labels(text: str) -> tuple[tuple[str, ...], ...]:
    """Read labels that `write_labels` wrote: a thousand trips have sixty thousand."""
    if text.startswith(_AS_JSON):
        return tuple(tuple(words) for words in json.loads(text[len(_AS_JSON) :]))
    return tuple(tuple(words.split(_WORD)[:-1]) for words in text.split(_KIND))
