"""What has arrived and what is to be sent: one SQLite file beside the log.

`inbox` holds raw updates until they are handled, `outbox` what is to be sent until it has left,
`buttons` what each button says, `paired` the chats that were let in with a code. Every method is one
transaction with `synchronous=FULL`: what it says is kept survives a power cut. One thread only.
"""

import json
import sqlite3
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, Final

from bot.messages import Button

KEEP_DAYS: Final = 3
"""Handled updates are forgotten after this; below a week, when Telegram may begin to count anew."""
LOCK_WAIT_S: Final = 2.0

_SCHEMA: Final = """
CREATE TABLE IF NOT EXISTS inbox (
  update_id INTEGER PRIMARY KEY, boat TEXT NOT NULL, raw TEXT NOT NULL, arrived TEXT NOT NULL,
  state TEXT NOT NULL DEFAULT 'waiting', tries INTEGER NOT NULL DEFAULT 0, note TEXT
) STRICT;
CREATE INDEX IF NOT EXISTS inbox_waiting ON inbox (update_id, boat, tries) WHERE state = 'waiting';
CREATE TABLE IF NOT EXISTS outbox (
  id INTEGER PRIMARY KEY AUTOINCREMENT, chat INTEGER NOT NULL, kind TEXT NOT NULL,
  reply_to INTEGER, text TEXT NOT NULL, buttons TEXT NOT NULL DEFAULT '[]', picture BLOB,
  called TEXT NOT NULL, made TEXT NOT NULL, state TEXT NOT NULL DEFAULT 'waiting',
  tries INTEGER NOT NULL DEFAULT 0, message INTEGER, note TEXT
) STRICT;
CREATE INDEX IF NOT EXISTS outbox_waiting ON outbox (id) WHERE state = 'waiting';
CREATE TABLE IF NOT EXISTS buttons (
  id INTEGER PRIMARY KEY AUTOINCREMENT, chat INTEGER NOT NULL, turn INTEGER NOT NULL,
  label TEXT NOT NULL, say TEXT NOT NULL, pressed TEXT
) STRICT;
CREATE TABLE IF NOT EXISTS turns (id INTEGER PRIMARY KEY AUTOINCREMENT, boat TEXT NOT NULL) STRICT;
CREATE INDEX IF NOT EXISTS turns_of_boat ON turns (boat, id);
CREATE TABLE IF NOT EXISTS paired (chat INTEGER PRIMARY KEY, since TEXT NOT NULL) STRICT;
CREATE TABLE IF NOT EXISTS codes (
  digest TEXT PRIMARY KEY, until TEXT NOT NULL, guesses INTEGER NOT NULL
) STRICT;
CREATE TABLE IF NOT EXISTS boards (
  chat INTEGER PRIMARY KEY, trip TEXT NOT NULL, message INTEGER NOT NULL, text TEXT NOT NULL
) STRICT;
CREATE TABLE IF NOT EXISTS places (
  boat TEXT PRIMARY KEY, latitude REAL NOT NULL, longitude REAL NOT NULL, at TEXT NOT NULL
) STRICT;
"""


@dataclass(frozen=True, slots=True)
class Waiting:
    """An update that has not been handled."""

    update_id: int
    raw: Mapping[str, Any]
    tries: int


@dataclass(frozen=True, slots=True)
class Send:
    """Something to be sent to a chat."""

    chat: int
    text: str
    called: datetime
    """When the call was made that this answers."""
    reply_to: int | None = None
    buttons: tuple[Button, ...] = ()
    picture: bytes | None = None
    kind: str = "text"
    """`text`, `picture`, or `reaction` (with the words that stand in where reactions are refused)."""


@dataclass(frozen=True, slots=True)
class Outgoing:
    """A row of the outbox that has not left."""

    id: int
    send: Send
    button_ids: tuple[int, ...]
    tries: int


@dataclass(frozen=True, slots=True)
class StoredButton:
    """A button as it was sent, and whether it is still worth pressing."""

    say: str
    pressed: bool
    latest: bool
    """False where a later message has changed or asked something."""


