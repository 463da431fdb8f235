"""The log on disk: opened, read, and added to. The only code that writes it.

One transaction for a message: when `record` returns, message, reply and entries are on the disk
(write-ahead log, `synchronous=FULL`). A `Logbook` belongs to the thread that opened it. Reading a
trip is an indexed query, and only what is new since the last time.
"""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import astuple, dataclass
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import Any, Final

from bot.errors import LogbookError
from bot.findings import Finding
from bot.logbook import codec
from bot.logbook.folder import keep_sound, make_home, why_not_written
from bot.logbook.ids import Ids
from bot.logbook.opening import explain_faults, open_log
from bot.logbook.sqlite import Database
from bot.logbook.summaries import Summaries
from bot.messages import Message, Reply
from bot.tackle.box import name_key
from bot.tackle.items import Lure
from bot.transcript import Transcript
from bot.trip.entry import Asked, Record, Restored, Voided

FILE: Final = "deckcall.db"
EDIT: Final = "#edit-"
"""Between the ref of a message and the time of an edit (seconds since 1970), in the ref of the edit."""

_ROW: Final = "id, message, trip, at, kind, version, crew, source, text, body"
_CHANGED: Final = (
    "head", "size_in", "colours", "hook_gauge", "hooks", "leader_kg", "leader_m", "ready",
    "speed_min_kn", "speed_max_kn", "imported_at",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class MessageRecord:
    """One message with all that came of it: what is kept together, or not at all."""

    id: str
    message: Message
    reply: Reply
    outcome: str
    """One word for what came of it, e.g. `logged`, `answered`, `asked`, `refused`, `not understood`."""
    records: tuple[Record, ...] = ()
    trip: str = ""
    """The trip of the records that are not entries."""
    transcript: Transcript | None = None
    arrived_at: datetime | None = None
    sound: str | None = None
    """Where its recording lies already, beside the log."""


@dataclass(frozen=True, slots=True)
class Version:
    """One version of a message that was edited: the first, or an edit."""

    id: str
    ref: str
    text: str | None
    acts: frozenset[str]
    """What its reply said had been logged or answered."""


@dataclass(frozen=True, slots=True)
class TripRow:
    """A trip that the log holds."""

    id: str
    first_at: datetime
    boat: str | None = None
    """The boat that it was imported from; None for a trip logged here."""


@dataclass(slots=True)
class _Read:
    """What has been read of a trip so far."""

    seq: int
    records: list[Record]
    findings: list[Finding]


class Logbook:
    """The log of one boat; open it with `Logbook.open`."""

    def __init__(self, home: Path, db: Database) -> None:
        self._home = home
        self._db = db
        self._ids = Ids(self._value("SELECT max(id) FROM (SELECT max(id) AS id FROM records"
                                    " UNION ALL SELECT max(id) FROM messages)"))  # fmt: skip
        self._read: dict[str, _Read] = {}
        self.summaries = Summaries(db, self.path, self._anew)
        self.only_read: str | None = None

    @classmethod
    def open(cls, home: Path, *, check: bool = False) -> "Logbook":
        """Open the log in a folder, or make it; raises LogbookError with one line.

        Where it cannot be written now it is read all the same, and what would be added is refused; with
        `check` it is looked through for damage first.
        """
        path = home / FILE
        try:
            make_home(home)
        except OSError as problem:
            raise LogbookError(
                f"{home}: cannot make the folder of the log ({problem.strerror}); "
                "set DECKCALL_HOME to a folder that can be written"
            ) from problem
        with explain_faults(path):
            found = open_log(path, check)
            try:
                log = cls(home, found.db)
            except BaseException:
                found.db.conn.close()
                raise
        log.only_read = found.only_read
        return log

    def close(self) -> None:
        """Close the log; closing twice does no harm."""
        self._db.conn.close()

    def defer_sync(self) -> Path:
        """Defer fsync, and return the file to `flush` before a reply is shown.

        For those who keep many logs and would wait for the disk for each.
        """
        self._db.execute("PRAGMA synchronous = NORMAL")
        return self.path

    def __enter__(self) -> "Logbook":
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    @property
    def path(self) -> Path:
        """Return the file of the log."""
        return self._home / FILE

    def new_id(self) -> str:
        """Return the next id, for a message, a record or the name of a trip."""
        return self._ids.new()

    # Reading

    def reply_to(self, ref: str | None) -> Reply | None:
        """Return the reply that a message had when it came before, or None."""
        if ref is None:
            return None
        with explain_faults(self.path):
            text = self._value("SELECT reply FROM messages WHERE ref = ?", ref)
        return None if text is None else codec.decode_reply(text)

    def versions(self, ref: str) -> tuple[Version, ...]:
        """Return what the log holds of a message and of its edits, in the order in which they came."""
        sql = (
            "SELECT id, ref, text, reply FROM messages"
            " WHERE ref = ? OR (ref > ? AND ref < ?) ORDER BY seq"
        )
        with explain_faults(self.path):
            rows = self._db.execute(sql, (ref, f"{ref}{EDIT}", f"{ref}{EDIT}:")).fetchall()
        return tuple(
            Version(
                name, own, text, frozenset(call["act"] for call in codec.decode_reply(reply).calls)
            )
            for name, own, text, reply in rows
        )

    def trip_of(self, messages: Sequence[str]) -> str | None:
        """Return the trip of the entries that messages made, or None where they made none."""
        marks = ", ".join("?" * len(messages))
        sql = f"SELECT trip FROM records WHERE message IN ({marks}) AND kind = ? ORDER BY seq DESC"
        with explain_faults(self.path):
            return self._value(f"{sql} LIMIT 1", *messages, codec.ENTRY)

    def latest_trip(self) -> str | None:
        """Return the last trip logged here of which an entry stands, or None; it may have ended."""
        # the plus keeps SQLite to the index by trip: by kind it would read every entry of the log
        sql = f"""SELECT id FROM trips AS t WHERE EXISTS (
            SELECT 1 FROM records AS r WHERE r.trip = t.id AND +r.kind = '{codec.ENTRY}'
            AND coalesce((SELECT s.void FROM stands AS s WHERE s.entry = r.id
                          ORDER BY s.seq DESC LIMIT 1), 0) = 0)
            AND t.id NOT IN (SELECT trip FROM imported)
            ORDER BY t.seq DESC LIMIT 1"""
        with explain_faults(self.path):
            return self._value(sql)

    def last_trip(self) -> str | None:
        """Return the trip that was begun here last, though all of it may be void; None without any."""
        with explain_faults(self.path):
            return self._value(
                "SELECT id FROM trips WHERE id NOT IN (SELECT trip FROM imported)"
                " ORDER BY seq DESC LIMIT 1"
            )

    def trips(self) -> tuple[TripRow, ...]:
        """Return all trips in the order in which they were begun."""
        with explain_faults(self.path):
            rows = self._db.execute(
                "SELECT t.id, t.first_at, i.boat FROM trips AS t"
                " LEFT JOIN imported AS i ON i.trip = t.id ORDER BY t.seq"
            ).fetchall()
        return tuple(TripRow(name, codec.from_text(at), boat) for name, at, boat in rows)

    def records(self, trip: str | None) -> tuple[Record, ...]:
        """Return the records of a trip in the order in which they were made."""
        return () if trip is None else tuple(self._trip(trip).records)

    def findings(self, trip: str) -> tuple[Finding, ...]:
        """Return what could not be read of a trip."""
        return tuple(self._trip(trip).findings)

    def last_questions(self, most: int = 24) -> tuple[Asked, ...]:
        """Return the last questions that were put to the crew, in any trip, the latest first."""
        sql = f"SELECT {_ROW} FROM records WHERE kind = ? ORDER BY seq DESC LIMIT ?"
        with explain_faults(self.path):
            rows = self._db.execute(sql, (codec.ASKED, most)).fetchall()
        found = (codec.decode(codec.Row(*row)) for row in rows)
        return tuple(one for one in found if isinstance(one, Asked))

    def rows(self, sql: str, *values: object) -> list[tuple[Any, ...]]:
        """Return what a statement in SQL finds or makes, for the other modules of this package."""
        with explain_faults(self.path):
            return list(self._db.execute(sql, values).fetchall())

    def has_said(self, sentence: str, since: datetime) -> bool:
        """Return whether a sentence of plain ASCII stood in a reply to a message of this time or later."""
        sql = "SELECT max(instr(reply, ?) > 0) FROM messages WHERE said_at >= ?"
        with explain_faults(self.path):
            return bool(self._value(sql, sentence, codec.to_text(since)))

    # Writing

    def record(self, kept: MessageRecord) -> Reply:
        """Keep a message and what came of it; return its reply, or the earlier one if it came before.

        Raises LogbookError; then nothing of it is kept.
        """
        if earlier := self.reply_to(kept.message.ref):
            return earlier
        self._write_again()
        sound = kept.sound or keep_sound(self._home, kept.id, kept.message)
        with explain_faults(self.path), self._transaction():
            earlier = self.reply_to(kept.message.ref)
            if earlier is not None:
                return earlier
            self._insert_message(kept, sound)
            for record in kept.records:
                self._insert_record(record, kept.trip)
        return kept.reply

    def import_lures(self, lures: Sequence[Lure], at: datetime) -> None:
        """Add lures to the tackle box, or bring them up to date by name."""
        changes = ", ".join(f"{name} = excluded.{name}" for name in _CHANGED)
        sql = (
            f"INSERT INTO lures (name, {', '.join(_CHANGED)}) VALUES ({', '.join('?' * 12)}) "
            f"ON CONFLICT (name) DO UPDATE SET {changes}"
        )
        held = {name_key(lure.name): lure.name for lure in self.lures()}
        with explain_faults(self.path), self._transaction():
            for lure in lures:
                known = held.get(name_key(lure.name), lure.name)
                if known != lure.name:
                    self._db.execute("UPDATE lures SET name = ? WHERE name = ?", (lure.name, known))
                self._db.execute(
                    sql,
                    (
                        lure.name, lure.head, lure.size_in, " ".join(lure.colours),
                        lure.hook_gauge, lure.hooks, lure.leader_kg, lure.leader_m,
                        int(lure.ready), lure.speed_min_kn, lure.speed_max_kn, codec.to_text(at),
                    ),
                )  # fmt: skip

    def remove_lure(self, name: str) -> None:
        """Take a lure out of the tackle box; what was logged of it stays."""
        with explain_faults(self.path), self._transaction():
            self._db.execute("DELETE FROM lures WHERE name = ?", (name,))

    def lures(self) -> tuple[Lure, ...]:
        """Return the tackle box by name."""
        columns = ("name", *_CHANGED[:-1])
        sql = f"SELECT {', '.join(columns)} FROM lures ORDER BY name COLLATE NOCASE"
        with explain_faults(self.path):
            rows = self._db.execute(sql).fetchall()
        return tuple(_lure(dict(zip(columns, row, strict=True))) for row in rows)

    def imported_at(self) -> dict[str, datetime]:
        """Return when the box last told about every lure, by its name."""
        with explain_faults(self.path):
            rows = self._db.execute("SELECT name, imported_at FROM lures").fetchall()
        return {name: codec.from_text(at) for name, at in rows}

    # Within

    def _write_again(self) -> None:
        """Open the log anew where it could only be read; raises LogbookError where it still can."""
        if self.only_read is None:
            return
        if why := why_not_written(self.path):
            raise LogbookError(f"{self.path} cannot be written: {why}")
        fresh = Logbook.open(self._home, check=True)
        self._db.conn.close()
        self._db, self.only_read = fresh._db, fresh.only_read
        self._read, self.summaries = {}, Summaries(self._db, self.path, self._anew)

    def _trip(self, trip: str) -> _Read:
        """Read what is new of a trip; only the last trip read is kept in memory."""
        if trip not in self._read:
            self._read = {trip: _Read(0, [], [])}
        return self._go_on(trip, self._read[trip])

    def _anew(self, trip: str) -> tuple[list[Record], int]:
        """Read the records of a trip, and the number of the last, without keeping it in memory."""
        read = self._go_on(trip, _Read(0, [], []))
        return read.records, read.seq

    def _go_on(self, trip: str, read: _Read) -> _Read:
        sql = f"SELECT seq, {_ROW} FROM records WHERE trip = ? AND seq > ? ORDER BY seq"
        with explain_faults(self.path):
            rows = self._db.execute(sql, (trip, read.seq)).fetchall()
        for seq, *row in rows:
            found = codec.decode(codec.Row(*row))
            if isinstance(found, Finding):
                read.findings.append(found)
            else:
                read.records.append(found)
            read.seq = seq
        return read

    def _insert_message(self, kept: MessageRecord, sound: str | None) -> None:
        message = kept.message
        self._db.execute(
            "INSERT INTO messages (id, ref, crew, source, said_at, arrived_at, text, sound,"
            " alternatives, outcome, confidence, reply) VALUES (?,?,?,?,?,?,?,?,?,?,?,?)",
            (
                kept.id, message.ref, message.crew, message.source, codec.to_text(message.at),
                codec.to_text(kept.arrived_at or message.at), message.text, sound,
                codec.encode_transcript(kept.transcript), kept.outcome, kept.reply.confidence,
                codec.encode_reply(kept.reply),
            ),
        )  # fmt: skip

    def _insert_record(self, record: Record, trip: str) -> None:
        ids: tuple[str, ...] = ()
        if isinstance(record, Voided | Restored):
            ids = record.entries
            home = self._value("SELECT trip FROM records WHERE id = ?", ids[0]) if ids else None
            trip = home or trip
        row = codec.encode(record, trip)
        self._db.execute(f"INSERT INTO records ({_ROW}) VALUES (?,?,?,?,?,?,?,?,?,?)", astuple(row))
        for entry in ids:
            self._db.execute(
                "INSERT INTO stands (entry, void, record) VALUES (?,?,?)",
                (entry, int(isinstance(record, Voided)), record.id),
            )
        if row.kind == codec.ENTRY:
            self._db.execute(
                "INSERT INTO trips (id, first_at) SELECT ?, ?"
                " WHERE NOT EXISTS (SELECT 1 FROM trips WHERE id = ?)",
                (row.trip, row.at, row.trip),
            )

    @contextmanager
    def _transaction(self) -> Iterator[None]:
        """Write all of it or nothing; nobody else writes meanwhile."""
        self._db.execute("BEGIN IMMEDIATE")
        try:
            yield
            self._db.execute("COMMIT")
        except BaseException:
            if self._db.conn.in_transaction:
                self._db.conn.rollback()
            raise

    def _value(self, sql: str, *values: str) -> str | None:
        row = self._db.execute(sql, values).fetchone()
        return None if row is None else row[0]


def _lure(values: dict[str, Any]) -> Lure:
    return Lure(
        **(values | {"colours": tuple(values["colours"].split()), "ready": bool(values["ready"])})
    )
