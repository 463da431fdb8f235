"""What has arrived and what is to be sent: one SQLite file beside the log.

`inbox` holds raw updates until they are handled, `outbox` what is to be sent until it has left,
`buttons` what each button says, `names` what each of the crew is called, `paired` the chats that were
let in with a code. Whoever writes goes through `together`, which makes one transaction of several
writes with `synchronous=FULL`: when it returns they survive a power cut. One thread only.
"""

import json
import sqlite3
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, Final

from bot.messages import Button
from bot.transports.pairing import private

KEEP_DAYS: Final = 3
"""Handled updates are forgotten after this; below a week, when Telegram may begin to count anew."""
LOCK_WAIT_S: Final = 2.0

Where = tuple[float, float, datetime]
"""Latitude and longitude in degrees, north and east positive, and when the boat was there."""

_SCHEMA: Final = """
CREATE TABLE IF NOT EXISTS inbox (
  update_id INTEGER PRIMARY KEY, boat TEXT NOT NULL, raw TEXT NOT NULL, arrived TEXT NOT NULL,
  state TEXT NOT NULL DEFAULT 'waiting', tries INTEGER NOT NULL DEFAULT 0, note TEXT
) STRICT;
CREATE INDEX IF NOT EXISTS inbox_open ON inbox (update_id) WHERE state = 'waiting';
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
CREATE TABLE IF NOT EXISTS names (
  boat TEXT NOT NULL, user INTEGER NOT NULL, given TEXT NOT NULL, shown TEXT NOT NULL,
  PRIMARY KEY (boat, user)
) STRICT;
CREATE TABLE IF NOT EXISTS places (
  boat TEXT PRIMARY KEY, latitude REAL NOT NULL, longitude REAL NOT NULL, at TEXT NOT NULL
) STRICT;
"""


@dataclass(frozen=True, slots=True)
class WaitingUpdate:
    """An update that has not been handled."""

    update_id: int
    boat: str
    raw: Mapping[str, Any]
    tries: int = 0


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
    thread: int | None = None
    """The topic of a forum that it goes to."""
    kind: str = "text"
    """`text`, `picture`, `file` (its words are its name), or `reaction` (its words stand in where
    reactions are refused)."""
    urgent: bool = False
    """True for the answer to an emergency: nothing else goes before it."""


@dataclass(frozen=True, slots=True)
class OutboxRow:
    """A row of the outbox that has not left; its picture is fetched when it goes."""

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
    about: str = ""
    """The question that it answers; such a button outlives later messages."""
    unchanged: bool = False
    """False where a later message has changed the log."""


