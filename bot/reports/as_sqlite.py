"""Entries as a small SQLite file with one table, `entries`, for general tools; no log by itself."""

import sqlite3
from collections.abc import Mapping, Sequence
from typing import Any, Final

_KINDS: Final = {
    "size_in": "REAL", "length_cm": "REAL", "weight_kg": "REAL", "latitude": "REAL",
    "longitude": "REAL", "speed_kn": "REAL", "water_c": "REAL", "depth_m": "REAL",
    "count": "INTEGER", "void": "INTEGER", "tagged": "INTEGER",
}  # fmt: skip


def to_sqlite(columns: Sequence[str], rows: Sequence[Mapping[str, Any]]) -> bytes:
    """Write a database."""
    db = sqlite3.connect(":memory:")
    try:
        typed = ", ".join(f'"{name}" {_KINDS.get(name, "TEXT")}' for name in columns)
        db.execute(f"CREATE TABLE entries ({typed}, PRIMARY KEY (id))")
        marks = ", ".join("?" * len(columns))
        db.executemany(
            f"INSERT INTO entries VALUES ({marks})",
            [[row[name] for name in columns] for row in rows],
        )
        db.execute("CREATE INDEX entries_by_trip ON entries (trip, at)")
        db.commit()
        return db.serialize()
    finally:
        db.close()
