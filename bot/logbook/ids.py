"""Ids: unique over all boats, and in the order in which they were made, whatever the clock does."""

import uuid
from datetime import UTC, datetime, tzinfo
from typing import Final

from uuid_utils import uuid7

_LAST: Final = 2**128 - 2**64
"""Counting up from a later id could leave what an id can hold."""
_TAIL: Final = 6
"""Characters of an id that tell two trips of a day apart."""


class Ids:
    """Makes UUIDs of version 7 that never go back, not even when the clock does."""

    def __init__(self, last: str | None = None) -> None:
        self._last = _number(last)

    def new(self) -> str:
        """Return the next id; where the clock went back, the last one counted up by one."""
        self._last = max(uuid7().int, self._last + 1)
        return str(uuid.UUID(int=self._last))


def _number(text: str | None) -> int:
    """Return the number of an id; 0 for none, or for an id that was not made here."""
    try:
        number = uuid.UUID(text).int if text else 0
    except ValueError:
        return 0
    return number if number < _LAST else 0


def trip_id(first: str, at: datetime, tz: tzinfo = UTC) -> str:
    """Return the name of a trip: the boat's date and the end of the id of the message that began it."""
    return f"{at.astimezone(tz):%Y-%m-%d}-{first[-_TAIL:]}"
