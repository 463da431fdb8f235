"""Find whether an event was called already: three people shout at the same fish.

The same act within a minute, on the same position or with none said, by another of the crew, is one
event. Where the details differ, or a fish may have come back in between, it is a doubt. A call may also say
the last one again with the line that it lacked:

    "clear the rigger" - "On which position?" - "clear the long rigger"
    "one pulled the hook" - "pulled hook, long rigger"

Who shouts the line of a bite again at once means no second one. Pure.
"""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo
from typing import Any, Final

from bot.trip.acts import ANGLER, BITES, CLEAR, CONTROL, ENDINGS, FISH_ACTS, LAYING, TABLE, TAKES
from bot.trip.call import Call
from bot.trip.corrections import correction
from bot.trip.encounters import find_fish, fish_clue, same_person, species_match
from bot.trip.entry import Entry
from bot.trip.fish import Fish
from bot.trip.lures import agrees, is_known
from bot.trip.meant import OneMore
from bot.trip.said_units import with_units_of
from bot.trip.times import when
from bot.trip.together import placed_double

WITHIN: Final = timedelta(seconds=60)
"""Longest gap at which two reports are one event; raising it merges more."""

SHOUT_GAP: Final = timedelta(seconds=90)
"""Longest gap at which a bite that its caller says again is no other; common practice, no source."""
_NOT_DETAILS: Final = frozenset({"position", "text", "ago_min", "clock", "what"})
AGAIN: Final = timedelta(minutes=1)
"""How soon a lure called out or in without its line is the same with its line; common practice, no source."""
COME_BACK: Final = timedelta(seconds=30)
"""How long after its miss a bite that another calls is a new one; common practice, no source."""
SAID_WRONG: Final = timedelta(minutes=3)
"""How soon another name for a rod puts the first right; later it was handed over (estimate)."""
END_AGAIN: Final = timedelta(seconds=30)
"""The same for the end of a fish, of which several may come one after another."""
_WHERE: Final = frozenset({"position", "side", "ago_min", "clock"})


@dataclass(frozen=True, slots=True)
class Second:
    """An event that is in the log, called once more."""

    entry: Entry
    more: Call
    """An `amend` with the details that only the second caller gave; often none."""
    crew: str


@dataclass(frozen=True, slots=True)
class Twice:
    """The calls of a message: those that are in the log already, and the rest."""

    rest: tuple[Call, ...]
    seconds: tuple[Second, ...] = ()
    doubt: Entry | None = None
    """An entry that may be the same event as one of the calls, or may not."""
    is_another: bool = False
    """True where more speaks for another event than for the same."""


def called_twice(
    calls: Sequence[Call],
    stood: Sequence[Entry],
    fish: Sequence[Fish],
    crew: str,
    said_at: datetime,
    tz: tzinfo,
) -> Twice:
    """Return which calls somebody else has already made, and which are new.

    `stood` are the entries that stand and `fish` the fish of the trip, both before this message.
    """
    if not crew or any(call.act in CONTROL for call in calls):
        return Twice(tuple(calls))
    if placed_double(calls, stood, said_at) is not None:
        return Twice(tuple(calls))
    if again := _said_again(calls, stood, crew, said_at):
        return Twice((), again)
    rest: list[Call] = []
    seconds: list[Second] = []
    doubt: Entry | None = None
    another = False
    for call, placed in zip(calls, _placed(calls), strict=True):
        at = when(call, said_at, tz)
        used = {second.entry.id for second in seconds}
        others = [e for e in stood if e.id not in used]
        known = _known(placed, others, crew, at)
        if known is not None and call.count and _are_all_called(placed, others, crew, at):
            call = call.with_slots(count=None)
        if known is not None and _is_apart(placed, known, stood, fish, crew, at):
            known = None
        if known is None:
            rest.append(call)
        elif _is_another(call, known, stood, fish, at):
            doubt, another = doubt or known, True
            rest.append(call)
        elif _is_sure(call, known, fish):
            seconds.append(Second(known, addition(known.call, known.inferred, call), crew))
        else:
            doubt = doubt or known
            rest.append(call)
    return Twice(tuple(rest), tuple(seconds), doubt, another)