class Store:
    """The file, held open by one thread."""

    def __init__(self, path: Path) -> None:
        self._db = sqlite3.connect(path, timeout=LOCK_WAIT_S, isolation_level=None)
        self._db.execute("PRAGMA journal_mode=WAL")
        self._db.execute("PRAGMA synchronous=FULL")
        self._db.executescript(_SCHEMA)

    def close(self) -> None:
        """Close the file."""
        self._db.close()

    def take(self, updates: Iterable[tuple[int, str, object]], now: datetime) -> int:
        """Keep raw updates (id, boat, as it came) not known yet; gives how many were new."""
        rows = [(number, boat, json.dumps(raw), now.isoformat()) for number, boat, raw in updates]
        with self._db:
            self._db.execute("BEGIN IMMEDIATE")
            before = self._db.total_changes
            self._db.executemany(
                "INSERT OR IGNORE INTO inbox (update_id, boat, raw, arrived) VALUES (?, ?, ?, ?)",
                rows,
            )
            return self._db.total_changes - before

    def next_waiting(self, may_take: Callable[[int, str], bool]) -> Waiting | None:
        """Give the oldest update that has not been handled and may be, by its id and boat."""
        rows = self._db.execute(
            "SELECT boat, update_id, tries FROM inbox WHERE state = 'waiting' ORDER BY update_id"
        )
        for boat, number, tries in rows:
            if may_take(number, boat):
                rows.close()
                (raw,) = self._db.execute(
                    "SELECT raw FROM inbox WHERE update_id = ?", (number,)
                ).fetchone()
                return Waiting(number, json.loads(raw), tries)
        return None

    def tried(self, update_id: int) -> None:
        """Count one more failed attempt at an update."""
        self._write("UPDATE inbox SET tries = tries + 1 WHERE update_id = ?", update_id)

    def quarantine(self, update_id: int, note: str, sends: Sequence[Send] = ()) -> None:
        """Set an update aside that cannot be handled; it is kept for a look."""
        self._close_update(update_id, "quarantined", note, sends, None, None)

    def finish(
        self,
        update_id: int,
        sends: Sequence[Send] = (),
        *,
        boat: str | None = None,
        pressed: int | None = None,
    ) -> None:
        """Mark an update as handled and put what it calls for into the outbox, in one transaction.

        `boat` is named where the update changed or asked something on that boat: buttons sent to its
        chats before are stale from here. `pressed` is the button that was answered by it.
        """
        self._close_update(update_id, "done", None, sends, boat, pressed)

    def waiting(self) -> tuple[Outgoing, ...]:
        """Give what has not left, oldest first."""
        rows = self._db.execute(
            "SELECT id, chat, text, called, reply_to, buttons, picture, kind, tries FROM outbox"
            " WHERE state = 'waiting' ORDER BY id LIMIT 500"
        ).fetchall()
        return tuple(self._outgoing(row) for row in rows)

    def sent(self, gone: Mapping[int, int | None]) -> None:
        """Mark rows of the outbox as gone: row to message id."""
        with self._db:
            self._db.execute("BEGIN IMMEDIATE")
            self._db.executemany(
                "UPDATE outbox SET state = 'sent', message = ?, picture = NULL WHERE id = ?",
                [(message, row) for row, message in gone.items()],
            )

    def give_up(self, row: int, note: str) -> None:
        """Keep a row that Telegram refuses for good, with its reason."""
        self._write("UPDATE outbox SET state = 'refused', note = ? WHERE id = ?", note, row)

    def make_plain(self, row: int, note: str) -> None:
        """Take reply mark and buttons off a row that Telegram refused with them, and count the try."""
        self._write(
            "UPDATE outbox SET kind = 'text', reply_to = NULL, buttons = '[]', picture = NULL,"
            " tries = tries + 1, note = ? WHERE id = ?",
            note,
            row,
        )

    def button(self, button_id: int, chat: int, boat: str) -> StoredButton | None:
        """Give a button by its id, if it belongs to this chat."""
        row = self._db.execute(
            "SELECT say, pressed IS NOT NULL, turn = (SELECT max(id) FROM turns WHERE boat = ?)"
            " FROM buttons WHERE id = ? AND chat = ?",
            (boat, button_id, chat),
        ).fetchone()
        return StoredButton(row[0], bool(row[1]), bool(row[2])) if row else None

    def offer_code(self, digest: str, until: datetime, guesses: int) -> None:
        """Keep the one code that lets a chat in; an earlier one ends."""
        with self._db:
            self._db.execute("BEGIN IMMEDIATE")
            self._db.execute("DELETE FROM codes")
            self._db.execute(
                "INSERT INTO codes VALUES (?, ?, ?)", (digest, until.isoformat(), guesses)
            )

    def use_code(self, digest: str, chat: int, now: datetime) -> bool:
        """Let a chat in if the code is the one on offer, which ends it; a wrong guess is counted."""
        with self._db:
            self._db.execute("BEGIN IMMEDIATE")
            live = "until > ? AND guesses > 0"
            right = self._db.execute(
                f"DELETE FROM codes WHERE digest = ? AND {live}", (digest, now.isoformat())
            ).rowcount
            if not right:
                self._db.execute("UPDATE codes SET guesses = guesses - 1")
                return False
            self._db.execute("INSERT OR IGNORE INTO paired VALUES (?, ?)", (chat, now.isoformat()))
            return True

    def paired(self) -> frozenset[int]:
        """Give the chats that were let in with a code."""
        return frozenset(row[0] for row in self._db.execute("SELECT chat FROM paired"))

    def move(self, chat: int, to: int, now: datetime) -> None:
        """Follow a group that has been given another id."""
        with self._db:
            self._db.execute("BEGIN IMMEDIATE")
            for table in ("outbox", "buttons"):
                self._db.execute(f"UPDATE {table} SET chat = ? WHERE chat = ?", (to, chat))
            self._db.execute("DELETE FROM boards WHERE chat = ?", (chat,))
            self._db.execute("INSERT OR IGNORE INTO paired VALUES (?, ?)", (to, now.isoformat()))

    def board(self, chat: int) -> tuple[str, int, str] | None:
        """Give trip, message id and text of the pinned board of a chat."""
        row = self._db.execute(
            "SELECT trip, message, text FROM boards WHERE chat = ?", (chat,)
        ).fetchone()
        return (row[0], row[1], row[2]) if row else None

    def set_board(self, chat: int, trip: str, message: int, text: str) -> None:
        """Remember the pinned board of a chat."""
        self._write("INSERT OR REPLACE INTO boards VALUES (?, ?, ?, ?)", chat, trip, message, text)

    def place(self, boat: str) -> tuple[float, float, datetime] | None:
        """Give where a boat was last, in degrees, and when; None where nobody shared it."""
        row = self._db.execute(
            "SELECT latitude, longitude, at FROM places WHERE boat = ?", (boat,)
        ).fetchone()
        return (row[0], row[1], datetime.fromisoformat(row[2])) if row else None

    def set_place(self, boat: str, latitude: float, longitude: float, at: datetime) -> None:
        """Remember where a boat is, unless a later place is known; only the last is kept."""
        self._write(
            "INSERT INTO places VALUES (?, ?, ?, ?) ON CONFLICT (boat) DO UPDATE SET"
            " latitude = excluded.latitude, longitude = excluded.longitude, at = excluded.at"
            " WHERE excluded.at >= at",
            boat, latitude, longitude, at.isoformat(),
        )  # fmt: skip

    def forget_old(self, now: datetime) -> None:
        """Drop what was handled or sent long ago; what was set aside stays."""
        before = (now - timedelta(days=KEEP_DAYS)).isoformat()
        with self._db:
            self._db.execute("DELETE FROM inbox WHERE state = 'done' AND arrived < ?", (before,))
            self._db.execute("DELETE FROM outbox WHERE state = 'sent' AND made < ?", (before,))

    def _close_update(
        self,
        update_id: int,
        state: str,
        note: str | None,
        sends: Sequence[Send],
        boat: str | None,
        pressed: int | None,
    ) -> None:
        now = datetime.now(UTC).isoformat()
        with self._db:
            self._db.execute("BEGIN IMMEDIATE")
            self._db.execute(
                "UPDATE inbox SET state = ?, note = ? WHERE update_id = ?", (state, note, update_id)
            )
            if pressed is not None:
                self._db.execute(
                    "UPDATE buttons SET pressed = ?"
                    " WHERE turn = (SELECT turn FROM buttons WHERE id = ?)",
                    (now, pressed),
                )
            turn = 0
            if boat is not None:
                turn = (
                    self._db.execute("INSERT INTO turns (boat) VALUES (?)", (boat,)).lastrowid or 0
                )
            for send in sends:
                self._put(send, now, turn)

    def _put(self, send: Send, now: str, turn: int) -> None:
        ids = [
            self._db.execute(
                "INSERT INTO buttons (chat, turn, label, say) VALUES (?, ?, ?, ?)",
                (send.chat, turn, button.label, button.say),
            ).lastrowid
            for button in send.buttons
        ]
        shown = json.dumps([[i, b.label, b.say] for i, b in zip(ids, send.buttons, strict=True)])
        self._db.execute(
            "INSERT INTO outbox (chat, kind, reply_to, text, buttons, picture, called, made)"
            " VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
            (send.chat, send.kind, send.reply_to, send.text, shown, send.picture,
             send.called.isoformat(), now),
        )  # fmt: skip

    def _outgoing(self, row: tuple[Any, ...]) -> Outgoing:
        shown = json.loads(row[5])
        send = Send(
            row[1],
            row[2],
            datetime.fromisoformat(row[3]),
            row[4],
            tuple(Button(label, say) for _, label, say in shown),
            row[6],
            row[7],
        )
        return Outgoing(row[0], send, tuple(number for number, _, _ in shown), row[8])

    def _write(self, statement: str, *values: object) -> None:
        with self._db:
            self._db.execute(statement, values)
