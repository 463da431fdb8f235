"""What the ear has learnt of its crew, made from the log each time something is heard."""

import logging

from bot.calls.usual import NOTHING_USUAL, Usual, usual_of
from bot.errors import LogbookError
from bot.logbook.learnt import learnt
from bot.logbook.store import Logbook
from bot.settings import Settings

_log = logging.getLogger(__name__)


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
