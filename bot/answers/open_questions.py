"""Choose the open question that a message answers: its speaker's own before others'. Pure."""

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Final

from bot.replies.amounts import clock, first_few
from bot.trip.acts import PLAN, TRIP_END
from bot.trip.entry import Asked

if TYPE_CHECKING:
    from bot.answers.view import View

STALE_AFTER: Final = timedelta(minutes=2)
"""Age beyond which a bare word no longer answers a question."""
BY_NAME: Final = timedelta(minutes=15)
"""Age beyond which not even its own button answers a question."""

SAID_AGAIN: Final = timedelta(hours=1)
"""How long "what's out" names what nobody answered; the board and the end of the trip go on naming it."""
MOST_OPEN: Final = 3
"""Most unanswered questions that the board names; more are counted."""


def open_questions(latest_first: Sequence[Asked], at: datetime) -> tuple[Asked, ...]:
    """Return the questions that are still open, the latest first."""
    return tuple(one for one in pending_questions(latest_first) if abs(at - one.at) <= STALE_AFTER)


def question_for(
    latest_first: Sequence[Asked],
    crew: str,
    skipper: bool,
    about: str,
    at: datetime,
    chooses: bool = False,
) -> Asked | None:
    """Return the question that somebody's answer means: the one named, their own, else the latest.

    Others' questions are for a skipper. Where none is open the last one is returned, which is over.
    `chooses` is for "second", which means a question with several readings where one is open.
    """
    if about:
        found = named_question(latest_first, about, at)
        return found if found is not None and (skipper or is_own(found, crew)) else None
    still_open = open_questions(latest_first, at)
    if chooses:
        several = tuple(one for one in still_open if len(one.options) > 1)
        still_open = several or still_open
    own = [one for one in still_open if is_own(one, crew)]
    if own or (still_open and skipper):
        return own[0] if own else still_open[0]
    last = latest_first[0] if latest_first else None
    return None if last in open_questions(latest_first, at) else last


def asker_of(
    latest_first: Sequence[Asked], crew: str, skipper: bool, about: str, at: datetime
) -> str:
    """Return whose question this is, where the speaker may not answer it; else nothing."""
    found = named_question(latest_first, about, at) if about else None
    waiting = (found,) if found is not None else () if about else open_questions(latest_first, at)
    if skipper or any(is_own(one, crew) for one in waiting):
        return ""
    return next((one.crew for one in waiting), "")


def named_question(latest_first: Sequence[Asked], about: str, at: datetime) -> Asked | None:
    """Return the question that an answer names, as its button does, where it is still open."""
    found = (one for one in pending_questions(latest_first) if one.id == about)
    return next((one for one in found if _waits(one, at)), None)


def is_own(question: Asked, crew: str) -> bool:
    """Return whether a person was asked it, or it is not known who was."""
    return not question.crew or question.crew.casefold() == crew.casefold()


def pending_questions(latest_first: Sequence[Asked]) -> Iterator[Asked]:
    """Yield the questions that no later record closes; a record that names none closes the one before it.

    Of the plans that were shown only the last is asked about.
    """
    closed: set[str] = set()
    closes_next = planned = False
    for one in latest_first:
        earlier, planned = planned and _is_planned(one), planned or _is_planned(one)
        if not one.options:
            closed.add(one.closes)
            closes_next = closes_next or not one.closes
        elif closes_next:
            closes_next = False
        elif one.id not in closed and not earlier:
            yield one


def _is_planned(one: Asked) -> bool:
    return bool(one.options) and one.about is not None and one.about.act == PLAN


def _only_ends(one: Asked) -> bool:
    """Return whether a question is whether the trip is over, which it is by now."""
    return {call.act for option in one.options for call in option} == {TRIP_END}


def left_open(
    view: "View", waiting: bool | None = None, within: timedelta = timedelta.max
) -> list[str]:
    """Return the unanswered questions of this trip, the oldest first, as words and time.

    With `waiting` only those whose button still answers them, or only those that are past it; none that is
    older than `within`.
    """
    began = view.trip.started
    return [
        f'"{one.text}" {clock(one.at, view.tz)}'
        for one in reversed(list(pending_questions(view.questions)))
        if one.text
        and one.about is None
        and not _only_ends(one)
        and began is not None
        and began <= one.at <= view.now
        and view.now - one.at <= within
        and (waiting is None or waiting is _waits(one, view.now))
    ]


def waiting_lines(view: "View") -> list[str]:
    """Return what waits for an answer, in one line; none where nothing does."""
    waits = first_few(left_open(view, True), MOST_OPEN)
    return [f"Waiting for an answer, not logged yet: {waits}"] if waits else []


def left_open_lines(view: "View", within: timedelta = timedelta.max) -> list[str]:
    """Return what waits for an answer, and what nobody answered in time; one line each."""
    past = first_few(left_open(view, False, within), MOST_OPEN)
    return [*waiting_lines(view), *([f"Not answered, not logged: {past}"] if past else [])]


def answerable(view: "View") -> list[str]:
    """Return the questions, by their ids, that their own buttons still answer."""
    return [one.id for one in pending_questions(view.questions) if _waits(one, view.now)]


def _waits(one: Asked, at: datetime) -> bool:
    return at - one.at <= BY_NAME
