"""The tables of the log, as migrations: a new table is a new function here, an old one never changes.

`messages`, `records`, `stands` and `trips` only ever grow; triggers abort anything else. `lures` is the
tackle box, `trays` what was made ready by name; both may change. `summaries` follows from the records and may
be made anew; `track` is what the instruments measured, `reminded` what was said unasked.
The view `entries` is the contract's.
"""

from collections.abc import Iterable
from typing import Final

from bot.logbook.sqlite import Database, Migrations

migrations = Migrations("deckcall")

APPEND_ONLY: Final = ("messages", "records", "stands", "trips")

_TABLES: Final = """
CREATE TABLE messages (
    seq INTEGER PRIMARY KEY AUTOINCREMENT,
    id TEXT NOT NULL UNIQUE,
    ref TEXT UNIQUE,
    crew TEXT NOT NULL,
    source TEXT NOT NULL,
    said_at TEXT NOT NULL,
    arrived_at TEXT NOT NULL,
    text TEXT,
    sound TEXT,
    alternatives TEXT NOT NULL,
    outcome TEXT NOT NULL,
    confidence REAL NOT NULL,
    reply TEXT NOT NULL
) STRICT;
CREATE TABLE trips (
    seq INTEGER PRIMARY KEY AUTOINCREMENT,
    id TEXT NOT NULL UNIQUE,
    first_at TEXT NOT NULL
) STRICT;
CREATE TABLE records (
    seq INTEGER PRIMARY KEY AUTOINCREMENT,
    id TEXT NOT NULL UNIQUE,
    message TEXT NOT NULL,
    trip TEXT NOT NULL,
    at TEXT NOT NULL,
    kind TEXT NOT NULL,
    version INTEGER NOT NULL,
    crew TEXT NOT NULL,
    source TEXT NOT NULL,
    text TEXT NOT NULL,
    body TEXT NOT NULL
) STRICT;
CREATE INDEX records_by_trip ON records (trip, seq);
CREATE INDEX records_by_kind ON records (kind, seq);
CREATE TABLE stands (
    seq INTEGER PRIMARY KEY AUTOINCREMENT,
    entry TEXT NOT NULL,
    void INTEGER NOT NULL,
    record TEXT NOT NULL
) STRICT;
CREATE INDEX stands_by_entry ON stands (entry, seq);
CREATE TABLE lures (
    name TEXT NOT NULL PRIMARY KEY,
    head TEXT,
    size_in REAL NOT NULL,
    colours TEXT NOT NULL,
    hook_gauge TEXT,
    hooks INTEGER,
    leader_kg REAL,
    leader_m REAL,
    ready INTEGER NOT NULL,
    speed_min_kn REAL,
    speed_max_kn REAL,
    imported_at TEXT NOT NULL
) STRICT;
"""

_ENTRIES: Final = """
CREATE VIEW entries AS
SELECT r.id, r.trip, r.at,
    json_extract(r.body, '$.call.act') AS act,
    json_extract(r.body, '$.call.position') AS position,
    json_extract(r.body, '$.call.lure') AS lure,
    json_extract(r.body, '$.call.size_in') AS size_in,
    (SELECT group_concat(c.value, ' ') FROM json_each(r.body, '$.call.colours') AS c) AS colours,
    json_extract(r.body, '$.call.species') AS species,
    json_extract(r.body, '$.call.count') AS count,
    json_extract(r.body, '$.call.length_cm') AS length_cm,
    json_extract(r.body, '$.call.weight_kg') AS weight_kg,
    r.crew, r.source, r.text,
    coalesce(
        (SELECT s.void FROM stands AS s WHERE s.entry = r.id ORDER BY s.seq DESC LIMIT 1), 0
    ) AS void
FROM records AS r
WHERE r.kind = 'entry'
"""

_SLOTS: Final = (
    "side", "head", "what", "angler", "tagged", "tag", "tray", "speed_kn", "water_c", "depth_m",
    "drag_kg", "wind_kn", "wind_from", "sea_m",
)  # fmt: skip
"""Columns of the view that its first form lacked."""

# A replacing insert deletes the old row without the delete trigger, unless recursive triggers are
# on, and that is a setting of each connection; hence the third trigger.
_GUARD: Final = """
CREATE TRIGGER {table}_keep_{verb} BEFORE {verb} ON {table}
BEGIN SELECT RAISE(ABORT, 'the log is only added to: {table}'); END;
"""
_GUARD_INSERT: Final = """
CREATE TRIGGER {table}_keep_id BEFORE INSERT ON {table}
WHEN EXISTS (SELECT 1 FROM {table} WHERE {key} = NEW.{key} OR seq = NEW.seq)
BEGIN SELECT RAISE(ABORT, 'the log is only added to: {table}'); END;
"""