def _said_again(
    calls: Sequence[Call], stood: Sequence[Entry], crew: str, at: datetime
) -> tuple[Second, ...]:
    """Return the last entries where their caller says all of them once more in a breath: "say again"."""
    last = sorted(stood, key=lambda entry: entry.id)[-len(calls) :]
    same = [entry.call.act for entry in last] == [call.act for call in calls]
    bare = len(calls) > 1 and not any(call.said() or call.meaning(OneMore) for call in calls)
    own = all(crew in entry.callers and abs(at - entry.at) <= SHOUT_GAP for entry in last)
    if not (same and bare and own):
        return ()
    pairs = zip(last, calls, strict=True)
    return tuple(Second(e, addition(e.call, e.inferred, call), crew) for e, call in pairs)


def _placed(calls: Sequence[Call]) -> Iterator[Call]:
    """Yield the calls with the line of the bite that they continue in the same breath."""
    line: Call | None = None
    for call in calls:
        if call.position is not None:
            line = call if call.act in BITES else None
        goes_on = line is not None and call.act in FISH_ACTS and call.position is None
        at_line = call.with_slots(position=line.position, side=line.side) if line else call
        yield at_line if goes_on else call


def _is_apart(
    call: Call, entry: Entry, stood: Sequence[Entry], fish: Sequence[Fish], crew: str, at: datetime
) -> bool:
    """Return whether a call is surely another event: another rod, another fish, a bite after its ending."""
    if call.act == ANGLER:
        return call.angler is not None and entry.call.angler not in (None, call.angler)
    own = next((one for one in fish if entry.id in one.entries), None)
    if own is None:
        return False
    if call.position is None and call.names_lure and is_known(own) and not agrees(call, own):
        return True  # it took another lure
    if call.meaning(OneMore) is not None and call.position and own.position != call.position:
        return True
    handed = own.is_on and TABLE[call.act].stage == "on" and own.position == call.position
    if handed and same_person(own.angler, call.angler) == 0:
        return True  # not another fish, but another on its rod
    said = [e for e in stood if e.id in own.entries and "position" not in e.inferred]
    lines = {e.call.position for e in said} - {None}
    if call.position is not None and lines and call.position not in lines:
        return True
    ends = [e for e in stood if e.id in own.entries and e.call.act in ENDINGS]
    told = any(
        entry.at <= end.at <= at and (crew in end.callers or at - end.at >= COME_BACK)
        for end in ends
    )
    if call.act in BITES and told:
        return True
    other = find_fish([one for one in fish if one is not own], fish_clue(call, at, call.position))
    theirs = call.angler is not None and same_person(own.angler, call.angler) == 0
    if theirs and other is not None and same_person(other.angler, call.angler) == 2:
        return True
    unlike = species_match(own.species, call.species) == 0
    return unlike and other is not None and species_match(other.species, call.species) == 3


def _are_all_called(call: Call, stood: Sequence[Entry], crew: str, at: datetime) -> bool:
    """Return whether somebody else has called as many fish as a call counts, each by itself."""
    told, rest = 0, list(stood)
    while (one := _known(call, rest, crew, at)) is not None and not one.call.count:
        told += 1
        rest.remove(one)
    return told >= (call.count or 1)


def _known(call: Call, stood: Sequence[Entry], crew: str, at: datetime) -> Entry | None:
    """Return the latest entry that may be the same event, called by another of the crew."""
    if not TABLE[call.act].joins:
        return None
    last = max(stood, key=lambda entry: entry.id, default=None)
    found = [
        entry
        for entry in stood
        if entry.call.act == call.act
        and entry.crew
        and (
            abs(entry.at - at) <= WITHIN
            if _is_others(crew, entry)
            else entry is last and _is_shouted(call, entry, at)
        )
        and _same_place(call, entry)
        and (call.what == entry.call.what)
    ]
    return found[-1] if found else None


def _is_others(crew: str, entry: Entry) -> bool:
    """Return whether only others have called an entry."""
    return crew.casefold() not in {name.casefold() for name in entry.callers}


def _is_shouted(call: Call, entry: Entry, at: datetime) -> bool:
    """Return whether a bite is the last call once more, with nothing but the line that was said then."""
    bite = call.act in BITES and "position" not in entry.inferred and call.position is not None
    same = call.position == entry.call.position and call.said().keys() <= {"position", "side"}
    more = call.meaning(OneMore) is not None
    return bite and same and not more and abs(entry.at - at) <= SHOUT_GAP


def _same_place(call: Call, entry: Entry) -> bool:
    """Return whether the places can be the same; an inferred place proves nothing."""
    other = entry.call
    if call.position is None or other.position is None or "position" in entry.inferred:
        return True
    sides = {call.side, other.side} - {None}
    return call.position == other.position and len(sides) < 2


