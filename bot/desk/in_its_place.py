"""What a message means where it was said: the units of the trip, trouble, what was asked and measured last.

Each step looks at one thing that may be meant, in this order. Pure.
"""

from dataclasses import replace
from datetime import datetime, timedelta
from typing import Final

from bot.answers.view import View
from bot.calls.language import Language
from bot.calls.phrasing import question
from bot.calls.understand import Option, Understanding
from bot.desk.animal_on import off_the_hook
from bot.desk.conversation import attach_to_asked_fish
from bot.desk.fits import JUST_BITTEN, drop_lines_aboard, settle_by_context, undo_of_rework
from bot.desk.in_trouble import while_in_trouble
from bot.desk.left_open import fish_or_animal
from bot.desk.measured_again import as_measured_just_now, as_weight_of_fish
from bot.desk.understood import in_units_of_the_trip
from bot.trip.acts import AMEND, BITES, ENDINGS, MISSED, PULLED, TABLE
from bot.trip.call import Call
from bot.trip.corrections import correction
from bot.trip.entry import Entry
from bot.trip.fill import fish_of_call
from bot.trip.fish import Fish
from bot.trip.lines import line_for
from bot.trip.meant import OneMore
from bot.trip.state import Trip

STRUCK_FROM: Final = 0.9
"""Confidence from which a bite is logged while a fish is on: of six below it two were bites (S49 to S64)."""
HOOKED_FROM: Final = 0.8
"""The same for a hook-up that no bite was called for."""
ENDED_LATELY: Final = timedelta(minutes=15)
"""How long after its end a fish may be ended once more on its line; common practice, no source."""


def in_its_place(
    found: Understanding,
    words: Language,
    before: View,
    at: datetime,
    asked: tuple[datetime, tuple[Call, ...]] | None,
    accept: float,
) -> Understanding:
    """Return what was understood as it is meant on this trip at `at`.

    `asked` is the last question to the program with its time; `accept` is how sure an ear with a grammar
    was of the line, 1 for any other.
    """
    line = words.reader.line(found.text)
    found = as_weight_of_fish(found, before.stood)
    found = as_measured_just_now(found, line, before.stood, before.records, at)
    found = in_units_of_the_trip(found, before, at, before.tz)
    found = undo_of_rework(found, before.trip)
    found = while_in_trouble(found, words, before, at)
    found = attach_to_asked_fish(found, before.stood, at, asked)
    last = before.stood[-1] if before.stood else None
    found = _lines_of_a_double(found, last, at)
    fit = settle_by_context(found, before.trip, at, last, accept)
    fit = off_the_hook(fish_or_animal(fit, before.trip, before.stood), words, before.trip)
    fit = _ends_elsewhere(_one_more_bite(fit, before.trip), before.trip, at)
    return drop_lines_aboard(_end_of_the_fight(fit, before.trip, at), before.trip)


def _one_more_bite(found: Understanding, trip: Trip) -> Understanding:
    """Return a bite or hook-up that leaves a doubt, while another fish is on, as a question."""
    if found.ask is not None or not trip.fish_on:
        return found
    waits = any(fish.was_struck and not fish.is_over and not fish.was_on for fish in trip.fish)
    least = {"struck": STRUCK_FROM, "on": 0.0 if waits else HOOKED_FROM}
    wanted = max((least.get(TABLE[call.act].stage or "", 0.0) for call in found.calls), default=0.0)
    if found.confidence >= wanted:
        return found
    options = (Option(found.calls, found.confidence),)
    return replace(found, ask=question([found.calls]), options=options)


def _ends_elsewhere(found: Understanding, trip: Trip, at: datetime) -> Understanding:
    """Return an ending on a line where nothing bit, while one fish is on another, as a question."""
    if found.ask is not None or len(found.calls) != 1 or len(trip.fish_on) != 1:
        return found
    (call,), (on,) = found.calls, trip.fish_on
    if call.act not in ENDINGS or not call.position or not on.position or call.meaning(OneMore):
        return found
    line = line_for(trip.spread, call.position, call.side)
    if any(_may_be_there(fish, line, at) for fish in trip.fish):
        return found
    moved = Call(AMEND, position=call.position, side=call.side, of_position=on.position)
    options = (Option((moved, call), found.confidence / 2), Option((call,), found.confidence / 2))
    return replace(found, ask=question([one.calls for one in options]), options=options)


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
    options = (Option((Call(PULLED),), half), Option((missed,), half))
    return replace(found, ask=question([one.calls for one in options]), options=options)


def _lines_of_a_double(found: Understanding, last: Entry | None, at: datetime) -> Understanding:
    """Return lines that are named right after a double without any as its lines, and as no new bites."""
    if (
        last is None
        or last.call.position
        or last.call.act not in BITES
        or at - last.at > JUST_BITTEN
    ):
        return found
    lines = [(call.position, call.side) for call in found.calls]
    alone = all(
        call.act in BITES and call.said().keys() <= {"position", "side"} for call in found.calls
    )
    if not alone or len(set(lines)) != last.call.count or len(lines) != last.call.count:
        return found
    calls = tuple(correction(position=position, side=side) for position, side in lines)
    return replace(found, calls=calls, ask=None, options=(Option(calls, found.confidence),))
