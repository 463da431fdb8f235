"""A log of a day that goes out, and another that takes it in."""

import sqlite3
from pathlib import Path
from typing import Any

from bot.logbook.exchange import going_out, merge
from bot.logbook.store import Logbook, MessageRecord
from bot.messages import Reply
from bot.reports.as_jsonl import from_jsonl, to_jsonl
from bot.reports.exports import export_file, export_form
from bot.trip.entry import Record, Restored, Voided
from tests.builders import TRIP, at, entry, message
from tests.reports.days import a_day


def keep(home: Path, *records: Record, trip: str = TRIP) -> None:
    with Logbook.open(home) as log:
        for record in records:
            log.record(MessageRecord(log.new_id(), message(), Reply(""), "logged", (record,), trip))


def logged_day(home: Path) -> Path:
    """Log a day with places, an entry that is undone, and one that is undone and stands again."""
    keep(home, *a_day())
    undone = entry("11:45", "strike", "shotgun", latitude=-35.0, longitude=174.0)
    back = entry("11:46", "raise", "shotgun")
    keep(home, undone, back, Voided("000000f1", (undone.id, back.id), at("11:47")))
    keep(home, Restored("000000f2", (back.id,), at("11:48")))
    return home


def entries_view(home: Path) -> list[dict[str, Any]]:
    db = sqlite3.connect(home / "deckcall.db")
    db.row_factory = sqlite3.Row
    rows = [dict(row) for row in db.execute("SELECT * FROM entries ORDER BY id")]
    db.close()
    return rows


def export(home: Path, form: str, *, positions: bool = False) -> bytes:
    chosen = export_form(f"x.{form}")
    return export_file(going_out(home, [TRIP]), chosen, "Driftwood", positions=positions)


def take_in(home: Path, text: str, own: str = "Kestrel") -> Any:
    read = from_jsonl(text)
    assert read.refused == ()
    return merge(home, read.rows, read.boats, own, at("20:00"))


def jsonl(home: Path) -> str:
    return to_jsonl(going_out(home, [TRIP]), "Driftwood", positions=True)
