"""How the file of the log is set up, how it gets to the disk, how its errors are said in one line.

A log that cannot be written now is read all the same: copied into memory, where nothing can be added.
"""

import logging
import os
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

from bot.errors import LogbookError
from bot.logbook.backups import BACKUPS, copies, way_back
from bot.logbook.folder import sync_names, why_not_written
from bot.logbook.pages import begins_as_database, has_damaged_pages
from bot.logbook.schema import migrations, unknown_migrations
from bot.logbook.sqlite import Database

BUSY_S: Final = 5.0
"""How long to wait for another process's lock before failing."""
_NOT_WRITTEN: Final = ("readonly", "unable to open", "full", "disk I/O", "only be read")
_log = logging.getLogger(__name__)
MOST_BYTES: Final = 300_000_000
"""A log that is larger is not copied into memory."""
_KEPT: Final = ("messages", "trips", "records", "stands", "lures", "track", "trays")
_REFUSE: Final = """CREATE TEMP TRIGGER {table}_only_read BEFORE INSERT ON main.{table}
    BEGIN SELECT RAISE(ABORT, 'can only be read now'); END"""
_open: dict[tuple[int, int], int] = {}
"""Files of logs that were copied beside SQLite, by device and inode: open until the process ends. Closing
one would drop the locks that another connection of the process has on it (see `pages`)."""


def prepare(connection: sqlite3.Connection, path: Path) -> Database:
    """Set a connection up and bring the tables up to date."""
    db = Database(connection, execute_plugins=False)  # nothing of others runs on the log
    db.execute("PRAGMA journal_mode = WAL")
    db.execute("PRAGMA synchronous = FULL")
    if newer := unknown_migrations(db):
        raise LogbookError(
            f"{path}: a newer deckcall made this log ({newer[-1]}); update deckcall to open it"
        )
    if migrations.pending(db):
        db.execute("BEGIN IMMEDIATE")
        migrations.apply(db)
        db.execute("COMMIT")
    return db


@dataclass(frozen=True, slots=True)
class OpenLog:
    """A log that was opened."""

    db: Database
    only_read: str | None = None
    """Why nothing can be added to it now; then it is a copy in memory."""


def open_log(path: Path, check: bool = False) -> OpenLog:
    """Open a log, or a copy of it in memory where it cannot be written now.

    With `check` its pages are looked through first. Raises sqlite3.Error or LogbookError.
    """
    if _is_there(path) and (why := why_not_written(path)):
        return _only_read(path, why)
    _refuse_lost(path)
    connection = sqlite3.connect(path, timeout=BUSY_S, isolation_level=None)
    try:
        if check:
            _refuse_damaged(connection, path)
        return OpenLog(prepare(connection, path))
    except BaseException:
        connection.close()
        raise


def _is_there(path: Path) -> bool:
    return path.exists() and path.stat().st_size > 0


def _only_read(path: Path, why: str) -> OpenLog:
    """Return a copy in memory of a log that cannot be written."""
    if not begins_as_database(path):
        raise LogbookError(f"{path} {_no_database(path)}")
    try:
        memory = in_memory(path)
    except (OSError, sqlite3.Error) as problem:
        raise LogbookError(f"{path} cannot be written nor copied: {why}") from problem
    db = prepare(memory, path)
    refuse_writing(memory)
    _log.warning("%s can only be read now: %s", path, why)
    return OpenLog(db, why)


def _refuse_damaged(connection: sqlite3.Connection, path: Path) -> None:
    """Raise LogbookError where pages of a log are damaged, before anything is added to it."""
    if not path.exists() or not path.stat().st_size:
        return
    if has_damaged_pages(connection, path.stat().st_size):
        raise LogbookError(f"{path} is damaged; {way_back(path)}")


