"""What the crew says of how things stand, held against the log: no fish is on, a lure is out since six.

Nothing of it is an event: where the log says the same it is answered, where it says otherwise the crew is
asked what happened. Pure.
"""

from datetime import datetime, timedelta
from typing import Final

from bot.answers.answer import Answer
from bot.answers.fish_care import asked_care
from bot.answers.standby import deep_standby
from bot.answers.view import View
from bot.calls.phrasing import question
from bot.calls.understand import Understanding
from bot.desk.offers import has_open_plan
from bot.desk.settle import Doubt, open_question
from bot.desk.since import is_fresh
from bot.replies.amounts import clock, join_parts, sentence
from bot.trip.acts import AMEND, PLAN, PULLED, SET, TABLE
from bot.trip.call import Call
from bot.trip.corrections import correction, undo_of
from bot.trip.fish import Fish
from bot.trip.meant import (
    AnotherPlan,
    Cares,
    NotBiting,
    NothingOn,
    OutSince,
    SetsPlan,
    SpreadWish,
    meaning,
)
from bot.trip.times import when

JUST_LOGGED: Final = timedelta(minutes=5)
"""How long "no green" may put right the colour that was logged last; common practice, no source."""
ABOUT: Final = timedelta(minutes=5)
"""Difference between a time said and that of the log that is none."""


def answer_statement(found: Understanding, before: View) -> Answer | Doubt | None:
    """Return the answer to what was said of how things stand, or the question it raises."""
    none = meaning(found.meant, NothingOn)
    if none is not None and not none.just_now:
        return _nothing_on(before)
    if meaning(found.meant, NotBiting) is not None and (deep := deep_standby(before)) is not None:
        return deep
    care = meaning(found.meant, Cares)
    if care is not None and (told := asked_care(before, care)) is not None:
        return told
    since = meaning(found.meant, OutSince)
    return _out_since(since, before) if since is not None else None


def set_already(found: Understanding, before: View) -> Answer | None:
    """Return what is out, where "set it" is said and no plan is on offer; None where nothing is laid out."""
    sets = meaning(found.meant, SetsPlan)
    laid = before.trip.spread if before.trip.is_open else {}
    if sets is None or sets.of_an_offer or not laid or has_open_plan(before.asked, before.now):
        return None
    if open_question(before.asked, before.now) is not None:
        return None
    told = "; ".join(f"{lure.position} {lure.label}" for lure in laid.values())
    return Answer(f'Set already: {told}. Say "plan" for a new one.', "It is set already.")


def doubt_without_plan(found: Understanding, before: View) -> Doubt | None:
    """Return the question what "no green" is about, where no plan is on offer; None for any other line."""
    another = meaning(found.meant, AnotherPlan)
    asked, now = before.asked, before.now
    if another is None or not another.without or (has_open_plan(asked, now) and is_fresh(before)):
        return None
    if open_question(asked, now) is not None and not has_open_plan(asked, now):
        return None
    plan = Call(PLAN, meant=(SpreadWish(without=another.without),))
    last = before.stood[-1] if before.stood else None
    lately = last is not None and before.now - last.at <= JUST_LOGGED and last.call.colours
    right = found.calls if lately and [call.act for call in found.calls] == [AMEND] else ()
    options = (right, (plan,)) if right else ((plan,),)
    return Doubt(question(options), options)


def _nothing_on(before: View) -> Answer | Doubt:
    on = before.trip.fish_on
    if not on:
        return Answer("As in the log: no fish is on.", "As in the log.")
    off = tuple(Call(PULLED, fish.position, side=fish.side) for fish in on)
    log = f"In the log {len(on)} fish are on" if len(on) > 1 else "In the log a fish is on"
    log = f"{log}: {'; '.join(_which(fish, before) for fish in on)}."
    hookups = [
        e
        for e in before.stood
        for fish in on
        if e.id in fish.entries and TABLE[e.call.act].stage == "on"
    ]
    if len(on) > 1 or not hookups:
        return Doubt(f"{log} Did {'they' if len(on) > 1 else 'it'} come off?", (off,), 0.0)
    never = undo_of(hookups[0])
    return Doubt(f"{log} First: it came off, or second: it was never on?", (off, (never,)), 0.0)


def _which(fish: Fish, before: View) -> str:
    since = clock(fish.hooked_at or fish.first_at, before.tz)
    parts = (fish.species or "", fish.line or fish.position or "", f"since {since}")
    return join_parts(part for part in parts if part)


def _out_since(said: OutSince, before: View) -> Answer | Doubt:
    out = before.trip.spread.values()
    there = next((o for o in out if said.lure and o.lure == said.lure), None)
    there = there or next((o for o in out if o.position == said.position), None)
    if there is None and said.lure:
        text = f"{said.lure} is not out in the log. Say on which line it is, and since when."
        return Answer(text, text)
    if there is None:
        text = (
            f"Nothing is out on the {said.position} in the log. Say which lure is, and since when."
        )
        return Answer(text, text)
    at = when(Call(AMEND, clock=said.clock), before.now, before.tz, before.trip.started)
    began = next((start for start, _ in before.trip.intervals), None)
    known = [time for time in (there.set_at, there.since, began) if time is not None]
    if any(abs(time - at) <= ABOUT for time in known) and _stood(there.set_at, at):
        text = sentence(f"As in the log: {there.position}, {there.label}, out since {said.clock}")
        return Answer(text, text)
    went = clock(there.set_at or there.since, before.tz)
    asked = f"In the log {there.label} went out on the {there.position} at {went}. Was it at {said.clock}?"
    return Doubt(
        asked, ((correction(of_act=SET, of_position=there.position, clock=said.clock),),), 0.0
    )


def _stood(set_at: datetime | None, at: datetime) -> bool:
    """Return whether a lure was on its line at a time."""
    return set_at is None or set_at <= at + ABOUT
