"""How the file of the log is set up, and how its errors are said in one line."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from bot.errors import LogbookError
from bot.logbook.schema import migrations, unknown_migrations
from bot.logbook.sqlite import Database

BUSY_S: Final = 5.0
"""So long another program may hold the log before that is an error."""


def prepared(connection: sqlite3.Connection, path: Path) -> Database:
    """Set a connection up and bring the tables up to date."""
    db = Database(connection)
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


@contextmanager
def explained(path: Path) -> Iterator[None]:
    """Say in one line what is the matter with the file."""
    try:
        yield
    except sqlite3.Error as problem:
        text = str(problem)
        reasons = (
            ("not a database", "is not a log of deckcall; move it away or set DECKCALL_HOME"),
            ("locked", "is in use by another program; end it and try again"),
            ("readonly", "cannot be written; check who owns it and whether the disk is read-only"),
            ("unable to open", "cannot be opened; check the folder and who owns it"),
            ("full", "cannot grow, the disk is full; make room and say it again"),
            ("malformed", "is damaged; restore a copy"),
        )
        why = next((reason for word, reason in reasons if word in text), f"failed: {text}")
        raise LogbookError(f"{path} {why}") from problem
