"""Copies of the log: made while it is in use, checked before they count, and put back in its place.

By SQLite's online backup (sqlite.org/backup.html), so that a copy is whole though others write meanwhile.
A copy gets its name only when it is on the disk and was checked; nothing that was there is lost.
"""

import os
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Final

from bot.errors import LogbookError
from bot.logbook.backups import BACKUPS, PART, REPLACED_PREFIX, copy_name, keep_newest
from bot.logbook.folder import make_home
from bot.logbook.opening import BUSY_S
from bot.logbook.pages import begins_as_database
from bot.logbook.restoring import allow_reading_only, read_rows
from bot.logbook.schema import newer_migrations, unknown_migrations
from bot.logbook.sqlite import Database
from bot.logbook.store import FILE

_BESIDE: Final = ("-wal", "-shm", "-journal")
_NO_LOG: Final = "is no log of deckcall"


@dataclass(frozen=True, slots=True)
class LogSummary:
    """What a log holds."""

    trips: int
    entries: int
    last_at: str | None
    """ISO 8601, UTC."""
    dropped: int = 0
    """Names of recordings that were left out, as no recording of a boat is called that."""


def back_up(home: Path, at: datetime, out: Path | None = None) -> Path:
    """Copy the log of a home to a file, by default beside it; return the file. Raises LogbookError.

    A folder as `out` gets a file named by the time; an earlier copy under the same name is replaced.
    """
    source = home / FILE
    if not source.exists():
        raise LogbookError(f"{source} is not there, so there is nothing to copy")
    target = out or copy_name(at, home / BACKUPS)
    if target.is_dir():
        target = copy_name(at, target)
    _may_replace(target, source)
    with _made(target) as part:
        _copy(source, part)
        look_at(part)
    return target


def back_up_and_keep(home: Path, at: datetime, many: int) -> Path:
    """Copy the log beside itself and keep the newest copies only; raises LogbookError."""
    made = back_up(home, at)
    keep_newest(home, many)
    return made


def look_at(path: Path) -> LogSummary:
    """Check a file from end to end, changing nothing; raises LogbookError where it is no whole log."""
    if not path.is_file():
        raise LogbookError(f"{path} is not there; check the name")
    try:
        db = _reading(path)
        try:
            return _looked(db, path)
        finally:
            db.close()
    except sqlite3.Error as problem:
        what = _NO_LOG if "not a database" in str(problem) else "is damaged"
        raise LogbookError(f"{path} {what} ({problem}); use another copy") from problem


def restore(home: Path, file: Path, at: datetime) -> tuple[LogSummary, Path | None]:
    """Put a copy in the place of the log; return what it holds, and where the log that was there is now.

    The copy is checked first. Raises LogbookError, and then the log is as it was.
    """
    log = home / FILE
    if log.exists() and file.exists() and log.samefile(file):
        raise LogbookError(f"{file} is the log itself; name a copy of it")
    _look_from_outside(file)
    make_home(home)
    kept = copy_name(at, home / BACKUPS, REPLACED_PREFIX)
    with _made(log, before=lambda: _aside(log, kept)) as part:
        dropped = _made_anew(file, part)
        found = replace(look_at(part), dropped=dropped)
    return found, kept if kept.exists() else None


def _look_from_outside(file: Path) -> None:
    """Check a file of a stranger from end to end without running anything of it; raises LogbookError."""
    if not file.is_file():
        raise LogbookError(f"{file} is not there; check the name")
    try:
        db = _reading(file)
        try:
            db.execute("PRAGMA page_count")  # raises here where it is no database
            allow_reading_only(db)
            answer = db.execute("PRAGMA integrity_check(1)").fetchone()[0]
            if answer != "ok":
                raise LogbookError(f"{file} is damaged ({_short(answer)}); use another copy")
            names = {name for (name,) in db.execute("SELECT name FROM sqlite_master")}
            if "_sqlite_migrations" not in names:
                raise LogbookError(f"{file} {_NO_LOG}; nothing was changed")
            newer = newer_migrations(
                name for (name,) in db.execute("SELECT name FROM _sqlite_migrations")
            )
        finally:
            db.close()
    except sqlite3.Error as problem:
        denied = "not authorized" in str(problem) or "prohibited" in str(problem)
        what = _NO_LOG if "not a database" in str(problem) or denied else "is damaged"
        raise LogbookError(f"{file} {what} ({_short(problem)}); use another copy") from problem
    if newer:
        raise LogbookError(
            f"{file}: a newer deckcall made this log ({_short(newer[-1])}); update deckcall to use it"
        )


def _made_anew(file: Path, target: Path) -> int:
    """Copy the rows of a file into a log of their own; return how many names of recordings were dropped."""
    here, there = _reading(file), sqlite3.connect(target)
    try:
        dropped = read_rows(here, there)
        there.execute("PRAGMA journal_mode = DELETE")
        return dropped
    except (ValueError, sqlite3.IntegrityError, sqlite3.DataError) as problem:
        raise LogbookError(
            f"{file} {_NO_LOG} ({_short(problem)}); nothing was changed"
        ) from problem
    finally:
        here.close()
        there.close()


