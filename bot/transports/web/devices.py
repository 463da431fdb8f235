"""Which phones were let in: one small SQLite file, which holds digests of their keys only.

Every method is one transaction. One thread only.
"""

import secrets
import sqlite3
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from pathlib import Path
from typing import Final

from bot.transports.pairing import GUESSES, LIFE, digest, new_code

_SCHEMA: Final = """
CREATE TABLE IF NOT EXISTS devices (
  id INTEGER PRIMARY KEY AUTOINCREMENT, key TEXT NOT NULL UNIQUE, name TEXT NOT NULL, since TEXT NOT NULL
) STRICT;
"""


@dataclass(frozen=True, slots=True)
class Device:
    """A phone that was let in, and who holds it."""

    id: int
    name: str


class Devices:
    """The file, and the one code that is on offer."""

    def __init__(self, path: Path) -> None:
        self._db = sqlite3.connect(path, timeout=2.0, isolation_level=None)
        self._db.execute("PRAGMA journal_mode=WAL")
        self._db.executescript(_SCHEMA)
        self._offer: tuple[str, datetime, int] | None = None

    def close(self) -> None:
        """Close the file."""
        self._db.close()

    def offer(self, now: datetime) -> str:
        """Make the one-time code that lets the next phone in; an earlier one ends."""
        code = new_code()
        self._offer = (digest(code), now + LIFE, GUESSES)
        return code

    def let_in(self, code: str, name: str, now: datetime) -> str | None:
        """Take the code; gives the phone's key, or None for a wrong or old code."""
        if self._offer is None:
            return None
        right, until, guesses = self._offer
        if now >= until or guesses <= 0:
            return None
        if not secrets.compare_digest(right, digest(code)):
            self._offer = (right, until, guesses - 1)
            return None
        self._offer = None
        key = secrets.token_urlsafe(32)
        self._db.execute(
            "INSERT INTO devices (key, name, since) VALUES (?, ?, ?)",
            (_hash(key), name, now.isoformat()),
        )
        return key

    def find(self, key: str | None) -> Device | None:
        """Give the phone that holds this key."""
        if not key:
            return None
        row = self._db.execute(
            "SELECT id, name FROM devices WHERE key = ?", (_hash(key),)
        ).fetchone()
        return Device(*row) if row else None


def _hash(key: str) -> str:
    return sha256(key.encode()).hexdigest()
