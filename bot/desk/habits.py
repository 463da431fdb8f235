"""What a line is read beside: the line before it, and what is usual for its speaker; both from the log."""

import json
import logging
from datetime import datetime, timedelta
from typing import Final

from bot.calls.usual import NOTHING_USUAL, Usual, usual_of
from bot.errors import LogbookError
from bot.logbook.codec import from_text
from bot.logbook.learnt import learnt
from bot.logbook.store import Logbook
from bot.settings import Settings

FRESH: Final = timedelta(minutes=3)
"""How long after a line the next may belong to it: "thirty inches" - "thirty four, you hold it wrong"."""
_log = logging.getLogger(__name__)


def said_before(log: Logbook, at: datetime) -> str:
    """Return what was said last, by whomever, before this time; empty where that is too long ago."""
    sql = "SELECT said_at, text, alternatives FROM messages ORDER BY seq DESC LIMIT 1"
    try:
        [(said_at, text, alternatives)] = log.rows(sql)
    except (LogbookError, ValueError):
        return ""
    if not timedelta(0) <= at - from_text(said_at) <= FRESH:
        return ""
    heard = json.loads(alternatives) if text is None else None
    return text or (heard["alternatives"][0]["text"] if heard and heard["alternatives"] else "")


def usual(log: Logbook, found: Settings, speaker: str) -> Usual:
    """Return what is usual for a speaker; nothing where that is switched off or cannot be read."""
    if not found.speech.learn:
        return NOTHING_USUAL
    try:
        known = learnt(log)
    except LogbookError as exc:
        _log.warning("nothing is learnt: %s", exc)
        return NOTHING_USUAL
    return usual_of(known.said, speaker, (*found.boat.crew, *known.names))
