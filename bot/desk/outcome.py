"""The outcome of one message: the reply and the records to keep, from what is true and what was understood.

Everything is an argument, ids included; nothing here reads or writes the log.
"""

from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, Final

from bot.answers.answer import FIRST, NO, SECOND, YES, Answer, Change
from bot.answers.put_out import PutOut, in_full
from bot.answers.readback import read_back
from bot.answers.tackle_talk import asked_tackle, asks_gauge
from bot.answers.view import View
from bot.answers.which_fish import (
    choice_buttons,
    is_another,
    of_the_speaker,
    which_fish,
)
from bot.calls.trouble import TROUBLE_FROM
from bot.calls.understand import Understanding
from bot.desk.heard import HeardMessage, Outcome, closing_record
from bot.desk.leaving_out import leaving_out
from bot.desk.left_open import fill_left_open, without_guessed_sides
from bot.desk.next_morning import may_be_yesterdays
from bot.desk.put_right import own_part, whose, with_targets
from bot.desk.settle import Act, Doubt, Remark, Settlement
from bot.desk.since import as_it_was, is_late
from bot.desk.stated import answer_statement, doubt_without_plan, set_already
from bot.desk.understood import NEAR
from bot.desk.views import shared_place
from bot.desk.whose_question import asked_of, asker_of_others, settled_of
from bot.logbook.ids import trip_id
from bot.messages import Button, Reply
from bot.replies.aloud import brief
from bot.replies.amounts import clock
from bot.replies.logged import short
from bot.replies.refusals import (
    explain_no_call,
    if_in_trouble,
    no_call,
    not_clear,
    not_your_question,
    not_yours,
)
from bot.trip.acts import CONTROL, PLAN, QUESTIONS, TABLE
from bot.trip.call import Call
from bot.trip.corrections import Undo
from bot.trip.decide import decide
from bot.trip.decision import Context, Decision, Numbering, number
from bot.trip.entry import Advised, Asked, Entry, Record
from bot.trip.meant import TackleQuestion, meaning
from bot.trip.twice import Twice, called_twice

Options = tuple[tuple[Call, ...], ...]
MAY_ASK: Final = 0.1
"""Probability from which a line among the crew may be a question to the program."""


@dataclass(frozen=True, slots=True)
class _Said:
    """When, by whom and in which words the calls were said that are logged now."""

    at: datetime
    crew: str
    text: str

    @classmethod
    def of(cls, heard: HeardMessage) -> "_Said":
        """Return the words of this message."""
        return cls(heard.message.at, heard.message.crew, heard.found.text)


def outcome_of(heard: HeardMessage, before: View, instead: Undo | None = None) -> Outcome:
    """Return the outcome of a message, given what was true before it.

    `instead` is what an earlier version of the message did, which is taken back.
    """
    asker = ""
    heard = replace(heard, found=without_guessed_sides(heard.found))
    if instead is None:
        asker = asker_of_others(heard, before)
        before = replace(before, asked=asked_of(heard, before))
    if trouble := _trouble(heard.found):
        twice = _twice(Act(trouble), heard, before)
        known = twice if twice.doubt is None else Twice(trouble)
        return _act(Act(trouble), known, heard, before, instead)
    if asker:
        text = not_your_question(asker)
        return Outcome(_reply(Answer(text, text), heard), "refused", (), before.trip.id)
    question = meaning(heard.found.meant, TackleQuestion)
    no_call = heard.found.ask is not None or not heard.found.calls
    asks = all(call.act in QUESTIONS for call in heard.found.calls)
    plans = any(call.act == PLAN for call in heard.found.calls)
    gauge = asks and question is not None and asks_gauge(question, plans)
    if question and (no_call or gauge) and instead is None:
        tackle = asked_tackle(before, question)
        if tackle is not None:
            return Outcome(_reply(tackle, heard), "answered", (), before.trip.id)
    aside = leaving_out(heard.found, before) if instead is None else ()
    if (
        no_call
        and not aside
        and instead is None
        and (told := answer_statement(heard.found, before))
    ):
        if isinstance(told, Doubt):
            return _doubt(told, heard, before)
        return Outcome(_reply(told, heard), "answered", (), before.trip.id)
    if instead is None and not aside and (wish := doubt_without_plan(heard.found, before)):
        return _doubt(wish, heard, before)
    settled, proposed = (Act(aside), False) if aside else settled_of(heard, before)
    takes_up = isinstance(settled, Act) and (settled.answers is not None or proposed)
    if instead is None and not takes_up and (there := set_already(heard.found, before)):
        return Outcome(_reply(there, heard), "answered", (), before.trip.id)
    if isinstance(settled, Act):
        settled = fill_left_open(settled, heard.found, before)
    match settled:
        case Act():
            about = settled.answers.about if settled.answers is not None else None
            calls, out = in_full(before, settled.calls, about)
            twice = _twice(replace(settled, calls=calls), heard, before)
            if twice.doubt is None:
                return _act(settled, twice, heard, before, instead, out)
            sure = 1.0 if twice.is_another else 0.0
            settled = Doubt(_another(twice.doubt, before), (twice.rest,), sure)
    if isinstance(settled, Remark):
        found = _remark(settled, heard, before)
    else:
        found = _doubt(settled, heard, before)
    return _taken_back(found, instead, heard, before) if instead else found


