"""Questions that nobody answered: of a sure call the likeliest fish or line is taken, and the crew is told.

A question waits two minutes; sooner it is taken where what is said next builds on it and tells which fish
it was. A call of a fish that was less sure is taken only where a later stage of that fish bears it out:
"he's on" bears out the bite. A doubtful leader or end of a fish is not: nothing said later tells that it
was one. All else is never taken, a correction least of all: at the end of the trip it is named. Pure.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final

from bot.answers.open_questions import STALE_AFTER, pending_questions
from bot.answers.view import View
from bot.desk.fits import oddness
from bot.desk.heard import HeardMessage, Outcome, closing_record
from bot.desk.settle import same_call
from bot.replies.amounts import clock
from bot.replies.logged import with_place
from bot.trip.acts import ENDINGS, PLACING, QUESTIONS, TABLE
from bot.trip.call import Call
from bot.trip.decide import decide
from bot.trip.decision import Context, Numbering, number
from bot.trip.encounters import find_fish, fish_clue, same_person, unclear
from bot.trip.entry import Asked, Entry, Record
from bot.trip.fish import Fish
from bot.trip.lines import line_for
from bot.trip.meant import Choice, meaning
from bot.trip.twice import called_twice

TAKEN_FROM: Final = 0.8
"""Confidence below which a call is never taken; smaller takes more, and more wrongly."""
BORNE_OUT_FROM: Final = 0.5
"""The same for a call of a fish that a later stage confirms."""
NAMED_FROM: Final = 0.35
"""The same where that stage is called on the very line that was asked about."""
LATEST: Final = timedelta(minutes=15)
"""Age beyond which a question is left alone."""
LATEST_ON: Final = timedelta(hours=1)
"""The same for a hook-up while nothing is on: so long a fish may well be fought (common practice)."""

_ANSWERS: Final = frozenset({"yes", "no", "undo"})
_BORNE_OUT: Final = ("raised", "struck", "on")
"""Stages that a later one confirms; a fish in the boat confirms no leader, nor how another ended."""
_COMES_ON: Final = ("raised", "struck", "on", "leader", "missed", "lost", "caught")
"""The stages of a fish, in their order."""


@dataclass(frozen=True, slots=True)
class TakenQuestions:
    """What was taken of old questions, and what is true after it."""

    view: View
    records: tuple[Record, ...] = ()
    text: str = ""

    def before(self, outcome: Outcome) -> Outcome:
        """Return the outcome of a message with what was taken put before it."""
        if not self.records:
            return outcome
        reply, logged = outcome.reply, tuple(r.id for r in self.records if isinstance(r, Entry))
        text = "\n".join(part for part in (self.text, reply.text) if part)
        spoken = " ".join(part for part in (self.text, reply.spoken) if part)
        both = replace(reply, text=text, spoken=spoken, logged=(*logged, *reply.logged))
        word = "logged" if logged else outcome.word
        records, trip = (*self.records, *outcome.records), outcome.trip or self.view.trip.id
        return replace(outcome, reply=both, word=word, records=records, trip=trip)


def overdue(heard: HeardMessage, before: View, outcome: Outcome) -> tuple[Asked, ...]:
    """Return the questions that no longer wait and that this message does not answer, the oldest first."""
    found, at = heard.found, heard.message.at
    acts = {call.act for call in found.calls}
    if acts & _ANSWERS or meaning(found.meant, Choice) is not None or not before.trip.is_open:
        return ()
    closed = {one.closes for one in outcome.records if isinstance(one, Asked)}
    return tuple(
        one
        for one in reversed(list(pending_questions(before.questions)))
        if one.text
        and one.id not in closed
        and timedelta() <= at - one.at <= _longest(one, before)
        and _is_taken(one, found.calls, before, at)
        and _is_told_apart(one, found.calls, before, at)
    )


def _longest(one: Asked, view: View) -> timedelta:
    """Return how long a question may be taken up; a fish that was asked about may be on all the while."""
    hooked = all(TABLE[call.act].stage == "on" for call in one.options[0])
    waits = any(fish.was_struck and not fish.is_over for fish in view.trip.fish)
    return LATEST_ON if hooked and not waits else LATEST


def _is_taken(one: Asked, calls: Sequence[Call], view: View, at: datetime) -> bool:
    """Return whether a question's first reading is taken now that these calls are said."""
    builds = _builds_on(calls, one)
    if one.sure >= TAKEN_FROM and same_call(one.options):
        told = _asks_which_ended(one) or bool(_borne_out(one, calls, view, at))
        return (builds and told) or STALE_AFTER < at - one.at <= LATEST
    first = one.options[0]
    of_fish = all(
        TABLE[call.act].stage in _BORNE_OUT and not call.clock and not call.ago_min
        for call in first
    )
    lines = {call.position for call in first if call.position}
    named = {call.position for call in calls if call.position}
    on_it = bool(named & lines) if named and lines else len(lines) <= 1
    least = NAMED_FROM if named & lines else BORNE_OUT_FROM
    sure = builds and of_fish and on_it and one.sure >= least
    return sure and not _is_of_another(one, calls, view, at)


def _borne_out(
    one: Asked, calls: Sequence[Call], view: View, at: datetime
) -> tuple[tuple[Call, ...], ...]:
    """Return the only reading about the fish that is spoken of now; none where that tells nothing.

    "Leader!", of two fish that are on, is told apart by "the wahoo is in the boat" where one is a wahoo.
    """
    lines = {fish.position for fish in _goes_on_with(calls, view, at) if fish.position}
    left = [option for option in one.options if {call.position for call in option} & lines]
    return tuple(left) if len(left) == 1 else ()


