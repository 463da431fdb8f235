"""Which of the questions side by side a message answers: its speaker's own before others'. Pure."""

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from typing import Final

from bot.trip.entry import Asked

STALE_AFTER: Final = timedelta(minutes=2)
"""A question that is older is not answered any more by a bare word."""
BY_NAME: Final = timedelta(minutes=15)
"""One that is named, as by its own button, may be older."""


def open_questions(latest_first: Sequence[Asked], at: datetime) -> tuple[Asked, ...]:
    """Return the questions that nobody has answered and that are not over, the latest first."""
    return tuple(one for one in unanswered(latest_first) if abs(at - one.at) <= STALE_AFTER)


def question_for(
    latest_first: Sequence[Asked], crew: str, skipper: bool, about: str, at: datetime
) -> Asked | None:
    """Return the question that somebody's answer means: the one named, their own, else the latest.

    Others' questions are for a skipper. Where none is open the last one is returned, which is over.
    """
    waiting = list(unanswered(latest_first))
    if about:
        named = (one for one in waiting if one.id == about)
        return next((one for one in named if at - one.at <= BY_NAME), None)
    still_open = open_questions(latest_first, at)
    own = [one for one in still_open if one.crew.casefold() == crew.casefold()]
    if own or (still_open and skipper):
        return own[0] if own else still_open[0]
    last = latest_first[0] if latest_first else None
    return None if last in still_open else last


def unanswered(latest_first: Sequence[Asked]) -> Iterator[Asked]:
    """Yield the questions that no later record closes; one that names none closes the one before it."""
    closed: set[str] = set()
    closes_next = False
    for one in latest_first:
        if not one.options:
            closed.add(one.closes)
            closes_next = closes_next or not one.closes
        elif closes_next:
            closes_next = False
        elif one.id not in closed:
            yield one