def _trouble(found: Understanding) -> tuple[Call, ...]:
    """Return the calls of the likeliest reading with an emergency, on which the desk acts in any doubt."""
    ways = (way.calls for way in found.ways if way.probability >= TROUBLE_FROM)
    options = (one.calls for one in found.options if one.confidence >= TROUBLE_FROM)
    readings = (found.calls, *options, *ways)
    troubled = [r for r in readings if any(TABLE[c.act].form == "trouble" for c in r)]
    if not troubled:
        return ()
    said = [call for reading in troubled for call in reading if TABLE[call.act].form == "trouble"]
    first = next((call for call in said if call.what), said[0])
    told = {call.what: call for call in troubled[0] if call.what}
    return (
        *(told.values() or (first,)),
        *(call for call in troubled[0] if TABLE[call.act].kind == "line"),
    )


def _twice(settled: Act, heard: HeardMessage, before: View) -> Twice:
    """Return which calls somebody else has made already; an answer to a question counts as new."""
    if settled.answers is not None:
        return Twice(settled.calls)
    message = heard.message
    return called_twice(
        settled.calls, before.stood, before.trip.fish, message.crew, message.at, before.tz
    )


def _another(entry: Entry, before: View) -> str:
    words = f"{short(entry.call)}, {clock(entry.at, before.tz)}"
    return f"{entry.crew} called {words}. Is this another one?"


def _taken_back(found: Outcome, did: Undo, heard: HeardMessage, before: View) -> Outcome:
    """Return the outcome of an edited message with the note that its first version is undone."""
    if not (did.void or did.restore):
        return found
    decision = Decision(voids=did.void, restores=did.restore)
    records = number(decision, _numbering(heard, _Said.of(heard), before.trip.id))
    after = _after(before, decision, records, heard)
    answer = read_back(Change(decision, records, before, after, heard.message.at))
    text = "\n".join(part for part in (answer.text, found.reply.text) if part)
    spoken = " ".join(part for part in (answer.spoken, found.reply.spoken) if part)
    return replace(
        found,
        reply=replace(found.reply, text=text, spoken=spoken),
        word="logged" if found.word == "talk" else found.word,
        records=(*records, *found.records),
    )


def _remark(settled: Remark, heard: HeardMessage, before: View) -> Outcome:
    text = settled.text or _nothing_in_it(heard)
    asked = before.asked if settled.keeps_open else None
    pressed = buttons_of(asked.options) if asked else ()
    buttons = tuple(replace(one, about=asked.id if asked else "") for one in pressed)
    calls = heard.found.calls if settled.text else ()
    word = "answered" if settled.text else "not understood" if text else "talk"
    reply = _reply(Answer(text, text, buttons=buttons), heard, calls)
    return Outcome(reply, word, _closing(settled, heard, before), before.trip.id)