def _is_of_another(one: Asked, calls: Sequence[Call], view: View, at: datetime) -> bool:
    """Return whether what is said now is of a fish in the log that is not the one that was asked about."""
    said = _goes_on_with(calls, view, at)
    asked = _goes_on_with(one.options[0], view, one.at)
    return bool(said) and not {fish.id for fish in said} & {fish.id for fish in asked}


def _goes_on_with(calls: Sequence[Call], view: View, at: datetime) -> list[Fish]:
    """Return the fish that calls go on with, where it is clear which each is."""
    found: list[Fish] = []
    spread = view.trip.spread
    for call in (call for call in calls if TABLE[call.act].stage):
        line = line_for(spread, call.position, call.side) if call.position else None
        wants = fish_clue(call, at, line)
        fish = find_fish(view.trip.fish, wants)
        if fish is not None and not unclear(view.trip.fish, wants):
            found.append(fish)
    return found


def take(due: Sequence[Asked], heard: HeardMessage, before: View) -> TakenQuestions:
    """Return what comes of taking each question's likeliest reading, at its own time, as its speaker's."""
    taken, said = TakenQuestions(before), []
    for one in due:
        view = taken.view
        calls = _reading(one, heard.found.calls, view, heard.message.at)
        records = _logged(one, calls, heard, view) if calls else ()
        closes = closing_record(one, heard)
        after = heard.memory.now((*view.records, *records))
        view = replace(
            view, trip=after.trip, stood=after.stood, records=(*view.records, *records),
            questions=(closes, *view.questions), asked=None,
        )  # fmt: skip
        if records:
            words = "; ".join(with_place(call) for call in calls)
            said.append(f"Taken, as nobody answered: {words}, {clock(one.at, view.tz)}.")
        taken = TakenQuestions(view, (*taken.records, *records, closes), "\n".join(said))
    return taken


def _builds_on(calls: Sequence[Call], asked: Asked) -> bool:
    """Return whether these calls take a fish further than what was asked about."""
    stages = [TABLE[c.act].stage for option in asked.options for c in option]
    first = min((_COMES_ON.index(s) for s in stages if s is not None), default=None)
    if first is None:
        return False
    said = [TABLE[call.act].stage for call in calls]
    further = any(s is not None and _COMES_ON.index(s) > first for s in said)
    ended = {call.act for call in calls} & ENDINGS and first >= _COMES_ON.index("missed")
    return bool(further or ended)


def _reading(asked: Asked, said: Sequence[Call], view: View, at: datetime) -> tuple[Call, ...]:
    """Return the calls to be logged; empty where nothing of it is sure enough."""
    if _asks_which_ended(asked):
        left = _still_on(asked.options, said, view)
        return left[0] if left else ()
    if same_call(asked.options) and (told := _borne_out(asked, said, view, at)):
        return told[0]
    if oddness(asked.options[0], view.trip, asked.at):
        return ()
    sure = [call for call in asked.options[0] if all(call in other for other in asked.options)]
    return tuple(
        call
        for call in asked.options[0]
        if call.act not in QUESTIONS and (call in sure or call.act not in PLACING)
    )


def _is_told_apart(one: Asked, said: Sequence[Call], view: View, at: datetime) -> bool:
    """Return whether a question which fish ended is over, or what is said now leaves one of them.

    "He broke the trace" right after "he's off" may be about the same fish.
    """
    waited = at - one.at > STALE_AFTER
    return waited or not _asks_which_ended(one) or len(_still_on(one.options, said, view)) == 1


def _asks_which_ended(asked: Asked) -> bool:
    """Return whether the question is which of several fish ended so."""
    return same_call(asked.options) and any(call.act in ENDINGS for call in asked.options[0])


def _still_on(
    options: Sequence[tuple[Call, ...]], said: Sequence[Call], view: View
) -> list[tuple[Call, ...]]:
    """Return the readings about fish that are not over and that this message does not mention."""
    there = {fish.position for fish in view.trip.fish if not fish.is_over}
    named = {call.position for call in said if call.position}
    theirs = (f for f in view.trip.fish if not f.is_over and _names(said, f))
    named |= {fish.position for fish in theirs if fish.position}
    return [
        option
        for option in options
        if not {c.position for c in option if c.position} - there
        and not {c.position for c in option if c.position} & named
    ]


def _names(said: Sequence[Call], fish: Fish) -> bool:
    """Return whether calls name a fish by who has the rod: "Greta's in the boat"."""
    return any(call.angler and same_person(fish.angler, call.angler) == 2 for call in said)


def _logged(
    asked: Asked, calls: tuple[Call, ...], heard: HeardMessage, view: View
) -> tuple[Record, ...]:
    """Return the records of what is taken; none where somebody has called the same since."""
    twice = called_twice(calls, view.stood, view.trip.fish, asked.crew, asked.at, view.tz)
    if twice.doubt is not None:
        return ()
    context = Context(
        asked.at, view.tz, view.box, asked.text, heard.memory, None, twice.seconds, True
    )
    decision = decide(twice.rest, view.records, context)
    if decision.new_trip or not decision.changes_log:
        return ()
    about = Numbering(
        heard.new_id, view.trip.id, asked.message, asked.crew, heard.message.source, asked.text,
        asked.at, None, heard.fix_at,
    )  # fmt: skip
    return number(decision, about)
