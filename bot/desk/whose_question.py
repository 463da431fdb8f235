"""Whose question a message answers, and what it is beside the questions of others. Pure.

Several of the crew may be asked at once. A message answers the question that it names, its speaker's own,
or, from a skipper, the latest; a new call closes no question of somebody else, unless it is that call.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Final

from bot.answers.advise import swap_call
from bot.answers.open_questions import asker_of, is_own, open_questions, question_for
from bot.answers.view import View
from bot.desk.heard import HeardMessage
from bot.desk.offers import questions_now
from bot.desk.settle import Act, Remark, Settlement, only_answers, same_call, settle
from bot.desk.since import can_be_made, is_fresh, is_offer, is_undisturbed
from bot.replies.amounts import sentence
from bot.replies.logged import with_place
from bot.trip.acts import ANGLER
from bot.trip.call import Call
from bot.trip.corrections import correction, undo_of
from bot.trip.encounters import same_person
from bot.trip.entry import Asked, Entry
from bot.trip.meant import Choice, meaning

SAME_CALL: Final = timedelta(minutes=1)
"""Longest gap at which another's call of the same is the one that was asked about."""
OVER: Final = "That question is over; please say the call again."
OVER_TEXT: Final = "That question is over. In the log:"


def asked_of(heard: HeardMessage, before: View) -> Asked | None:
    """Return the question that a message answers, if it answers one."""
    message = heard.message
    return question_for(
        questions_now(heard.found, before), message.crew, message.skipper, message.about, message.at,
        chooses=meaning(heard.found.meant, Choice) is not None,
    )  # fmt: skip


def asker_of_others(heard: HeardMessage, before: View) -> str:
    """Return who was asked what this answers, where this speaker may not answer it; else nothing."""
    message = heard.message
    if not message.about and not only_answers(heard.found, before.last_advice is not None):
        return ""
    return asker_of(
        questions_now(heard.found, before), message.crew, message.skipper, message.about, message.at
    )


def settled_of(heard: HeardMessage, before: View) -> tuple[Settlement, bool]:
    """Return what a message is, and whether a proposed change could be made by it."""
    message, asked = heard.message, before.asked
    if message.about and asked is None:
        return _late(heard, before), False
    if (named := _for_another(heard, before)) is not None:
        return named, False
    advised = before.last_advice if can_be_made(before) else None
    proposal = (advised, swap_call(advised.advice, before)) if advised else None
    accept = heard.transcript.signals.get("accept", 1.0)
    settled = settle(
        heard.found, asked, proposal, message.at, accept,
        offer=is_offer(before), fresh=is_fresh(before), undisturbed=is_undisturbed(before),
        named=bool(message.about), doubtful=message.doubtful,
    )  # fmt: skip
    if isinstance(settled, Act) and asked is not None and _is_news(settled, asked):
        theirs = is_own(asked, message.crew) or _is_same(settled.calls, asked, message.at)
        settled = replace(settled, closes=settled.closes and theirs)
    return settled, proposal is not None


def _late(heard: HeardMessage, before: View) -> Settlement:
    """Return what a button does whose question is over: it puts right what was taken, or logs nothing."""
    message, found = heard.message, heard.found
    asked = next((one for one in before.questions if one.id == message.about), None)
    entry = _taken(asked, before) if asked is not None else None
    if asked is None or entry is None:
        return Remark(OVER)
    if [call.act for call in found.calls] == ["no"]:
        return Act((undo_of(entry),))
    chosen = meaning(found.meant, Choice)
    number = chosen.number - 1 if chosen is not None else 0
    call = asked.options[number][0] if number < len(asked.options) else entry.call
    if not same_call(asked.options) or call.position in (None, entry.call.position):
        return Remark(f"{OVER_TEXT} {sentence(with_place(entry.call))}")
    where = {"position": call.position, "side": call.side}
    return Act((replace(correction(**where), of_act=call.act, of_position=entry.call.position),))


def _taken(asked: Asked, before: View) -> Entry | None:
    """Return the entry that was made of a question, where it was about one call and that stands."""
    made = [e for e in before.stood if e.message == asked.message and asked.message]
    alone = len(made) == 1 and all(len(option) == 1 for option in asked.options)
    return made[0] if alone and made[0].call.act == asked.options[0][0].act else None


def _for_another(heard: HeardMessage, before: View) -> Act | None:
    """Return a skipper's answer to the question of somebody who is named with a line: "Tom's is the gun"."""
    calls = heard.found.calls
    if not heard.message.skipper or len(calls) != 1 or calls[0].act != ANGLER:
        return None
    who, line = calls[0].angler, calls[0].position
    for asked in open_questions(questions_now(heard.found, before), heard.message.at):
        if not line or not asked.text or same_person(asked.crew, who) < 2:
            continue
        there = [option for option in asked.options if {one.position for one in option} == {line}]
        if len(there) == 1 and same_call(asked.options):
            return Act(there[0], asked, closes=True)
    return None


def _is_news(settled: Act, asked: Asked) -> bool:
    """Return whether calls beside a question, about a call that was not logged, answer nothing."""
    return settled.answers is None and bool(asked.text) and bool(asked.options)


def _is_same(calls: Sequence[Call], asked: Asked, at: datetime) -> bool:
    """Return whether somebody else makes the call that is asked about: one that contradicts none of it."""
    if abs(at - asked.at) > SAME_CALL:
        return False
    return any(_agree(call, one) for call in calls for option in asked.options for one in option)


def _agree(call: Call, other: Call) -> bool:
    said, known = call.said(), other.said()
    return call.act == other.act and all(known.get(name, said[name]) == said[name] for name in said)
