"""The log going out and coming in: records as plain values, and a merge that doubles nothing.

What goes out are entries with what became of them, and proposals; not the talk, not the recordings.
What comes in is looked at first (`coming_in`): a record that this program cannot read is refused, and a
record whose id is known already stays as it is.
"""

import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import astuple, dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, Final

from bot.logbook import codec
from bot.logbook.coming_in import KINDS, clash, known_of, same
from bot.logbook.folder import make_home
from bot.logbook.opening import explain_faults, open_log
from bot.logbook.sqlite import Database
from bot.logbook.store import FILE
from bot.sky.light import light_at

COLUMNS: Final = (
    "id", "trip", "at", "act", "position", "lure", "size_in", "colours", "species", "count",
    "length_cm", "weight_kg", "crew", "source", "text", "side", "head", "what", "angler", "tagged", "tag",
    "tray", "speed_kn", "water_c", "depth_m", "drag_kg", "wind_kn", "wind_from", "sea_m", "void",
)  # fmt: skip
"""The view `entries` of the contract."""
MORE: Final = (
    "remark", "place_from", "cog_deg", "sog_kn", "stw_kn", "heading_deg", "measured_c", "measured_m", "light",
)  # fmt: skip
"""What else of an entry goes out; `remark` is the text of a mark or a note. From `place_from` on it is what
the instruments measured, `measured_c` the water and `measured_m` the depth; `light` is that of the place."""

_ROW: Final = "id, message, trip, at, kind, version, crew, source, text, body"
_OTHER: Final = "the log has something else under this id"


@dataclass(frozen=True, slots=True)
class Out:
    """One record as it goes out."""

    row: codec.Row
    values: Mapping[str, Any]
    """`COLUMNS` and `MORE`, for an entry; empty for other records."""
    boat: str | None
    """The boat it came from; None for this one."""

    @property
    def place(self) -> tuple[float, float] | None:
        """Return latitude and longitude in degrees, where the entry has both."""
        body = json.loads(self.row.body)
        if body.get("latitude") is None or body.get("longitude") is None:
            return None
        return float(body["latitude"]), float(body["longitude"])


@dataclass(frozen=True, slots=True)
class MergeResult:
    """What a merge did."""

    added: int = 0
    entries: int = 0
    """Entries among those added."""
    known: int = 0
    differ: tuple[str, ...] = ()
    """Ids that the log had with something else under them; they stay as they were."""
    trips: tuple[str, ...] = ()
    """Trips that are new here."""
    refused: tuple[tuple[str, str], ...] = ()
    """Ids that may not be added to this log, and why; with any of them nothing is added, unless the rest
    was asked for."""


def going_out(home: Path, trips: Sequence[str]) -> tuple[Out, ...]:
    """Return the records of trips in the order in which they were made; raises LogbookError."""
    marks, kinds = ", ".join("?" * len(trips)), ", ".join("?" * len(KINDS))
    sql = f"""SELECT {", ".join(f"r.{name}" for name in _ROW.split(", "))}, i.boat,
        {", ".join(f"e.{name}" for name in COLUMNS)}
        FROM records AS r LEFT JOIN entries AS e ON e.id = r.id
        LEFT JOIN imported AS i ON i.trip = r.trip
        WHERE r.trip IN ({marks}) AND r.kind IN ({kinds}) ORDER BY r.seq"""
    with open_file(home) as db:
        rows = db.execute(sql, (*trips, *KINDS)).fetchall()
    found = []
    for row in rows:
        own, boat, view = codec.Row(*row[:10]), row[10], row[11:]
        values = _values(own, view) if own.kind == codec.ENTRY else {}
        found.append(Out(own, values, boat))
    return tuple(found)