def _nothing_in_it(heard: HeardMessage) -> str:
    """Return the sentence that no call was found, for a speaker who may expect one; else nothing."""
    message, found = heard.message, heard.found
    if found.refusal:
        return found.refusal
    if not message.overheard and any(way.may_be_trouble for way in found.ways):
        return if_in_trouble()
    near = found.confidence < NEAR and bool(found.text)
    unclear = found.is_unclear or bool(found.calls)
    if message.sound is not None and not message.overheard:
        if not near and heard.transcript.alternatives and not message.private:
            return ""
        return not_clear(found.text) if unclear else explain_no_call(found.text)
    if message.overheard and unclear:
        return not_clear(found.text)
    expects = message.private and (not message.in_group or _is_for_the_desk(found))
    return no_call(found.text) if found.text and expects else ""


def _is_for_the_desk(found: Understanding) -> bool:
    """Return whether a line without a call, among the crew, names the program or may ask it something."""
    asks = (way for way in found.ways if way.calls and way.probability >= MAY_ASK)
    if any(call.act in QUESTIONS for way in asks for call in way.calls):
        return True
    return found.addressed


def _doubt(settled: Doubt, heard: HeardMessage, before: View, said: _Said | None = None) -> Outcome:
    """Return the outcome that asks a question; `said` is the earlier message that it is about, if any."""
    again = settled.of
    settled = replace(settled, question=with_targets(settled.question, settled.options, before))
    said = said or (_Said.of(heard) if again is None else _Said(again.at, again.crew, again.text))
    asked = Asked(
        heard.new_id(), settled.question, settled.options, said.at, said.text, said.crew, heard.id,
        sure=settled.sure if settled.sure is not None else heard.found.confidence,
    )  # fmt: skip
    buttons = tuple(replace(one, about=asked.id) for one in buttons_of(settled.options))
    answer = Answer(settled.question, settled.question, buttons=buttons)
    reply = _reply(answer, heard, settled.options[0], ask=settled.question)
    closes = () if again is None else (closing_record(again, heard),)
    return Outcome(reply, "asked", (*closes, asked), before.trip.id)


def _act(
    settled: Act, twice: Twice, heard: HeardMessage, before: View, instead: Undo | None,
    out: PutOut | None = None,
) -> Outcome:  # fmt: skip
    message, said = heard.message, _said(settled, heard)
    told_apart = settled.answers is not None and is_another(settled.answers.options)
    context = Context(
        said.at, before.tz, before.box, said.text, heard.memory, instead, twice.seconds, told_apart,
        said.crew,
    )  # fmt: skip
    calls = twice.rest
    decision = decide(calls, before.records, context)
    if decision.doubts and (theirs := of_the_speaker(decision.doubts[0], calls, said.crew)):
        calls, decision = theirs, decide(theirs, before.records, context)
    if decision.doubts:
        question, options = which_fish(decision.doubts[0], calls, before)
        asks = _doubt(Doubt(question, options), heard, before, said)
        return replace(asks, records=(*_closing(settled, heard, before), *asks.records))
    if settled.answers is None and (old := may_be_yesterdays(calls, decision, before)):
        return _doubt(old, heard, before)
    own = instead.void if instead else ()
    wrong = any(call.act in CONTROL for call in settled.calls)
    owner = whose(decision, own, before.stood, message.crew, said_wrong=wrong)
    if owner and not message.skipper:
        calls = own_part(calls, before.stood, message.crew, said.at)
        if calls:
            decision = decide(calls, before.records, context)
            owner = whose(decision, own, before.stood, message.crew, said_wrong=wrong)
    if owner and not message.skipper:
        text = not_yours(owner)
        return Outcome(_reply(Answer(text, text), heard), "refused", (), before.trip.id)
    trip = trip_id(heard.id, said.at, before.tz) if decision.new_trip else before.trip.id
    records = number(decision, _numbering(heard, said, trip))
    after = _after(before, decision, records, heard)
    then = before if out is None else replace(before, towing_kn=out.towing_kn)
    late = is_late(decision, before, said.at)
    if late:
        then, after = as_it_was(then, said.at), as_it_was(after, said.at)
    answer = read_back(Change(decision, records, then, after, said.at, late), message.private, out)
    word = "logged" if decision.changes_log else "refused" if decision.refused else "answered"
    reply = _reply(answer, heard, settled.calls, records)
    reply = replace(reply, report=(trip or "") if answer.report else "")
    told = _told(answer, heard, said)
    kept = (*records, *_closing(settled, heard, before), *told)
    return Outcome(_about_the_offer(reply, told), word, kept, trip)


