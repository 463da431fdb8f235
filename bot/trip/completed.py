"""Find whether a call says the last one again with the line that it lacked.

    "clear the rigger" - "On which position?" - "clear the long rigger"
    "one pulled the hook" - "pulled hook, long rigger"

Pure.
"""

from collections.abc import Collection, Sequence
from datetime import datetime, timedelta
from typing import Final

from bot.trip.acts import CLEAR, ENDINGS, LAYING
from bot.trip.call import Call
from bot.trip.entry import Entry
from bot.trip.twice import added

AGAIN: Final = timedelta(minutes=1)
"""How soon a lure called out or in without its line is the same with its line; common practice, no source."""
END_AGAIN: Final = timedelta(seconds=30)
"""The same for the end of a fish, of which several may come one after another."""
_WHERE: Final = frozenset({"position", "side", "ago_min", "clock"})


def completed(
    call: Call, stood: Sequence[Entry], at: datetime, made: Collection[str]
) -> tuple[Entry, Call] | None:
    """Return the last entry and what it lacked, where a call is the same with its line; else None.

    `made` are the entries of the same breath: what is said there twice are two.
    """
    last = max(stood, key=lambda entry: entry.id, default=None)
    if last is None or last.id in made or call.position is None:
        return None
    known = last.call
    if known.act != call.act or known.position is not None or not _is_soon(call, at - last.at):
        return None
    said, held = call.said(), known.said()
    beside = said.keys() - _WHERE
    if (call.act in ENDINGS and beside) or any(held.get(n, said[n]) != said[n] for n in beside):
        return None
    return last, added(known, last.inferred, call)


def _is_soon(call: Call, gap: timedelta) -> bool:
    if call.act in ENDINGS:
        return timedelta() <= gap <= END_AGAIN
    return call.act in {*LAYING, CLEAR} and timedelta() <= gap <= AGAIN
