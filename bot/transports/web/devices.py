"""Which phones were let in: one small SQLite file, which holds digests of their keys only.

Every method is one transaction. One thread only.
"""

import secrets
import sqlite3
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from pathlib import Path
from typing import Final

from bot.transports.pairing import GUESSES, LIFE, digest, new_code

ROLES: Final = ("crew", "guest", "skipper")
"""As what a phone may be let in; each has a code of its own."""

_SCHEMA: Final = """
CREATE TABLE IF NOT EXISTS devices (
  id INTEGER PRIMARY KEY AUTOINCREMENT, key TEXT NOT NULL UNIQUE, name TEXT NOT NULL, since TEXT NOT NULL,
  role TEXT NOT NULL DEFAULT 'crew'
) STRICT;
"""


@dataclass(frozen=True, slots=True)
class Device:
    """A phone that was let in, who holds it, and what he may do."""

    id: int
    name: str
    role: str = "crew"


class Devices:
    """The file, and the codes that are on offer."""

    def __init__(self, path: Path) -> None:
        self._db = sqlite3.connect(path, timeout=2.0, isolation_level=None)
        self._db.execute("PRAGMA journal_mode=WAL")
        self._db.executescript(_SCHEMA)
        columns = [row[1] for row in self._db.execute("PRAGMA table_info(devices)")]
        if "role" not in columns:  # made before there were roles
            self._db.execute("ALTER TABLE devices ADD COLUMN role TEXT NOT NULL DEFAULT 'crew'")
        self._offers: dict[str, str] = {}
        self._until: datetime | None = None
        self._guesses = 0

    def close(self) -> None:
        """Close the file."""
        self._db.close()

    def offer(self, now: datetime) -> Mapping[str, str]:
        """Make the one-time codes, by role, that let the next phone in; earlier ones end."""
        codes = {role: new_code() for role in ROLES}
        self._offers = {digest(code): role for role, code in codes.items()}
        self._until, self._guesses = now + LIFE, GUESSES
        return codes

    def role_of(self, code: str, now: datetime) -> str | None:
        """Say as what a code lets in; None, and a guess less, for a wrong or old one."""
        if self._until is None or now >= self._until or self._guesses <= 0:
            return None
        role = self._offers.get(digest(code))
        if role is None:
            self._guesses -= 1
        return role

    def let_in(self, role: str, name: str, now: datetime) -> str:
        """Let a phone in, which ends the codes on offer; gives the phone's key."""
        self._offers, self._until = {}, None
        key = secrets.token_urlsafe(32)
        self._db.execute(
            "INSERT INTO devices (key, name, since, role) VALUES (?, ?, ?, ?)",
            (_hash(key), name, now.isoformat(), role),
        )
        return key

    def has(self, name: str) -> bool:
        """Say whether a phone was let in under a name."""
        names = (row[0].casefold() for row in self._db.execute("SELECT name FROM devices"))
        return name.casefold() in names

    def has_skipper(self) -> bool:
        """Say whether a skipper was let in; until then every one of the crew may do all."""
        query = "SELECT 1 FROM devices WHERE role = 'skipper' LIMIT 1"
        return self._db.execute(query).fetchone() is not None

    def find(self, key: str | None) -> Device | None:
        """Give the phone that holds this key."""
        if not key:
            return None
        row = self._db.execute(
            "SELECT id, name, role FROM devices WHERE key = ?", (_hash(key),)
        ).fetchone()
        return Device(*row) if row else None


def _hash(key: str) -> str:
    return sha256(key.encode()).hexdigest()
