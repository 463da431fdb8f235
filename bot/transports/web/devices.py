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

from bot.errors import TransportError
from bot.transports.pairing import GUESSES, LIFE, digest, new_code, private

ROLES: Final = ("crew", "guest", "skipper")
"""As what a phone may be let in; each has a code of its own."""
IN_ALL: Final = 500
"""Wrong codes of all addresses together that end those on offer: of some 8e11 that there are."""

_SCHEMA: Final = """
CREATE TABLE IF NOT EXISTS devices (
  id INTEGER PRIMARY KEY AUTOINCREMENT, key TEXT NOT NULL UNIQUE, name TEXT NOT NULL, since TEXT NOT NULL,
  role TEXT NOT NULL DEFAULT 'crew'
) STRICT;
CREATE TABLE IF NOT EXISTS offers (
  digest TEXT PRIMARY KEY, role TEXT NOT NULL, until TEXT NOT NULL
) STRICT, WITHOUT ROWID;
"""


@dataclass(frozen=True, slots=True)
class Device:
    """A phone that was let in, who holds it, and what he may do."""

    id: int
    name: str
    role: str = "crew"
    since: str = ""
    """ISO 8601, UTC."""


class Devices:
    """The file, the codes that are on offer, and who has guessed at them."""

    def __init__(self, path: Path) -> None:
        private(path)
        try:
            self._db = sqlite3.connect(path, timeout=2.0, isolation_level=None)
            self._db.execute("PRAGMA journal_mode=WAL")
            self._db.executescript(_SCHEMA)
        except sqlite3.Error as exc:
            raise TransportError(
                f"{path} cannot be used ({exc}); make room on the disk, or check who owns the folder"
            ) from exc
        columns = [row[1] for row in self._db.execute("PRAGMA table_info(devices)")]
        if "role" not in columns:  # made before there were roles
            self._db.execute("ALTER TABLE devices ADD COLUMN role TEXT NOT NULL DEFAULT 'crew'")
        self._guesses: dict[str, int] = {}
        self._guessed_at = ""

    def close(self) -> None:
        """Close the file."""
        self._db.close()

    def offer(self, now: datetime, *, beside: bool = False) -> Mapping[str, str]:
        """Make the one-time codes, by role, that let the next phones in; earlier ones end.

        With `beside` those that nobody has used stay good for what is left of their time.

        They stand in the file, so that another process may make them for the one that serves.
        """
        codes = {role: new_code() for role in ROLES}
        until = (now + LIFE).isoformat()
        self._db.execute("BEGIN IMMEDIATE")
        ended = now.isoformat() if beside else "~"
        self._db.execute("DELETE FROM offers WHERE until <= ?", (ended,))
        self._db.executemany(
            "INSERT INTO offers (digest, role, until) VALUES (?, ?, ?)",
            [(digest(code), role, until) for role, code in codes.items()],
        )
        self._db.execute("COMMIT")
        return codes

    def role_of(self, code: str, now: datetime, address: str = "") -> str | None:
        """Return the role that a code lets in; None for a wrong or old one, which costs this address a guess.

        An address that guessed too often waits for the next codes; others are let in meanwhile.
        """
        rows = self._db.execute("SELECT digest, role, until FROM offers").fetchall()
        made = max((until for _, _, until in rows), default="")
        if made != self._guessed_at:
            self._guesses, self._guessed_at = {}, made
        if self._guesses.get(address, 0) >= GUESSES or sum(self._guesses.values()) >= IN_ALL:
            return None
        wanted = digest(code)
        role = next((r for d, r, until in rows if d == wanted and now.isoformat() < until), None)
        if role is None:
            self._guesses[address] = self._guesses.get(address, 0) + 1
        return role

    def let_in(self, role: str, name: str, now: datetime, code: str) -> str:
        """Let a phone in, which ends the code that it came with and no other; return the phone's key."""
        key = secrets.token_urlsafe(32)
        self._db.execute("BEGIN IMMEDIATE")
        self._db.execute("DELETE FROM offers WHERE digest = ?", (digest(code),))
        self._db.execute(
            "INSERT INTO devices (key, name, since, role) VALUES (?, ?, ?, ?)",
            (_hash(key), name, now.isoformat(), role),
        )
        self._db.execute("COMMIT")
        return key

    def all(self) -> tuple[Device, ...]:
        """Return the phones that were let in, in that order."""
        rows = self._db.execute("SELECT id, name, role, since FROM devices ORDER BY id")
        return tuple(Device(*row) for row in rows)

    def remove(self, device: int) -> None:
        """Let a phone in no more; one that is looking at the page is let go."""
        self._db.execute("DELETE FROM devices WHERE id = ?", (device,))

    def is_in(self, device: int) -> bool:
        """Return whether a phone is let in still."""
        query = "SELECT 1 FROM devices WHERE id = ?"
        return self._db.execute(query, (device,)).fetchone() is not None

    def has(self, name: str) -> bool:
        """Return whether a phone was let in under a name."""
        names = (row[0].casefold() for row in self._db.execute("SELECT name FROM devices"))
        return name.casefold() in names

    def has_skipper(self) -> bool:
        """Return whether a skipper was let in; until then every one of the crew may do all."""
        query = "SELECT 1 FROM devices WHERE role = 'skipper' LIMIT 1"
        return self._db.execute(query).fetchone() is not None

    def find(self, key: str | None) -> Device | None:
        """Return the phone that holds this key."""
        if not key:
            return None
        row = self._db.execute(
            "SELECT id, name, role FROM devices WHERE key = ?", (_hash(key),)
        ).fetchone()
        return Device(*row) if row else None


def _hash(key: str) -> str:
    return sha256(key.encode()).hexdigest()