def _values(row: codec.Row, view: Sequence[Any]) -> dict[str, Any]:
    body = json.loads(row.body)
    call, stamp = body["call"], body.get("stamp", {})
    more = {name: call.get(name, stamp.get(name)) for name in MORE}
    more |= {
        "remark": call.get("text"),
        "measured_c": stamp.get("water_c"),
        "measured_m": stamp.get("depth_m"),
    }
    if body.get("latitude") is not None and body.get("longitude") is not None:
        place = float(body["latitude"]), float(body["longitude"])
        more["light"] = light_at(*place, codec.from_text(row.at))
    return dict(zip(COLUMNS, view, strict=True)) | more


def merge(
    home: Path, rows: Iterable[codec.Row], boats: Mapping[str, str], own: str, at: datetime,
    *, the_rest: bool = False,
) -> MergeResult:  # fmt: skip
    """Add the records that the log does not have, all of them or none; raises LogbookError.

    `boats` names the boat of every trip, `own` this one: trips of others are kept apart from its past.
    Records that clash with the log are refused, and then nothing is added, unless `the_rest` is wanted.
    """
    rows = tuple(rows)
    with open_file(home, check=True) as db, _whole(db) as undo:
        done = _merged(db, rows, boats, own, at)
        if done.refused and not the_rest:
            undo()
            return MergeResult(known=done.known, differ=done.differ, refused=done.refused)
    return done


def _merged(
    db: Database, rows: Sequence[codec.Row], boats: Mapping[str, str], own: str, at: datetime
) -> MergeResult:
    entries = added = same_known = 0
    refused: list[tuple[str, str]] = []
    differ: list[str] = []
    new: list[str] = []
    known = known_of(db, rows, at)
    for row in rows:
        there = db.execute(f"SELECT {_ROW} FROM records WHERE id = ?", (row.id,)).fetchone()
        if there is not None and same(codec.Row(*there), row):
            same_known += 1
            continue
        boat = boats.get(row.trip, "")
        why = clash(db, row, boat, known) if there is None else _OTHER
        if why is not None:
            refused.append((row.id, why))
            differ += [row.id] if why == _OTHER else []
            continue
        _insert(db, row)
        added += 1
        if row.kind == codec.ENTRY:
            entries += 1
            new += _begin(db, row, boat, own, at)
    return MergeResult(added, entries, same_known, tuple(differ), tuple(new), tuple(refused))


@contextmanager
def open_file(home: Path, check: bool = False) -> Iterator[Database]:
    """Open the file of a log for as long as it is worked on; raises LogbookError."""
    path = home / FILE
    with explain_faults(path):
        make_home(home)
        db = open_log(path, check).db
        try:
            yield db
        finally:
            db.conn.close()


@contextmanager
def _whole(db: Database) -> Iterator[Callable[[], None]]:
    """Make one transaction; what is given undoes all of it."""
    db.execute("BEGIN IMMEDIATE")
    try:
        yield db.conn.rollback
        if db.conn.in_transaction:
            db.execute("COMMIT")
    except BaseException:
        if db.conn.in_transaction:
            db.conn.rollback()
        raise


def _insert(db: Database, row: codec.Row) -> None:
    db.execute(f"INSERT INTO records ({_ROW}) VALUES (?,?,?,?,?,?,?,?,?,?)", astuple(row))
    if row.kind in (codec.VOIDED, codec.RESTORED):
        for entry in json.loads(row.body)["entries"]:
            db.execute(
                "INSERT INTO stands (entry, void, record) VALUES (?,?,?)",
                (entry, int(row.kind == codec.VOIDED), row.id),
            )


def _begin(db: Database, row: codec.Row, boat: str, own: str, at: datetime) -> list[str]:
    """Note the trip of an entry where it is new, and where it came from; return its name then."""
    if db.execute("SELECT 1 FROM trips WHERE id = ?", (row.trip,)).fetchone():
        return []
    db.execute("INSERT INTO trips (id, first_at) VALUES (?, ?)", (row.trip, row.at))
    db.execute(
        "INSERT INTO imported (trip, boat, elsewhere, imported_at) VALUES (?,?,?,?)",
        (row.trip, boat, int(boat != own), codec.to_text(at)),
    )
    return [row.trip]