def _about_the_offer(reply: Reply, told: tuple[Record, ...]) -> Reply:
    """Return a reply whose buttons name the question that they answer: they outlive the next calls."""
    offer = next((one for one in told if isinstance(one, Asked)), None)
    if offer is None or reply.buttons not in (buttons_of(offer.options), (YES, NO)):
        return reply
    return replace(reply, buttons=tuple(replace(one, about=offer.id) for one in reply.buttons))


def _said(settled: Act, heard: HeardMessage) -> _Said:
    message, asked = heard.message, settled.answers
    if asked is None or not asked.text:
        return _Said.of(heard)
    return _Said(asked.at, asked.crew or message.crew, asked.text)


def _numbering(heard: HeardMessage, said: _Said, trip: str) -> Numbering:
    message = heard.message
    return Numbering(
        heard.new_id, trip, heard.id, said.crew, message.source, said.text, said.at,
        shared_place(message), heard.fix_at,
    )  # fmt: skip


def _after(
    before: View, decision: Decision, records: tuple[Record, ...], heard: HeardMessage
) -> View:
    known = () if decision.new_trip else before.records
    now = heard.memory.now((*known, *records))
    return replace(before, trip=now.trip, stood=now.stood, records=(*known, *records))


def _closing(settled: Settlement, heard: HeardMessage, before: View) -> tuple[Record, ...]:
    """Return the record that closes the open question, where it is closed."""
    if isinstance(settled, Act | Remark) and settled.closes:
        return (closing_record(before.asked, heard),)
    return ()


def _told(answer: Answer, heard: HeardMessage, said: _Said) -> tuple[Record, ...]:
    """Return the records of what was proposed: a change, and an offer that waits for a yes."""
    at, crew = heard.message.at, heard.message.crew
    records: list[Record] = []
    if answer.advice is not None:
        records.append(Advised(heard.new_id(), answer.advice, at, heard.id))
    if answer.offer is not None:
        text, when = (said.text, said.at) if answer.offer.said else ("", at)
        offer = answer.offer
        records.append(
            Asked(
                heard.new_id(),
                offer.question,
                offer.options,
                when,
                text,
                crew,
                heard.id,
                about=offer.about,
            )
        )
    return tuple(records)


def buttons_of(options: Options) -> tuple[Button, ...]:
    """Return the buttons that answer a question."""
    if len(options) == 1:
        return YES, NO
    named = choice_buttons(options)
    labels = {button.label for button in named}
    told = len(labels) == len(options) and not labels & {FIRST.label, SECOND.label}
    return (*(named if told else (FIRST, SECOND)), NO)


def _reply(
    answer: Answer,
    heard: HeardMessage,
    calls: tuple[Call, ...] = (),
    records: tuple[Record, ...] = (),
    ask: str | None = None,
) -> Reply:
    said: tuple[dict[str, Any], ...] = tuple(call.to_json() for call in calls)
    return Reply(
        text=answer.text,
        spoken=answer.spoken or answer.text if ask else brief(answer.spoken or answer.text),
        calls=said,
        advice=answer.advice,
        confidence=heard.found.confidence,
        ask=ask,
        logged=tuple(r.id for r in records if isinstance(r, Entry)),
        heard=heard.found.text,
        buttons=answer.buttons,
        pictures=answer.pictures,
    )
