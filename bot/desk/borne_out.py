"""Fish that nothing bears out: a bite or an ending that hardly fits what is known is asked about.

A fish counts once, and none is made up: what the crew called before, the lines that bit and the time of the
trip speak for what was understood, or against it. Pure.
"""

from dataclasses import replace
from datetime import datetime, timedelta, tzinfo
from typing import Final

from bot.calls.understand import Option, Understanding
from bot.trip.acts import AMEND, ENDINGS, FISH_ACTS, MISSED, PULLED, TABLE
from bot.trip.call import Call
from bot.trip.encounters import fish_clue, repeated_ending
from bot.trip.fill import fish_of_call
from bot.trip.fish import Fish
from bot.trip.lines import line_for
from bot.trip.meant import OneMore
from bot.trip.state import Trip
from bot.trip.times import when

STRUCK_FROM: Final = 0.9
"""Confidence from which a bite is logged while a fish is on: of six below it two were bites (S49 to S64)."""
HOOKED_FROM: Final = 0.8
"""The same for a hook-up that no bite was called for."""
LONG_BEFORE: Final = timedelta(hours=1)
"""How long before the trip a fish may be dated by the clock, to be asked about; longer is no time of day."""
ENDED_LATELY: Final = timedelta(minutes=15)
"""How long after its end a fish may be ended once more on its line; common practice, no source."""


def ask_about_fish(found: Understanding, trip: Trip, at: datetime, tz: tzinfo) -> Understanding:
    """Return what was understood at `at`, as a question where nothing on the trip bears it out."""
    if found.ask is not None or not found.calls:
        return found
    calls = tuple(_without_other_clock(call, trip, at, tz) for call in found.calls)
    found = found if calls == found.calls else replace(found, calls=calls)
    doubtful = (
        _is_one_more_bite(found, trip)
        or any(_before_the_trip(call, trip, at, tz) > timedelta() for call in calls)
        or _is_ending_of_nothing(found, trip, at)
    )
    if doubtful:
        return found.as_question()
    return _end_of_the_fight(_ends_elsewhere(found, trip, at), trip, at)


def _is_one_more_bite(found: Understanding, trip: Trip) -> bool:
    """Return whether a bite or hook-up leaves a doubt while another fish is on."""
    if not trip.fish_on:
        return False
    waits = any(fish.was_struck and not fish.is_over and not fish.was_on for fish in trip.fish)
    least = {"struck": STRUCK_FROM, "on": 0.0 if waits else HOOKED_FROM}
    return any(found.confidence < least.get(TABLE[c.act].stage or "", 0.0) for c in found.calls)


def _without_other_clock(call: Call, trip: Trip, at: datetime, tz: tzinfo) -> Call:
    """Return a fish without a clock time long before the trip, which is a bearing, a weight or a size.

    "On, six o'clock, dead astern"; "released, around one ten".
    """
    far = call.clock is not None and _before_the_trip(call, trip, at, tz) > LONG_BEFORE
    return call.with_slots(clock=None) if far else call


def _before_the_trip(call: Call, trip: Trip, at: datetime, tz: tzinfo) -> timedelta:
    """Return how long before the trip a fish is dated, where lines were called in; else nothing."""
    dated = call.act in FISH_ACTS and (call.ago_min is not None or call.clock is not None)
    if not dated or trip.started is None or not trip.intervals:
        return timedelta()
    return trip.started.replace(second=0) - when(call, at, tz, trip.started)


def _is_ending_of_nothing(found: Understanding, trip: Trip, at: datetime) -> bool:
    """Return whether a fish ends of which nothing is told, where nothing is on, bit or ended just now."""
    if len(found.calls) != 1 or any(not fish.is_over for fish in trip.fish):
        return False
    (call,) = found.calls
    if call.act not in ENDINGS or call.said():
        return False
    return repeated_ending(trip.fish, fish_clue(call, at, None)) is None


def _ends_elsewhere(found: Understanding, trip: Trip, at: datetime) -> Understanding:
    """Return an ending on a line where nothing bit, while one fish is on another, as a question."""
    if len(found.calls) != 1 or len(trip.fish_on) != 1:
        return found
    (call,), (on,) = found.calls, trip.fish_on
    if call.act not in ENDINGS or not call.position or not on.position or call.meaning(OneMore):
        return found
    line = line_for(trip.spread, call.position, call.side)
    if any(_may_be_there(fish, line, at) for fish in trip.fish):
        return found
    moved = Call(AMEND, position=call.position, side=call.side, of_position=on.position)
    half = found.confidence / 2
    return found.as_question([Option((moved, call), half), Option((call,), half)])


def _may_be_there(fish: Fish, line: str, at: datetime) -> bool:
    """Return whether a fish was lately, or may be, on a line."""
    over = fish.is_over and fish.ended_at is not None and at - fish.ended_at > ENDED_LATELY
    return fish.line in (None, line) and not over


def _end_of_the_fight(found: Understanding, trip: Trip, at: datetime) -> Understanding:
    """Return a miss that no bite was called for, while a fish is on, as a question: that fish, or another."""
    if [call.act in MISSED for call in found.calls] != [True] or found.ask is not None:
        return found
    missed = found.calls[0]
    if missed.position or not trip.fish_on or fish_of_call(missed, trip, at) is not None:
        return found
    half = found.confidence / 2
    return found.as_question([Option((Call(PULLED),), half), Option((missed,), half)])
