"""Trays in the log: what was imported or planned by name, and the entries about trays on all trips."""

import json
from collections.abc import Iterable
from dataclasses import asdict
from datetime import datetime
from typing import Any, Final

from bot.logbook import codec
from bot.logbook.store import Logbook
from bot.tackle.trays import Tray, TrayLure, tray_key
from bot.trip.entry import Entry

_ROW: Final = "id, message, trip, at, kind, version, crew, source, text, body"
_ENTRIES: Final = f"""SELECT {_ROW} FROM records AS r
    WHERE kind = 'entry' AND json_extract(body, '$.call.act') = 'tray'
    AND trip NOT IN (SELECT trip FROM imported WHERE elsewhere = 1)
    AND coalesce((SELECT s.void FROM stands AS s WHERE s.entry = r.id ORDER BY s.seq DESC LIMIT 1), 0) = 0
    ORDER BY seq"""


def keep_trays(log: Logbook, trays: Iterable[Tray], at: datetime) -> None:
    """Keep trays as they are now, each in the place of the one of its name; raises LogbookError."""
    for tray in trays:
        log.rows(
            "INSERT INTO trays (key, body, made_at) VALUES (?,?,?)"
            " ON CONFLICT (key) DO UPDATE SET body = excluded.body, made_at = excluded.made_at",
            tray_key(tray.name), json.dumps(asdict(tray), ensure_ascii=False), codec.to_text(at),
        )  # fmt: skip


def made_trays(log: Logbook) -> tuple[tuple[Tray, datetime], ...]:
    """Return the trays as they were imported or planned, and when."""
    rows = log.rows("SELECT body, made_at FROM trays ORDER BY key")
    return tuple((tray_of(json.loads(body)), codec.from_text(at)) for body, at in rows)


def tray_entries(log: Logbook) -> tuple[Entry, ...]:
    """Return the entries about trays that stand, of all trips of this boat, as made."""
    found = (codec.decode(codec.Row(*row)) for row in log.rows(_ENTRIES))
    return tuple(one for one in found if isinstance(one, Entry))


def tray_of(body: dict[str, Any]) -> Tray:
    """Return a tray out of its plain form; raises TypeError, KeyError or ValueError where it is none."""
    lures = tuple(
        TrayLure(**(held | {"colours": tuple(held.get("colours", ()))})) for held in body["lures"]
    )
    return Tray(body["name"], lures, body["tackle"], body["speed_kn"])
