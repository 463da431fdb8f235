"""The track in the log: what the instruments measured, every half minute or so, whatever the trip."""

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any, Final

from bot.logbook.codec import from_text, to_text
from bot.logbook.store import Logbook
from bot.stamps import MEASURED_FIELDS, Fix, Stamp

NEAR: Final = timedelta(seconds=20)
"""A point of the track stands for what happened this long before or after it."""
_COLUMNS: Final = ("at", "latitude", "longitude", "within_m", *MEASURED_FIELDS)


def keep_fix(log: Logbook, fix: Fix) -> None:
    """Add a point, unless there is one of that second already; raises LogbookError."""
    if fix.place is None:
        return
    stamp = [getattr(fix.stamp, name) for name in MEASURED_FIELDS]
    sql = f"INSERT OR IGNORE INTO track ({', '.join(_COLUMNS)}) VALUES ({_marks(_COLUMNS)})"
    log.rows(sql, to_text(fix.at), *fix.place, fix.within_m, *stamp)


def fix_near(log: Logbook, at: datetime) -> Fix | None:
    """Return what the track has nearest to a time; None where it has nothing that near."""
    sql = f"SELECT {', '.join(_COLUMNS)} FROM track WHERE at BETWEEN ? AND ?"
    points = [_fix(row) for row in log.rows(sql, to_text(at - NEAR), to_text(at + NEAR))]
    if not points:
        return None
    nearest = min(points, key=lambda point: abs(point.at - at))
    away_s = abs((nearest.at - at).total_seconds())
    return Fix(at, nearest.latitude, nearest.longitude, away_s, nearest.within_m, nearest.stamp)


def track_between(log: Logbook, start: datetime, end: datetime) -> tuple[Fix, ...]:
    """Return the points of a time, in order."""
    sql = f"SELECT {', '.join(_COLUMNS)} FROM track WHERE at BETWEEN ? AND ? ORDER BY at"
    return tuple(_fix(row) for row in log.rows(sql, to_text(start), to_text(end)))


def track_of(log: Logbook, trip: str) -> tuple[Fix, ...]:
    """Return the points of a trip from its first standing entry to its last; none of one from elsewhere."""
    sql = """SELECT min(at), max(at) FROM entries WHERE trip = ? AND NOT void
        AND trip NOT IN (SELECT trip FROM imported)"""
    ((start, end),) = log.rows(sql, trip)
    return () if start is None else track_between(log, from_text(start), from_text(end))


def last_fix(log: Logbook) -> Fix | None:
    """Return the last point; None without any."""
    sql = f"SELECT {', '.join(_COLUMNS)} FROM track ORDER BY at DESC LIMIT 1"
    return next((_fix(row) for row in log.rows(sql)), None)


def _fix(row: tuple[Any, ...]) -> Fix:
    at, latitude, longitude, within_m, *measured = row
    stamp = Stamp("instruments", **dict(zip(MEASURED_FIELDS, measured, strict=True)))
    return Fix(from_text(at), latitude, longitude, 0.0, within_m, stamp)


def _marks(names: Iterable[str]) -> str:
    return ", ".join("?" for _ in names)
