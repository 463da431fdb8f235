"""Entries as a small SQLite file with one table, `entries`, for general tools; no log by itself."""

import sqlite3
from collections.abc import Mapping, Sequence
from typing import Any, Final

from bot.reports.columns import KIND, Kind, column_value

_STORED: Final[Mapping[Kind, str]] = {
    "text": "TEXT", "time": "TEXT", "number": "REAL", "whole": "INTEGER", "flag": "INTEGER",
}  # fmt: skip


def to_sqlite(columns: Sequence[str], rows: Sequence[Mapping[str, Any]]) -> bytes:
    """Write a database."""
    db = sqlite3.connect(":memory:")
    try:
        declared = ", ".join(f'"{name}" {_STORED[KIND[name]]}' for name in columns)
        db.execute(f"CREATE TABLE entries ({declared}, PRIMARY KEY (id)) STRICT")
        marks = ", ".join("?" * len(columns))
        db.executemany(
            f"INSERT INTO entries VALUES ({marks})",
            [[column_value(name, row[name]) for name in columns] for row in rows],
        )
        db.execute("CREATE INDEX entries_by_trip ON entries (trip, at)")
        db.commit()
        return db.serialize()
    finally:
        db.close()
