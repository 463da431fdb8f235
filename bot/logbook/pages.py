"""Check whether a file is a database, and whether its pages are damaged, before anything is added to it.

Nothing here opens the file beside SQLite: closing it would drop every lock that the process has on it
(sqlite.org/howtocorrupt.html, section 2.2), and the next program that only reads would take the write-ahead
log away from under the one that writes. SQLite shares one descriptor among the connections of a process.
"""

import sqlite3
from pathlib import Path
from typing import Final

CHECKED_BYTES: Final = 100_000_000
"""A log of at most so many bytes is looked through whole each time before calls are added (0.1 s for all of
it); of a longer one, the newest rows and a part of about this size. Raising it makes starts slower."""
NEWEST: Final = 2000
"""Rows at the end of each table that are read at every start: what a cut of power may have torn."""
_GROWING: Final = ("messages", "trips", "records", "stands")
_SMALL: Final = ("lures", "summaries", "imported", "reminded")


def begins_as_database(path: Path) -> bool:
    """Return whether a file begins as SQLite's do (sqlite.org/fileformat2.html, section 1.3).

    Raises sqlite3.OperationalError where it cannot be opened.
    """
    if path.exists() and not path.stat().st_size:
        return False
    alone = (
        f"{path.resolve().as_uri()}?mode=ro&immutable=1"  # no lock, no look at its write-ahead log
    )
    connection = sqlite3.connect(alone, uri=True)
    try:
        connection.execute("PRAGMA schema_version").fetchone()
    except sqlite3.DatabaseError as problem:
        if problem.sqlite_errorcode == sqlite3.SQLITE_NOTADB:
            return False
        if problem.sqlite_errorcode & 0xFF == sqlite3.SQLITE_CANTOPEN:
            raise
    finally:
        connection.close()
    return True


def has_damaged_pages(connection: sqlite3.Connection, size: int) -> bool:
    """Return whether pages of a log of so many bytes are damaged; raises sqlite3.DatabaseError for some.

    A log of up to `CHECKED_BYTES` is checked whole. Of a longer one the small tables are, the newest rows of
    those that grow, and one part of their other rows: the next part once a message was added.
    """
    connection.execute("PRAGMA cell_size_check = ON")
    if size <= CHECKED_BYTES:
        return not _is_ok(connection, "quick_check(1)")
    there = {name for (name,) in connection.execute("SELECT name FROM sqlite_master")}
    if not all(_is_ok(connection, f"quick_check({name})") for name in _SMALL if name in there):
        return True
    parts = 1 + size // CHECKED_BYTES
    part = _last(connection, _GROWING[0]) % parts if _GROWING[0] in there else 0
    for table in there.intersection(_GROWING):
        last = _last(connection, table)
        share = 1 + last // parts
        _read(connection, table, last - NEWEST, last)
        _read(connection, table, part * share, (part + 1) * share)
    if "track" in there:
        _all(connection.execute("SELECT * FROM track ORDER BY at DESC LIMIT ?", (NEWEST,)))
    return False


def _is_ok(connection: sqlite3.Connection, check: str) -> bool:
    return bool(connection.execute(f"PRAGMA {check}").fetchone()[0] == "ok")


def _last(connection: sqlite3.Connection, table: str) -> int:
    return int(connection.execute(f"SELECT coalesce(max(seq), 0) FROM {table}").fetchone()[0])


def _read(connection: sqlite3.Connection, table: str, after: int, to: int) -> None:
    _all(
        connection.execute(f"SELECT * FROM {table} WHERE seq > ? AND seq <= ?", (after, to)),
    )


def _all(rows: sqlite3.Cursor) -> None:
    """Read rows whole, keeping none; raises sqlite3.DatabaseError where a page of them is damaged."""
    for _ in rows:
        pass