@migrations()
def first_tables(db: Database) -> None:
    """Make messages, records and what stands of them, trips, the tackle box and the view."""
    for statement in (*_TABLES.split(";"), _ENTRIES):
        if statement.strip():
            db.execute(statement)
    for table in APPEND_ONLY:
        for verb in ("UPDATE", "DELETE"):
            db.execute(_GUARD.format(table=table, verb=verb))
        key = "seq" if table == "stands" else "id"
        db.execute(_GUARD_INSERT.format(table=table, key=key))


@migrations()
def trip_summaries(db: Database) -> None:
    """Make the table of what earlier trips came to; see `summaries`. It may be emptied at any time."""
    db.execute(
        """CREATE TABLE summaries (
            trip TEXT NOT NULL PRIMARY KEY,
            key TEXT NOT NULL,
            through INTEGER NOT NULL,
            first_at TEXT NOT NULL,
            last_at TEXT NOT NULL,
            started TEXT NOT NULL,
            ended TEXT,
            entries INTEGER NOT NULL,
            labels TEXT NOT NULL,
            water BLOB NOT NULL,
            fish BLOB NOT NULL,
            stages BLOB NOT NULL,
            body TEXT NOT NULL
        ) STRICT"""
    )


@migrations()
def imported_trips(db: Database) -> None:
    """Make the table of trips that were logged elsewhere: on another boat, or on another machine."""
    db.execute(
        """CREATE TABLE imported (
            trip TEXT NOT NULL PRIMARY KEY,
            boat TEXT NOT NULL,
            elsewhere INTEGER NOT NULL,
            imported_at TEXT NOT NULL
        ) STRICT"""
    )


@migrations()
def records_by_message(db: Database) -> None:
    """Find what a message made without reading the whole log."""
    db.execute("CREATE INDEX records_by_message ON records (message)")


@migrations()
def messages_with_sound(db: Database) -> None:
    """Find the recordings without reading every message, at each start."""
    db.execute("CREATE INDEX messages_with_sound ON messages (seq) WHERE sound IS NOT NULL")


@migrations()
def track_and_reminders(db: Database) -> None:
    """Make the tables of the boat's track, by time, and of reminders given, by channel."""
    db.execute(
        """CREATE TABLE track (
            at TEXT NOT NULL PRIMARY KEY,
            latitude REAL NOT NULL,
            longitude REAL NOT NULL,
            within_m REAL,
            cog_deg REAL,
            sog_kn REAL,
            stw_kn REAL,
            heading_deg REAL,
            water_c REAL,
            depth_m REAL
        ) STRICT, WITHOUT ROWID"""
    )
    db.execute(
        """CREATE TABLE reminded (
            trip TEXT NOT NULL,
            channel TEXT NOT NULL,
            key TEXT NOT NULL,
            at TEXT NOT NULL,
            PRIMARY KEY (trip, channel, key)
        ) STRICT, WITHOUT ROWID"""
    )


@migrations()
def entries_with_every_slot(db: Database) -> None:
    """Make the view `entries` anew, with every slot of an act as a column."""
    slots = ", ".join(f"json_extract(r.body, '$.call.{slot}') AS {slot}" for slot in _SLOTS)
    db.execute("DROP VIEW entries")
    db.execute(_ENTRIES.replace("r.source, r.text,", f"r.source, r.text, {slots},"))


@migrations()
def meanings_of_words(db: Database) -> None:
    """Read the words of old entries once, and keep what they mean with the entry.

    The only change of a row that was ever made: the guard is lifted for it, in the same transaction.
    What follows from entries is worked out anew.
    """
    from bot.logbook.old_words import read_once

    db.execute("DROP TRIGGER records_keep_UPDATE")
    read_once(db)
    db.execute(_GUARD.format(table="records", verb="UPDATE"))
    db.execute("DELETE FROM summaries")


@migrations()
def trays(db: Database) -> None:
    """Make the trays that were imported or planned by name."""
    db.execute(
        """CREATE TABLE trays (
            key TEXT NOT NULL PRIMARY KEY,
            body TEXT NOT NULL,
            made_at TEXT NOT NULL
        ) STRICT, WITHOUT ROWID"""
    )


MIGRATIONS: Final = (
    first_tables, trip_summaries, imported_trips, records_by_message, messages_with_sound,
    track_and_reminders, entries_with_every_slot, meanings_of_words, trays,
)  # fmt: skip
"""All migrations, oldest first."""


def unknown_migrations(db: Database) -> tuple[str, ...]:
    """Return the migrations that the file has and this program does not know: it is of a newer one."""
    return newer_migrations(m.name for m in migrations.applied(db))


def newer_migrations(applied: Iterable[str]) -> tuple[str, ...]:
    """Return the names of migrations that this program does not know."""
    return tuple(sorted({str(name) for name in applied} - {m.__name__ for m in MIGRATIONS}))