def _short(problem: object) -> str:
    """Return a text of a file or of SQLite as part of one line."""
    return "".join(one if one.isprintable() else "?" for one in " ".join(str(problem).split()))[
        :120
    ]


def _looked(db: sqlite3.Connection, path: Path) -> LogSummary:
    answer = db.execute("PRAGMA integrity_check(1)").fetchone()[0]
    if answer != "ok":
        raise LogbookError(f"{path} is damaged ({' '.join(answer.split())}); use another copy")
    names = {name for (name,) in db.execute("SELECT name FROM sqlite_master")}
    if not {"records", "messages", "entries", "_sqlite_migrations"} <= names:
        raise LogbookError(f"{path} {_NO_LOG}; nothing was changed")
    if newer := unknown_migrations(Database(db, execute_plugins=False)):
        raise LogbookError(
            f"{path}: a newer deckcall made this log ({newer[-1]}); update deckcall to use it"
        )
    entries, trips, last = db.execute(
        "SELECT count(*), count(DISTINCT trip), max(at) FROM entries WHERE NOT void"
    ).fetchone()
    return LogSummary(trips, entries, last)


def _copy(source: Path, target: Path) -> None:
    """Copy a database page by page into a file of its own, without a write-ahead log."""
    here = _reading(source)
    try:
        there = sqlite3.connect(target)
        try:
            here.backup(there)
            there.execute("PRAGMA journal_mode = DELETE")
        finally:
            there.close()
    finally:
        here.close()


def _reading(path: Path) -> sqlite3.Connection:
    """Open a database without changing anything, nor leaving files beside it."""
    alone = not path.with_name(f"{path.name}-wal").exists()
    how = "mode=ro&immutable=1" if alone else "mode=ro"
    return sqlite3.connect(f"{path.resolve().as_uri()}?{how}", uri=True, timeout=BUSY_S)


@contextmanager
def _made(target: Path, before: Callable[[], None] | None = None) -> Iterator[Path]:
    """Yield a file to write to that gets the name of the target when it is whole and on the disk."""
    part = target.with_name(target.name + PART)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        _remove(part)
        yield part
        _synced(part)
        if before is not None:
            before()
        part.replace(target)
        _synced(target.parent)
    except sqlite3.Error as problem:
        raise LogbookError(
            f"{target}: the copy failed ({problem}); nothing was changed"
        ) from problem
    except OSError as problem:
        why = problem.strerror or problem
        raise LogbookError(f"{target}: the copy failed ({why}); nothing was changed") from problem
    finally:
        _remove(part)


def _may_replace(target: Path, source: Path) -> None:
    """Refuse to write over anything but an earlier copy."""
    if not target.exists():
        return
    if target.samefile(source):
        raise LogbookError(f"{target} is the log itself; choose another --out")
    if not begins_as_database(target):
        raise LogbookError(f"{target} is there and {_NO_LOG}; choose another --out")
    if not _is_earlier(target, source):
        raise LogbookError(
            f"{target} is there and is no earlier copy of this log; choose another --out"
        )


def _is_earlier(target: Path, source: Path) -> bool:
    """Return whether a database is a log that began with the same message, or an empty one."""
    begins = []
    for path in (target, source):
        try:
            db = _reading(path)
            try:
                begins.append(db.execute("SELECT id FROM messages ORDER BY seq LIMIT 1").fetchone())
            finally:
                db.close()
        except sqlite3.Error:
            return False
    return begins[0] is None or begins[0] == begins[1]


def _aside(log: Path, kept: Path) -> None:
    """Keep the log that is there under another name too, with all that belongs to it.

    Its write-ahead log has to go first: SQLite would read it into the copy. The log keeps its own name
    until the copy takes it, where the disk can do that, so that there is always one.
    """
    if not log.exists():
        return
    kept.parent.mkdir(exist_ok=True)
    _alone(log)
    for end in _BESIDE:
        with suppress(FileNotFoundError):
            log.with_name(log.name + end).replace(kept.with_name(kept.name + end))
    try:
        kept.hardlink_to(log)
    except (OSError, NotImplementedError):
        log.replace(kept)


def _alone(log: Path) -> None:
    """Make one file of a log and its write-ahead log; raises LogbookError where others have it open."""
    if not begins_as_database(log):
        return  # SQLite would throw the write-ahead log away
    db = sqlite3.connect(log, timeout=0, isolation_level=None)
    try:
        db.execute("PRAGMA journal_mode = DELETE").fetchone()
    except sqlite3.OperationalError as problem:
        if "locked" in str(problem):
            raise LogbookError(
                f"{log} is in use by another program; end it and restore again"
            ) from problem
    except sqlite3.DatabaseError:
        return  # damaged: it is kept as it is
    finally:
        db.close()


def _remove(path: Path) -> None:
    for end in ("", *_BESIDE):
        with suppress(OSError):
            path.with_name(path.name + end).unlink(missing_ok=True)


def _synced(path: Path) -> None:
    """Wait until a file, or the names in a folder, are on the disk."""
    if path.is_dir() and os.name != "posix":
        return  # a folder cannot be opened there
    number = os.open(path, os.O_RDONLY)
    try:
        os.fsync(number)
    finally:
        os.close(number)
