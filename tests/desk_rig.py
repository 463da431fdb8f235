"""What the tests of the desk say to it, and how they look into its log."""

import io
import sqlite3
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
import soundfile

from bot import Desk
from bot.messages import Reply
from bot.transcript import Alternative, Transcript
from tests.scripted_engine import ScriptedEngine

DAY = datetime(2026, 3, 14, 6, 0, tzinfo=UTC)
FIVE_OUT = (
    "06:00 trip start",
    "06:01 set short corner black 14",
    "06:01 set long corner green 12",
    "06:02 set short rigger pink 10",
    "06:02 set long rigger purple 8",
    "06:03 set shotgun broom handle",
    "06:04 lines in",
)
"""A spread of five, and lines in."""
LINES = (
    "trip start", "set short corner black 14", "set long corner green 12",
    "set short rigger pink 10", "set long rigger purple 8", "set shotgun blue 6", "lines in",
)  # fmt: skip
"""A spread of five that a box does not name, and lines in."""
STANDS = "SELECT * FROM entries WHERE NOT void ORDER BY at, id"


def at(clock: str) -> datetime:
    hours, minutes, *seconds = (int(part) for part in clock.split(":"))
    return DAY.replace(hour=hours, minute=minutes, second=sum(seconds))


def call(desk: Desk, *lines: str, crew: str = "Mate") -> Reply:
    """Return lines such as `07:10 strike long rigger`, and give the last reply."""
    reply = Reply("")
    for line in lines:
        clock, text = line.split(maxsplit=1)
        reply = desk.say(text, crew=crew, at=at(clock))
    return reply


def boxed(home: Path, box: str) -> Desk:
    """Return a desk with a box of lures, told as CSV."""
    (home / "lures.csv").write_text(box)
    desk = Desk(home)
    desk.box_import(home / "lures.csv")
    return desk


def rows(home: Path, sql: str = "SELECT * FROM entries") -> list[sqlite3.Row]:
    with sqlite3.connect(home / "deckcall.db") as db:
        db.row_factory = sqlite3.Row
        found = db.execute(sql).fetchall()
    db.close()
    return found


def rigged(home: Path, box: str, *lines: str) -> Desk:
    """Return a desk that fishes five lures and heard these lines."""
    desk = boxed(home, box)
    call(desk, *FIVE_OUT, *lines)
    return desk


def standing(home: Path, *acts: str) -> list[sqlite3.Row]:
    """Return the entries of these acts that stand."""
    return [row for row in rows(home, STANDS) if row["act"] in acts]


def tone(seconds: float = 1.0) -> bytes:
    """Return a recording that can be decoded: what it says is up to the scripted ear."""
    out = io.BytesIO()
    wave = 0.3 * np.sin(np.arange(int(16_000 * seconds)) * 0.2)
    soundfile.write(out, wave, 16_000, format="WAV")
    return out.getvalue()


def scripted(home: Path, *answers: str | Transcript) -> Desk:
    return Desk(home, engine=ScriptedEngine(answers))


def doubtful(text: str, accept: float) -> Transcript:
    """Return what an ear heard that is not sure that it was a call."""
    return Transcript((Alternative(text, 1.0),), "scripted", 2.0, {"accept": accept})


def told(found: list[sqlite3.Row], *names: str) -> list[Any]:
    """Return slots of entries, one alone where one is named."""
    return [
        tuple(row[name] for name in names) if len(names) > 1 else row[names[0]] for row in found
    ]
