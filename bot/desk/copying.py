"""A copy of the log at the end of each trip; a copy that fails never keeps a reply back."""

import logging
from collections.abc import Iterable
from datetime import datetime

from bot.errors import LogbookError
from bot.settings import Settings
from bot.trip.acts import TABLE
from bot.trip.entry import Entry, Record

_log = logging.getLogger(__name__)


def copy_after(records: Iterable[Record], found: Settings, at: datetime) -> None:
    """Copy the log where these records ended a trip, and keep as many copies as the settings want."""
    many = found.keeping.backups
    ended = any(isinstance(one, Entry) and TABLE[one.call.act].form == "ended" for one in records)
    if not ended or many == 0:
        return
    from bot.logbook.keeping import back_up_and_keep

    try:
        made = back_up_and_keep(found.home, at, many)
    except LogbookError as exc:
        _log.warning("no copy of the log was made: %s", exc)
        return
    _log.info("the log was copied to %s", made)