def _is_another(
    call: Call, entry: Entry, stood: Sequence[Entry], fish: Sequence[Fish], at: datetime
) -> bool:
    """Return whether something speaks for another event: its place, a detail, a fish that is still on."""
    if call.position is not None and entry.call.position not in (None, call.position):
        return True
    if not all(_agree(name, said, _slot(entry.call, name)) for name, said in _details(call)):
        return True
    own = [one for one in fish if entry.id in one.entries]
    if call.act in BITES and any(_ended_between(one, entry, stood, at) for one in own):
        return True
    return call.act in ENDINGS and any(one.is_on for one in own)  # of two the other may have ended


def _is_sure(call: Call, entry: Entry, fish: Sequence[Fish]) -> bool:
    """Return whether no other fish can be meant."""
    others = [one for one in fish if not one.is_over and entry.id not in one.entries]
    return call.position is not None or call.act not in BITES | ENDINGS or not others


def _ended_between(fish: Fish, entry: Entry, stood: Sequence[Entry], at: datetime) -> bool:
    """Return whether that fish was missed or lost before the second call: this may be the next bite."""
    ends = [e for e in stood if e.id in fish.entries and e.call.act in ENDINGS]
    return any(entry.at <= end.at <= at for end in ends)


def _details(call: Call) -> list[tuple[str, Any]]:
    return [(name, said) for name, said in call.said().items() if name not in _NOT_DETAILS]


def _slot(call: Call, name: str) -> Any:
    return call.said().get(name)


def _agree(name: str, said: Any, other: Any) -> bool:
    """Return whether both can be true: one of them not said, the same, or one more exact."""
    if other is None or said == other:
        return True
    if name in ("colours", "old_colours"):
        return set(said) <= set(other) or set(other) <= set(said)
    if name == "species":
        return said in other or other in said
    return False


def addition(known: Call, inferred: Sequence[str], call: Call) -> Call:
    """Return what a call says beyond the call of an entry, as a correction of that entry."""
    slots: dict[str, Any] = {}
    for name, said in call.said().items():
        old = None if name in inferred else _slot(known, name)
        exact = name in ("species", "colours", "old_colours") and old and len(said) > len(old)
        takes = name in TAKES[known.act] and name not in {"ago_min", "clock", "text"}
        if takes and (old is None or exact):
            slots[name] = said
    return correction(**slots, meant=with_units_of((), call))


def find_completion(
    call: Call, stood: Sequence[Entry], at: datetime, made: Collection[str]
) -> tuple[Entry, Call] | None:
    """Return the last entry and what it lacked, where a call is the same with its line; else None.

    `made` are the entries of the same breath: what is said there twice are two.
    """
    last = max(stood, key=lambda entry: entry.id, default=None)
    if last is None or last.id in made or call.position is None:
        return None
    known = last.call
    if known.act != call.act or known.position is not None or not _is_soon(call, at - last.at):
        return None
    said, held = call.said(), known.said()
    beside = said.keys() - _WHERE
    if (call.act in ENDINGS and beside) or any(held.get(n, said[n]) != said[n] for n in beside):
        return None
    return last, addition(known, last.inferred, call)


def _is_soon(call: Call, gap: timedelta) -> bool:
    if call.act in ENDINGS:
        return timedelta() <= gap <= END_AGAIN
    return call.act in {*LAYING, CLEAR} and timedelta() <= gap <= AGAIN


def rod_said_wrong(
    stood: Sequence[Entry], fish_on: Sequence[Fish], call: Call, at: datetime, speaker: str | None
) -> Entry | None:
    """Return who was said to have a rod just before, where a call names another for the same fish.

    Who says it of himself has taken the rod over: that puts nothing right.
    """
    if call.act != ANGLER or call.angler is None or same_person(call.angler, speaker) == 2:
        return None
    fish = [one for one in fish_on if call.position in (None, one.position)]
    if len(fish) != 1:
        return None
    acts = FISH_ACTS | {ANGLER}
    about = [e for e in stood if e.call.act in acts and fish[0].first_at <= e.at <= at]
    last = max(about, key=lambda e: (e.at, e.id), default=None)
    if last is None or last.call.act != ANGLER or at - last.at > SAID_WRONG:
        return None
    other_line = last.call.position not in (None, fish[0].position)
    return None if other_line or same_person(last.call.angler, call.angler) else last