class Store:
    """The file, held open by one thread."""

    def __init__(self, path: Path) -> None:
        private(path)
        self._db = sqlite3.connect(path, timeout=LOCK_WAIT_S, isolation_level=None)
        self._db.execute("PRAGMA journal_mode=WAL")
        self._db.execute("PRAGMA synchronous=FULL")
        self._db.executescript(_SCHEMA)
        columns = [row[1] for row in self._db.execute("PRAGMA table_info(outbox)")]
        if "thread" not in columns:  # made before answers went to topics
            self._db.execute("ALTER TABLE outbox ADD COLUMN thread INTEGER")
        if "urgent" not in columns:  # made before the answer to an emergency went first
            self._db.execute("ALTER TABLE outbox ADD COLUMN urgent INTEGER NOT NULL DEFAULT 0")
        columns = [row[1] for row in self._db.execute("PRAGMA table_info(turns)")]
        if "changed" not in columns:  # made before a question left the buttons of a proposal alone
            self._db.execute("ALTER TABLE turns ADD COLUMN changed INTEGER NOT NULL DEFAULT 1")
        columns = [row[1] for row in self._db.execute("PRAGMA table_info(buttons)")]
        if "about" not in columns:  # made before a button named its question
            self._db.execute("ALTER TABLE buttons ADD COLUMN about TEXT NOT NULL DEFAULT ''")

    def close(self) -> None:
        """Close the file."""
        self._db.close()

    def together(self, jobs: Sequence[Callable[["Store"], Any]]) -> list[Any]:
        """Do several jobs in one transaction; return what each returns. One that fails undoes them all."""
        self._db.execute("BEGIN IMMEDIATE")
        try:
            found = [job(self) for job in jobs]
            self._db.execute("COMMIT")
        except BaseException:
            if self._db.in_transaction:
                self._db.execute("ROLLBACK")
            raise
        return found

    def take(self, updates: Iterable[WaitingUpdate], now: datetime) -> list[WaitingUpdate]:
        """Keep raw updates; return those that were not known yet."""
        arrived = now.isoformat()
        return [
            one
            for one in updates
            if self._db.execute(
                "INSERT OR IGNORE INTO inbox (update_id, boat, raw, arrived) VALUES (?, ?, ?, ?)",
                (one.update_id, one.boat, json.dumps(one.raw), arrived),
            ).rowcount
        ]

    def unhandled_updates(self) -> list[WaitingUpdate]:
        """Return the updates that wait, oldest first."""
        rows = self._db.execute(
            "SELECT update_id, boat, raw, tries FROM inbox WHERE state = 'waiting' ORDER BY update_id"
        )
        return [
            WaitingUpdate(number, boat, json.loads(raw), tries) for number, boat, raw, tries in rows
        ]

    def count_attempt(self, update_id: int) -> None:
        """Count one more failed attempt at an update."""
        self._write("UPDATE inbox SET tries = tries + 1 WHERE update_id = ?", update_id)

    def quarantine(self, update_id: int, note: str, sends: Sequence[Send] = ()) -> list[OutboxRow]:
        """Set an update aside that cannot be handled; it is kept for a look."""
        return self._close_update(update_id, "quarantined", note, sends, None, None)

    def finish(
        self,
        update_id: int,
        sends: Sequence[Send] = (),
        *,
        boat: str | None = None,
        pressed: int | None = None,
        changed: bool = True,
    ) -> list[OutboxRow]:
        """Mark an update as handled and put what it calls for into the outbox; return those rows.

        `boat` is named where the update changed or asked something on that boat: buttons sent to its
        chats before are stale from here, but for those that say a whole call, where the log has not
        `changed`. `pressed` is the button that was answered by it.
        """
        return self._close_update(update_id, "done", None, sends, boat, pressed, changed)

    def put(self, sends: Sequence[Send]) -> list[OutboxRow]:
        """Put into the outbox what answers no call; return those rows."""
        made = datetime.now(UTC).isoformat()
        return [self._put(send, made, 0) for send in sends]

    def unsent(self) -> list[OutboxRow]:
        """Return what has not left, oldest first."""
        rows = self._db.execute(
            "SELECT id, chat, text, called, reply_to, buttons, kind, tries, thread, urgent"
            " FROM outbox"
            " WHERE state = 'waiting' ORDER BY id"
        )
        return [_outgoing(row) for row in rows]

    def picture(self, row: int) -> bytes | None:
        """Return the picture of a row of the outbox."""
        found = self._db.execute("SELECT picture FROM outbox WHERE id = ?", (row,)).fetchone()
        return found[0] if found else None

    def mark_sent(self, gone: Mapping[int, int | None]) -> None:
        """Mark rows of the outbox as gone: row to message id."""
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
        """Return a button by its id, if it belongs to this chat."""
        row = self._db.execute(
            "SELECT say, pressed IS NOT NULL, turn = (SELECT max(id) FROM turns WHERE boat = ?), about,"
            " turn >= (SELECT coalesce(max(id), 0) FROM turns WHERE boat = ? AND changed)"
            " FROM buttons WHERE id = ? AND chat = ?",
            (boat, boat, button_id, chat),
        ).fetchone()
        if row is None:
            return None
        return StoredButton(row[0], bool(row[1]), bool(row[2]), row[3], bool(row[4]))

    def offer_code(self, digest: str, until: datetime, guesses: int) -> None:
        """Keep the one code that lets a chat in; an earlier one ends."""
        self._db.execute("DELETE FROM codes")
        self._db.execute("INSERT INTO codes VALUES (?, ?, ?)", (digest, until.isoformat(), guesses))

    def use_code(self, digest: str, chat: int, now: datetime) -> bool:
        """Let a chat in if the code is the one on offer, which ends it; a wrong guess is counted."""
        live = "until > ? AND guesses > 0"
        right = self._db.execute(
            f"DELETE FROM codes WHERE digest = ? AND {live}", (digest, now.isoformat())
        ).rowcount
        if not right:
            self._db.execute("UPDATE codes SET guesses = guesses - 1")
            return False
        self._db.execute("INSERT OR IGNORE INTO paired VALUES (?, ?)", (chat, now.isoformat()))
        return True

    def paired_chats(self) -> frozenset[int]:
        """Return the chats that were let in with a code."""
        return frozenset(row[0] for row in self._db.execute("SELECT chat FROM paired"))

    def move(self, chat: int, to: int, now: datetime) -> None:
        """Follow a group that has been given another id."""
        for table in ("outbox", "buttons"):
            self._db.execute(f"UPDATE {table} SET chat = ? WHERE chat = ?", (to, chat))
        self._db.execute("DELETE FROM boards WHERE chat = ?", (chat,))
        self._db.execute("INSERT OR IGNORE INTO paired VALUES (?, ?)", (to, now.isoformat()))

    def board(self, chat: int) -> tuple[str, int, str] | None:
        """Return trip, message id and text of the pinned board of a chat."""
        row = self._db.execute(
            "SELECT trip, message, text FROM boards WHERE chat = ?", (chat,)
        ).fetchone()
        return (row[0], row[1], row[2]) if row else None

    def boards(self) -> list[int]:
        """Return the chats that have a pinned board."""
        return [row[0] for row in self._db.execute("SELECT chat FROM boards")]

    def set_board(self, chat: int, trip: str, message: int, text: str) -> None:
        """Remember the pinned board of a chat."""
        self._write("INSERT OR REPLACE INTO boards VALUES (?, ?, ?, ?)", chat, trip, message, text)

    def places(self) -> dict[str, Where]:
        """Return where each boat was last."""
        rows = self._db.execute("SELECT boat, latitude, longitude, at FROM places")
        return {boat: (lat, lon, datetime.fromisoformat(at)) for boat, lat, lon, at in rows}

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
        self._db.execute("DELETE FROM inbox WHERE state = 'done' AND arrived < ?", (before,))
        self._db.execute("DELETE FROM outbox WHERE state = 'sent' AND made < ?", (before,))
        self._db.execute(
            "DELETE FROM turns WHERE id NOT IN (SELECT max(id) FROM turns GROUP BY boat"
            " UNION SELECT max(id) FROM turns WHERE changed GROUP BY boat)"
        )

    def names(self) -> list[tuple[str, int, str, str]]:
        """Return the name that a user has given and the one that is shown, by boat and user."""
        return self._db.execute("SELECT boat, user, given, shown FROM names").fetchall()

    def set_name(self, boat: str, user: int, given: str, shown: str) -> None:
        """Remember what one of the crew is called."""
        self._write("INSERT OR REPLACE INTO names VALUES (?, ?, ?, ?)", boat, user, given, shown)

    def _close_update(
        self,
        update_id: int,
        state: str,
        note: str | None,
        sends: Sequence[Send],
        boat: str | None,
        pressed: int | None,
        changed: bool = True,
    ) -> list[OutboxRow]:
        now = datetime.now(UTC).isoformat()
        self._write(
            "UPDATE inbox SET state = ?, note = ? WHERE update_id = ?", state, note, update_id
        )
        if pressed is not None:
            self._write(
                "UPDATE buttons SET pressed = ? WHERE turn = (SELECT turn FROM buttons WHERE id = ?)",
                now,
                pressed,
            )
        turn = 0
        if boat is not None:
            turn = (
                self._write("INSERT INTO turns (boat, changed) VALUES (?, ?)", boat, changed) or 0
            )
        return [self._put(send, now, turn) for send in sends]

    def _put(self, send: Send, now: str, turn: int) -> OutboxRow:
        ids = [
            self._write(
                "INSERT INTO buttons (chat, turn, label, say, about) VALUES (?, ?, ?, ?, ?)",
                send.chat, turn, button.label, button.say, button.about,
            ) or 0
            for button in send.buttons
        ]  # fmt: skip
        shown = json.dumps([[i, b.label, b.say] for i, b in zip(ids, send.buttons, strict=True)])
        row = self._write(
            "INSERT INTO outbox (chat, kind, reply_to, text, buttons, picture, called, made, thread,"
            " urgent) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
            send.chat, send.kind, send.reply_to, send.text, shown, send.picture,
            send.called.isoformat(), now, send.thread, int(send.urgent),
        )  # fmt: skip
        return OutboxRow(row or 0, replace(send, picture=None), tuple(ids), 0)

    def _write(self, statement: str, *values: object) -> int | None:
        return self._db.execute(statement, values).lastrowid


def _outgoing(row: tuple[Any, ...]) -> OutboxRow:
    number, chat, text, called, reply_to, buttons, kind, tries, thread, urgent = row
    shown = json.loads(buttons)
    send = Send(
        chat, text, datetime.fromisoformat(called), reply_to,
        tuple(Button(label, say) for _, label, say in shown), kind=kind, thread=thread,
        urgent=bool(urgent),
    )  # fmt: skip
    return OutboxRow(number, send, tuple(number for number, _, _ in shown), tries)
