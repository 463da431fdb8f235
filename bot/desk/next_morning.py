"""Which trip a message is about: the present one, or that of the day before. Pure, given a loader."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Final

from bot.answers.fish_talk import fish_words
from bot.answers.view import View
from bot.calls.understand import Option, Understanding
from bot.desk.heard import Outcome
from bot.desk.settle import Doubt
from bot.replies.amounts import clock, first_few
from bot.trip.acts import AMEND, CONTROL, UNDO
from bot.trip.call import Call
from bot.trip.day_before import is_of_the_day_before, told_again
from bot.trip.decision import Decision
from bot.trip.meant import Choice, OfYesterday, meaning
from bot.trip.state import Trip

NO_TRIP: Final = "The log has no trip before this one."
MOST_NAMED: Final = 4
"""Most fish of the day before that are named in a question."""


def choose_view(found: Understanding, before: View, load: Callable[[str], View]) -> View:
    """Return the view of the trip that a message is about; `load` gives that of another trip."""
    calls = _calls(found, before)
    if not calls or _is_of_yesterday(before) or not before.past.trips:
        return before
    earlier = load(before.past.trips[-1].id)
    is_of_it = is_of_the_day_before(
        calls, before.trip, before.records, earlier.trip, earlier.records, before.now, before.tz
    )
    return earlier if is_of_it else before


def _is_of_yesterday(view: View) -> bool:
    """Return whether the present trip is the one of the day before: no other has begun since."""
    first = view.trip.first_at
    return (
        first is not None and first.astimezone(view.tz).date() < view.now.astimezone(view.tz).date()
    )


def _calls(found: Understanding, before: View) -> Sequence[Call]:
    """Return the corrections of a message, or those that its answer chooses; none of anything else."""
    corrects = bool(found.calls) and all(call.act in (UNDO, AMEND) for call in found.calls)
    answers = all(call.act in CONTROL for call in found.calls)
    asked = before.asked
    if asked is None or corrects or not answers or not (found.calls or _chosen(found)):
        return found.calls if corrects else ()
    return [c for option in asked.options for c in option if c.meaning(OfYesterday)]


def _chosen(found: Understanding) -> bool:
    return meaning(found.meant, Choice) is not None


def told_of(outcome: Outcome, meant: View, present: View) -> Outcome:
    """Return an outcome with the day of its trip before the words, where that is not the present trip."""
    if meant.trip.id == present.trip.id or outcome.reply.ask or not outcome.reply.text:
        return outcome
    first = meant.trip.first_at or meant.now
    day = first.astimezone(meant.tz)
    head = f"Trip of {day.day} {day:%B}:"
    reply = outcome.reply
    return replace(
        outcome,
        reply=replace(reply, text=f"{head}\n{reply.text}", spoken=f"{head} {reply.spoken}"),
    )


def put_right_yesterday(found: Understanding, again: Understanding, words: str) -> Understanding:
    """Return what puts yesterday's trip right as a question; `again` is what was said without that word.

    `words` say its calls back.
    Memories and talk of yesterday stay what they are: nothing but a correction is read so.
    """
    if not again.calls or any(c.act != AMEND or not c.said() for c in again.calls):
        return found
    calls = tuple(c.with_slots(meant=(*c.meant, OfYesterday())) for c in again.calls)
    ask = f"Of yesterday's trip: {words}?"
    option = Option(calls, again.confidence)
    return replace(again, text=found.text, calls=calls, ask=ask, options=(option,))


def where_there_was_one(found: Understanding, before: View) -> Understanding:
    """Return what was understood, without what is about yesterday's trip where the log has no trip before."""
    of_it = any(call.meaning(OfYesterday) for call in found.calls)
    if not of_it or _is_of_yesterday(before) or before.past.trips:
        return found
    return replace(found, calls=(), ask=None, options=(), refusal=NO_TRIP)


def may_be_yesterdays(calls: Sequence[Call], decision: Decision, before: View) -> Doubt | None:
    """Return the question whether a catch before lines are in is new, where yesterday has such a fish."""
    if len(calls) != 1 or (calls[0].ago_min, calls[0].clock) != (None, None) or decision.doubts:
        return None
    if all(one.implied or one.replaces for one in decision.entries):
        return None
    trips = before.past.trips
    earlier = before.trip if decision.new_trip else trips[-1] if trips else None
    if earlier is None:
        return None
    present = Trip() if decision.new_trip else before.trip
    known = told_again(calls[0], present, earlier, before.now)
    if not known:
        return None
    names = [f"{clock(end.at, before.tz)} {fish_words(fish, end)}" for fish, end in known]
    told = first_few(names, MOST_NAMED)
    question = (
        f"Lines are not in. A new fish, or one of the last trip ({told})? Yes logs a new one."
    )
    return Doubt(question, (tuple(calls),), 0.0)
