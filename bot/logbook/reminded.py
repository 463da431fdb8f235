"""What was said unasked, by trip and channel, so that it is never said again."""

from datetime import datetime

from bot.logbook.codec import to_text
from bot.logbook.store import Logbook


def reminded_keys(log: Logbook, trip: str, channel: str) -> frozenset[str]:
    """Return the keys of what was said on a trip over a channel."""
    rows = log.rows("SELECT key FROM reminded WHERE trip = ? AND channel = ?", trip, channel)
    return frozenset(row[0] for row in rows)


def claim(log: Logbook, trip: str, channel: str, key: str, at: datetime) -> bool:
    """Note that something is said now; False where it was before, here or in another process."""
    sql = "INSERT OR IGNORE INTO reminded (trip, channel, key, at) VALUES (?,?,?,?) RETURNING key"
    return bool(log.rows(sql, trip, channel, key, to_text(at)))


def trips_with_promises(log: Logbook, most: int) -> tuple[str, ...]:
    """Return those of the latest trips, own ones, in which something may be asked for the day after.

    Their records are looked through for the word alone and not read: this is asked every few seconds.
    """
    sql = """SELECT id FROM (SELECT id, seq FROM trips ORDER BY seq DESC LIMIT ?) AS t
        WHERE id NOT IN (SELECT trip FROM imported)
        AND EXISTS (SELECT 1 FROM records WHERE trip = t.id AND instr(body, '"tomorrow"'))
        ORDER BY seq"""
    return tuple(str(trip) for (trip,) in log.rows(sql, most))
