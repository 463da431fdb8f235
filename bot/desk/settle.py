"""Decide what a message is, given the open question: an answer, a new call, a doubt or talk.

Takes what was understood and the last question of the log; gives one of four values. Pure.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from bot.answers.open_questions import BY_NAME, STALE_AFTER
from bot.answers.which_fish import chosen_by_name
from bot.calls.phrasing import question as put
from bot.calls.understand import Understanding
from bot.desk.offers import changed_plan, has_open_plan, is_plan
from bot.desk.two_readings import differ_in_details
from bot.trip.acts import AMEND, CONTROL, PLACING, QUESTIONS, TABLE, TAKES
from bot.trip.call import Call
from bot.trip.corrections import correction
from bot.trip.entry import Advised, Asked
from bot.trip.meant import (
    AnotherPlan,
    Asks,
    Choice,
    DropsPlan,
    InUnit,
    NamesReading,
    SetsPlan,
    SpreadWish,
    meaning,
)
from bot.trip.other_units import measured_in
from bot.trip.said_units import in_units_of, with_units_of
from bot.trip.times import with_clock

ADVICE_STANDS: Final = timedelta(minutes=20)
"""How long "do it" means the change that was proposed last."""
ACCEPT_FROM: Final = 0.85
"""Trust of the engine in a recording below which it is asked about; chosen by `bench hear_fit`."""
TALK_BELOW: Final = 0.1
"""Trust of the engine below which a recording is taken for talk."""
YES_FROM: Final = 0.5
"""Trust below which a spoken yes is asked for again: talk in noise sounds like one."""
CHOSEN_FROM: Final = 0.7
"""Confidence below which a spoken "first" or "second" is asked for again."""
_TELLS_APART: Final = ("position", "side", "species", "angler")
NOT_LOGGED: Final = "Not logged."
DROPS_QUESTION: Final = "Dropped the question:"
LEAVES_IT: Final = "Left as it is."
NO_PLAN: Final = "No plan is on offer, so nothing is changed."


@dataclass(frozen=True, slots=True)
class Act:
    """Calls to be logged or answered."""

    calls: tuple[Call, ...]
    answers: Asked | None = None
    """The question that this answers, from which the entries take time, words and speaker."""
    closes: bool = False
    """True where it closes the open question."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """A question to be put."""

    question: str
    options: tuple[tuple[Call, ...], ...]
    sure: float | None = None
    """Probability of the first reading, where it is not that of what was understood."""
    of: Asked | None = None
    """The question that is put again with other readings, whose time, words and speaker it keeps."""


@dataclass(frozen=True, slots=True)
class Remark:
    """A sentence and nothing to log; no sentence for talk."""

    text: str
    closes: bool = False
    keeps_open: bool = False
    """True where the same question is put again."""


Settlement = Act | Doubt | Remark


def open_question(
    asked: Asked | None, at: datetime, longest: timedelta = STALE_AFTER
) -> Asked | None:
    """Return the question that is still open, or None; a record without readings closes the one before."""
    if asked is None or not asked.options:
        return None
    return asked if -longest <= at - asked.at <= longest else None


def settle(
    found: Understanding,
    asked: Asked | None,
    advised: tuple[Advised, Call] | None,
    at: datetime,
    accept: float = 1.0,
    *,
    offer: bool = False,
    fresh: bool = True,
    undisturbed: bool = False,
    named: bool = False,
    doubtful: bool = False,
) -> Settlement:
    """Return what a message is; `advised` is the last proposal with the call that makes its change.

    `offer` says that what the last question was about has been logged already, and a yes would log more;
    `fresh` that nothing was logged since the last question, so that "undo" drops it;
    `undisturbed` that nothing was logged since the proposal, so that a bare yes can mean it; `named` that
    the answer names its question; `doubtful` that it may not have been meant for the boat.
    """
    another = meaning(found.meant, AnotherPlan)
    stands = has_open_plan(asked, at)
    if stands and another is not None and (fresh or not another.without):
        wish = (SpreadWish(without=another.without),) if another.without else ()
        return Act((Call("plan", meant=(Asks(("other",)), *wish)),))
    if stands and fresh and (change := changed_plan(found)) is not None:
        return Act((change,))
    sets = meaning(found.meant, SetsPlan)
    if stands and asked and sets is not None and accept >= ACCEPT_FROM and not doubtful:
        return Act(with_clock(asked.options[0], sets.clock), asked, closes=True)
    drops = meaning(found.meant, DropsPlan)
    if drops is not None and (drops.of_an_offer or (stands and fresh)):
        return Remark(LEAVES_IT if stands else NO_PLAN, closes=stands)
    question = open_question(asked, at, BY_NAME if named else STALE_AFTER)
    if accept < TALK_BELOW and found.calls:
        return Remark("")
    acts = [call.act for call in found.calls]
    if acts == ["yes"] and (doubtful or accept < YES_FROM or found.ask is not None):
        return Remark("Yes? Please say it again.", keeps_open=question is not None)
    if doubtful and question is not None and meaning(found.meant, Choice) is not None:
        return Remark(_which(question), keeps_open=True)
    if question is not None:
        answer = _answer(found, question, offer, fresh)
        if answer is not None:
            return answer
    if stands and asked is not None and acts == ["yes"] and found.calls[0].asks("sets"):
        return Act(asked.options[0], asked, closes=True)
    if acts in (["yes"], ["no"]):
        return _without_question(found, acts[0], asked, advised, at, undisturbed)
    if (
        meaning(found.meant, Choice) is not None
        and asked is not None
        and asked.options
        and question is None
    ):
        return Remark(_nothing(asked))
    if found.ask is not None and not differ_in_details(found):
        options = tuple(o.calls for o in found.options if o.calls) or (found.calls,)
        worth = tuple(calls for calls in options if not all(map(_empty, calls)))
        if not worth:
            return Remark("")
        return Doubt(found.ask if worth == options else put(worth[:2]), worth[:2])
    if not found.calls:
        return Remark("")
    if accept < ACCEPT_FROM:
        return Doubt(put((found.calls,)), (found.calls,))
    logs = any(call.act not in QUESTIONS for call in found.calls)
    closes = question is not None and logs and (offer or not _told_apart(found.calls, question))
    if asked is not None and is_plan(asked):
        closes = stands and any(act in PLACING for act in acts)
    return Act(found.calls, closes=closes)


def only_answers(found: Understanding, proposed: bool) -> bool:
    """Return whether a message can only answer a question; a yes may also make a proposed change."""
    acts = [call.act for call in found.calls]
    if acts == ["yes"]:
        return not proposed
    return acts == ["no"] or (not acts and meaning(found.meant, Choice) is not None)


def _empty(call: Call) -> bool:
    """Return whether a call is a correction that corrects nothing."""
    return call.act == "amend" and not call.said() and not call.meant


def _told_apart(calls: tuple[Call, ...], question: Asked) -> bool:
    """Return whether a question stays open beside calls that are about something else."""
    asked = {call.act for option in question.options for call in option}
    return asked.isdisjoint(call.act for call in calls)


def _answer(found: Understanding, question: Asked, offer: bool, fresh: bool) -> Settlement | None:
    acts = [call.act for call in found.calls]
    chosen = meaning(found.meant, Choice)
    if chosen is not None and not found.calls and found.confidence < CHOSEN_FROM:
        return Remark(_which(question), keeps_open=True)
    if chosen is not None:
        number = chosen.number - 1
        if number < len(question.options):
            return Act(question.options[number], question, closes=True)
        if len(question.options) > 1:
            return Remark("There are fewer to choose from.", keeps_open=True)
        return Remark("There was only one reading; say yes or no.", keeps_open=True)
    if acts == ["yes"]:
        if len(question.options) > 1 and not _is_correction(question):
            return Remark(_which(question), keeps_open=True)
        return Act(question.options[0], question, closes=True)
    if acts == ["no"]:
        return Remark(LEAVES_IT if offer or not question.text else NOT_LOGGED, closes=True)
    if not offer and question.text and len(found.calls) == 1:
        if acts == ["undo"] == [call.act for call in question.options[0]]:
            return Act(question.options[0], question, closes=True)  # asked "undo?", said again
        if acts == ["undo"] and not found.calls[0].of_act:
            return Remark(f"{DROPS_QUESTION} {question.question}", closes=True) if fresh else None
        is_new = all(call.act not in CONTROL for o in question.options for call in o)
        if fresh and (other := _in_other_unit(question, found.calls[0])):
            return Act(other, question, closes=True)
        if fresh and is_new and (answer := _put_right(question, found)):
            return answer
    for option in question.options:
        if found.calls and found.calls == option:
            return Act(option, question, closes=True)
    if len(question.options) > 1:
        return _by_name(found, question)
    return None


def _is_correction(question: Asked) -> bool:
    """Return whether a correction is of one of two fish, of which "yes" means the first."""
    calls = [call for option in question.options for call in option]
    return len(question.options) == 2 and all(c.act == AMEND and c.of_clock for c in calls)


def _by_name(found: Understanding, question: Asked) -> Act | None:
    """Return the act that a name chooses: "short corner" as the answer to "which fish"; else None."""
    named = meaning(found.meant, NamesReading)
    known = {named.words, named.position, named.species} if named is not None else set()
    slots = _naming(question)
    if _of_another_line(found, named, slots):
        return None
    said = next((slot for slot in slots if slot[1].casefold() in known), None)
    if said is None and named is not None and (found.calls or _all_of_lines(named.words, slots)):
        said = _by_part(named.words, slots)  # "long day" is no answer
    call = Call("amend", **{said[0]: said[1]}) if said else None  # type: ignore[arg-type]
    alone = found.calls[0] if len(found.calls) == 1 else None
    if call is None and alone is not None and alone.act in CONTROL:
        call = alone
    elif call is None and alone is not None and alone.said().keys() == {"angler"}:
        call = correction(angler=alone.angler)  # "Dale's fish"
    elif call is None and alone is not None and _only_a_line(alone, question):
        call = correction(position=alone.position)
    number = chosen_by_name(call, question.options) if call is not None else None
    if call is None or number is None:
        return None
    return Act(_of_that_line(question.options[number], call), question, closes=True)


def _of_another_line(
    found: Understanding, named: NamesReading | None, slots: Sequence[tuple[str, str]]
) -> bool:
    """Return whether calls are news of a line that is not asked about; "short one" may be one that is."""
    lines = {value for slot, value in slots if slot == "position"}
    others = {call.position for call in found.calls if call.position} - lines
    asked = {word for line in lines for word in line.split()}
    said = set(named.words.split()) if named is not None else set()
    return bool(lines) and any(not said or set(one.split()) & said - asked for one in others)


def _only_a_line(call: Call, question: Asked) -> bool:
    """Return whether a bite says nothing but a line that is asked about: a fish is on there already."""
    lines = {one.position for option in question.options for one in option}
    return (
        TABLE[call.act].stage == "struck"
        and call.said().keys() == {"position"}
        and len(lines) > 1
        and call.position in lines
    )


def _of_that_line(option: tuple[Call, ...], named: Call) -> tuple[Call, ...]:
    """Return the calls of a reading on the line that was named: "the long one" is not both corners."""
    several = len({c.position for c in option if c.position}) > 1
    there = tuple(c for c in option if several and c.position == named.position)
    return there or option


def _all_of_lines(words: str, slots: Sequence[tuple[str, str]]) -> bool:
    """Return whether every word is one of the lines that are asked about: "short"."""
    lines = {word for slot, value in slots if slot == "position" for word in value.split()}
    return bool(lines) and {*words.split()} <= lines


def _by_part(words: str, slots: Sequence[tuple[str, str]]) -> tuple[str, str] | None:
    """Return the only position that has a word of what was said: "the long", "corner"; else None."""
    places = {value for slot, value in slots if slot == "position"}
    fits = [place for place in places if set(place.split()) & set(words.split())]
    return ("position", fits[0]) if len(fits) == 1 else None


def _naming(question: Asked) -> list[tuple[str, str]]:
    calls = [call for option in question.options for call in option]
    slots = ("position", "species", "angler", "lure")
    return [(slot, getattr(c, slot)) for c in calls for slot in slots if getattr(c, slot)]


def _which(question: Asked) -> str:
    """Return the question once more, with its readings."""
    words = question.question
    if len(question.options) != 2 or words.casefold().startswith("first"):
        return words
    return f"First or second? {words}"


def _put_right(question: Asked, found: Understanding) -> Settlement | None:
    """Return what comes of a correction while a question is open; None where it corrects none of it.

    Where only the fish was asked ("which fish?") a weight says nothing of that: the question is put again
    with it in every reading.
    """
    if not found.calls[0].said():
        return _by_name(found, question) if len(question.options) > 1 else None
    mended = tuple(_mended(option, found.calls[0]) for option in question.options)
    first = mended[0]
    if first is None:
        return None
    left = tuple(dict.fromkeys(option for option in mended if option is not None))
    which = same_call(question.options)
    if which and (chosen := _by_name(found, question)):
        return chosen
    if len(left) == 1 or not which:
        return Act(first, question, closes=True)
    return Doubt(question.question, left, question.sure, question)


def _in_other_unit(question: Asked, said: Call) -> tuple[Call, ...] | None:
    """Return the likeliest reading with its measure in the unit that was said alone; else None."""
    wanted = said.meaning(InUnit)
    first = question.options[0]
    found = [(n, measured_in(call, wanted.unit)) for n, call in enumerate(first) if wanted]
    right = next(((n, one) for n, one in found if one is not None), None)
    if right is None:
        return None
    place, one = right
    units = with_units_of(first[place].meant, one)
    return (*first[:place], first[place].with_slots(**one.said(), meant=units), *first[place + 1 :])


def same_call(options: Sequence[Sequence[Call]]) -> bool:
    """Return whether the readings are one call about different fish, and no correction or answer."""
    bare = {
        tuple(call.with_slots(**dict.fromkeys(_TELLS_APART)) for call in option)
        for option in options
    }
    controls = any(call.act in CONTROL for option in options for call in option)
    return len(options) > 1 and len(bare) == 1 and not controls


def _mended(option: tuple[Call, ...], said: Call) -> tuple[Call, ...] | None:
    """Return the likeliest reading with its last call that takes a correction corrected; else None."""
    if said.act != "amend" or said.of_act or said.of_clock or said.of_position:
        return None
    slots = said.said()
    for place in reversed(range(len(option))):
        if frozenset(slots) <= TAKES.get(option[place].act, frozenset()):
            units = with_units_of(option[place].meant, said)
            slots |= in_units_of(option[place], said)
            mended = option[place].with_slots(**slots, meant=units)
            return (*option[:place], mended, *option[place + 1 :])
    return None


def _without_question(
    found: Understanding,
    act: str,
    asked: Asked | None,
    advised: tuple[Advised, Call] | None,
    at: datetime,
    undisturbed: bool,
) -> Settlement:
    if act == "yes" and advised is not None:
        proposal, swap = advised
        age = at - proposal.at
        plainly = found.calls[0].asks("done")
        if timedelta() <= age <= (ADVICE_STANDS if plainly else STALE_AFTER) and (
            plainly or undisturbed
        ):
            return Act((swap,))
    return Remark(_nothing(asked))


def _nothing(asked: Asked | None) -> str:
    if asked is not None and asked.options:
        return "That question is over; please say the call again."
    return "There is nothing to answer."