def flush(path: Path) -> None:
    """Wait until all that was committed to a log is on the disk; any thread may. Raises LogbookError.

    The same call on the same file as SQLite's own with `synchronous=FULL` (sqlite.org/wal.html: a
    transaction is safe once the write-ahead log is synced; a checkpoint syncs by itself).
    """
    try:
        file = os.open(path.with_name(f"{path.name}-wal"), os.O_RDWR)
    except FileNotFoundError:
        return  # nothing was written since the last checkpoint
    except OSError as problem:
        raise LogbookError(f"{path}: cannot be synced ({problem.strerror})") from problem
    try:
        os.fsync(file)
        sync_names(path.parent)  # the write-ahead log may be new
    except OSError as problem:
        raise LogbookError(f"{path}: the disk does not take it ({problem.strerror})") from problem
    finally:
        os.close(file)


@contextmanager
def explain_faults(path: Path) -> Iterator[None]:
    """Yield in one line what is the matter with the file."""
    try:
        yield
    except sqlite3.Error as problem:
        text = str(problem)
        reasons = (
            ("not a database", _no_database(path)),
            ("locked", "is in use by another program; end it and try again"),
            ("readonly", "cannot be written; check who owns it and whether the disk is read-only"),
            ("unable to open", "cannot be opened; check the folder and who owns it"),
            ("full", "cannot grow, the disk is full; make room and say it again"),
            ("only be read", "can only be read now; nothing was logged"),
            ("malformed", f"is damaged; {way_back(path)}"),
        )
        why = next((reason for word, reason in reasons if word in text), f"failed: {text}")
        if any(word in text for word in _NOT_WRITTEN) and (true := why_not_written(path)):
            why = f"cannot be written: {true}"
        raise LogbookError(f"{path} {why}") from problem


def _refuse_lost(path: Path) -> None:
    """Refuse to begin a new log where one was lost: its file is gone or empty, its copies are not."""
    if path.exists() and path.stat().st_size and not begins_as_database(path):
        raise LogbookError(f"{path} {_no_database(path)}")  # SQLite would drop its write-ahead log
    written = [path, path.with_name(f"{path.name}-wal")]
    if copies(path.parent) and not any(one.exists() and one.stat().st_size for one in written):
        raise LogbookError(
            f"{path} is missing or empty; {way_back(path)}"
            f" (to begin a new log, move the folder {BACKUPS} away)"
        )


def _no_database(path: Path) -> str:
    if copies(path.parent):
        return f"is not a log of deckcall, or is damaged; {way_back(path)}"
    return "is not a log of deckcall; move it away or set DECKCALL_HOME"


def in_memory(path: Path) -> sqlite3.Connection:
    """Copy a log with its write-ahead log into memory; raises OSError or sqlite3.Error."""
    if path.stat().st_size > MOST_BYTES:
        raise OSError(0, "it is too large to be copied")
    wal = path.with_name(f"{path.name}-wal")
    memory = sqlite3.connect(":memory:", isolation_level=None)
    if not wal.exists() or not wal.stat().st_size:
        _copy(f"{path.resolve().as_uri()}?mode=ro&immutable=1", memory)
        return memory
    with TemporaryDirectory() as folder:
        _copied(path, Path(folder))
        shutil.copy(wal, folder)
        _copy((Path(folder) / path.name).as_uri(), memory)
    return memory


def refuse_writing(memory: sqlite3.Connection) -> None:
    """Let nothing be added to what stands for the log."""
    for table in _KEPT:
        memory.execute(_REFUSE.format(table=table))


def _copy(uri: str, memory: sqlite3.Connection) -> None:
    source = sqlite3.connect(uri, uri=True)
    try:
        source.backup(memory)
    finally:
        source.close()


def _copied(path: Path, folder: Path) -> None:
    """Copy the file of a log, whatever SQLite thinks of its length; raises OSError."""
    if os.name != "posix":
        shutil.copy(path, folder)  # locks belong to the descriptor there, not to the process
        return
    found = path.stat()
    key = found.st_dev, found.st_ino
    if key not in _open:
        _open[key] = os.open(path, os.O_RDONLY | os.O_CLOEXEC)
    with (folder / path.name).open("wb") as out:
        while data := os.pread(_open[key], 1 << 20, out.tell()):
            out.write(data)
