"""What was said unasked, by trip and channel, so that it is never said again."""

from datetime import datetime

from bot.logbook.codec import to_text
from bot.logbook.store import Logbook


def reminded(log: Logbook, trip: str, channel: str) -> frozenset[str]:
    """Return the keys of what was said on a trip over a channel."""
    rows = log.rows("SELECT key FROM reminded WHERE trip = ? AND channel = ?", trip, channel)
    return frozenset(row[0] for row in rows)


def claim(log: Logbook, trip: str, channel: str, key: str, at: datetime) -> bool:
    """Note that something is said now; False where it was before, here or in another process."""
    sql = "INSERT OR IGNORE INTO reminded (trip, channel, key, at) VALUES (?,?,?,?) RETURNING key"
    return bool(log.rows(sql, trip, channel, key, to_text(at)))
