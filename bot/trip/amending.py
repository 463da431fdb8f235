"""Find what a correction changes: mostly one entry, sometimes several, or a part of what was said.

The entry that a correction is about is found in `corrections`. Here stands what a crew means beyond it: a
time is that of all that was called in one breath, "the short corner is a black" names the fish there,
"short rigger, and not Ben" goes to the strike and to the hook-up. Pure.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta, tzinfo
from typing import Final

from bot.trip.acts import ANGLER, FISH_ACTS, TABLE, TAKES
from bot.trip.call import Call
from bot.trip.corrections import (
    NOT_AMENDED,
    Refusal,
    amend_target,
    another_is_there,
    correction,
    no_size,
    resolve_bare_number,
)
from bot.trip.encounters import same_person
from bot.trip.entry import NOT_SAID, Entry, Record
from bot.trip.exchanged import exchange_ends, exchange_lines
from bot.trip.fish import Fish
from bot.trip.fold import fold
from bot.trip.history import standing_entries
from bot.trip.lures import LURE_SLOTS
from bot.trip.meant import ROD_KIND, InUnit, OfBefore, OfFish, OfKind
from bot.trip.named_fish import called_on, matching_fish, parts_for, words_for
from bot.trip.other_units import unit_put_right
from bot.trip.times import when

LATELY: Final = timedelta(minutes=15)
"""How long a correction goes to the last fish rather than to an older entry that takes more of it."""
UNPLACED_FOR: Final = timedelta(hours=3)
"""How long after a bite whose line nobody said "that one earlier" is about it; common practice, no source."""
ANSWERS: Final = timedelta(minutes=2)
"""How long a line alone answers "which position"; common practice, no source."""
NAMES_IT: Final = timedelta(minutes=2)
"""How near a time said with a correction is to the entry that it names; common practice, no source."""
KINDS: Final = {"bite": "bite", "lay": "swap", "raise": "raise"}
NONE_OF_KIND: Final = "Nothing put right: the log has no {0} that this can be about."
NOTHING_RIGHT: Final = 'Say what is right, or "undo" if nothing of it is.'
_TIMES: Final = frozenset({"ago_min", "clock"})
_TELLS: Final = frozenset({"species", "angler"})
"""Slots that identify a fish besides its line."""
_OF = ("of_act", "of_clock", "of_position")


@dataclass(frozen=True, slots=True)
class Amendments:
    """The entries that a correction changes, each with its new values."""

    parts: tuple[tuple[Entry, Call], ...]
    lines: tuple[str, ...] = ()
    """The lines of the fish that it names."""
    lost: str = ""
    """Sentence about what cannot be kept of what was said; empty where all can."""
    unclear: tuple[Fish, ...] = ()
    """The fish between which nothing decides."""


def amendments(
    records: Sequence[Record],
    call: Call,
    said_at: datetime,
    tz: tzinfo,
    told: Collection[str] = (),
) -> Amendments | Refusal:
    """Return what a correction changes; `told` are the lines of fish named earlier in the same breath."""
    found = _amendments(records, call, said_at, tz, told)
    return found if isinstance(found, Refusal) else _whole_fish(found, standing_entries(records))


def _amendments(
    records: Sequence[Record], call: Call, said_at: datetime, tz: tzinfo, told: Collection[str]
) -> Amendments | Refusal:
    if not call.said() and not call.meant:
        return Refusal(NOTHING_RIGHT)
    if call.meaning(InUnit) is not None:
        unit = unit_put_right(standing_entries(records), call, said_at)
        return unit if isinstance(unit, Refusal) else Amendments((unit,))
    if (of := call.meaning(OfFish)) is not None:
        found = _of_fish(of, call, standing_entries(records), said_at, tz)
        waits = of.is_wrong and any(not one.is_over for one in fold(standing_entries(records)).fish)
        if not waits and not (of.is_wrong and isinstance(found, Refusal)):
            return found
    call = resolve_bare_number(records, call, said_at)
    if wrong := no_size(call):
        return Refusal(wrong)
    if call.meaning(OfBefore) and (
        known := bite_without_line(standing_entries(records), call, said_at)
    ):
        return Amendments(((known, call),))
    if asked := _asked_its_line(call, standing_entries(records), said_at):
        return Amendments(((asked, call),))
    kind = call.meaning(OfKind)
    if kind is not None and kind.kind == ROD_KIND:
        if fought := _of_the_fought(call, standing_entries(records)):
            return fought
    elif kind is not None:
        return _of_kind(kind, records, call, said_at, tz)
    target = amend_target(records, call, tz)
    stood = standing_entries(records)
    fish = fold(stood).fish
    if ends := exchange_lines(call, target, fish, stood):
        return Amendments(ends)
    if any(getattr(call, name) for name in _OF):
        return target if isinstance(target, Refusal) else Amendments(((target, call),))
    on = called_on(call, target, fish) if isinstance(target, Entry) else ()
    if len(on) > 1:
        return Amendments((), unclear=on)
    if on and (theirs := _parts_of(call, on[0], stood)):
        return theirs
    if theirs := _of_the_angler(call, target, stood, fish):
        return theirs
    if named := _fish_named(call, target, stood, fish, said_at, told):
        return named
    if partly := _lately(call, target, stood, fish, said_at):
        return partly
    if isinstance(target, Refusal):
        return target
    if call.said().keys() <= _TIMES:
        together = [e for e in stood if e.message == target.message and e.inferred != NOT_SAID]
        return Amendments(tuple((one, call) for one in together or [target]))
    return Amendments(
        (*_shared_out(call, target, stood, fish), *_with_it(call, target, stood, fish))
    )


def _asked_its_line(call: Call, stood: Sequence[Entry], at: datetime) -> Entry | None:
    """Return the fish called just now whose line was asked for, where a line alone answers that."""
    if call.position is None or not call.said().keys() <= {"position", "side"} or call.meant:
        return None
    lately = [e for e in stood if timedelta() <= at - e.at <= ANSWERS and e.call.act in FISH_ACTS]
    last = max(lately, key=lambda e: e.id, default=None)
    if last is None or last.call.position is None:
        return None
    asked = [e for e in lately if e.call.position is None and (e.call.count or 1) == 1]
    return max(asked, key=lambda e: e.id, default=None)


def bite_without_line(stood: Sequence[Entry], call: Call, at: datetime) -> Entry | None:
    """Return the last bite before a time whose line nobody said, where a call can be about it."""
    ids = {fish.id for fish in fold(stood).fish if fish.line is None}
    stage = TABLE[call.act].stage
    found = [
        e
        for e in stood
        if e.id in ids and timedelta() <= at - e.at <= UNPLACED_FOR
        and stage in (None, TABLE[e.call.act].stage)
        and call.said().keys() - _TIMES <= TAKES[e.call.act]
    ]  # fmt: skip
    return max(found, key=lambda e: e.id, default=None)


def _of_kind(
    kind: OfKind, records: Sequence[Record], call: Call, said_at: datetime, tz: tzinfo
) -> Amendments | Refusal:
    """Return what a correction changes of the last entry of the kind that it speaks of.

    A time at which there is such an entry names it: "the 10:41 strike was the long rigger".
    """
    stood = standing_entries(records)
    fish = fold(stood).fish
    untimed = call.with_slots(ago_min=None, clock=None)
    timed = call != untimed and bool(untimed.said())
    then = [e for e in stood if timed and abs(e.at - when(call, said_at, tz)) <= NAMES_IT]
    there = amend_target(then, untimed, tz) if then else Refusal("")
    target = amend_target(records, call, tz) if isinstance(there, Refusal) else there
    if isinstance(target, Refusal):
        return Refusal(NONE_OF_KIND.format(KINDS[kind.kind]))
    right = call if isinstance(there, Refusal) else untimed
    return Amendments(
        (*_shared_out(right, target, stood, fish), *_with_it(right, target, stood, fish))
    )


def _of_the_fought(call: Call, stood: Sequence[Entry]) -> Amendments | None:
    """Return who had the rod of the fish that is on, or was on last: the last who was named on it."""
    hooked = [one for one in fold(stood).fish if one.was_on]
    if not hooked:
        return None
    one = max(hooked, key=lambda each: (each.is_on, each.ended_at or each.first_at))
    rods = [e for e in stood if e.call.act == ANGLER and _is_in_life(one, e.at)]
    there = [e for e in rods if e.call.position in (None, one.position)]
    own = [e for e in stood if e.id in one.entries and "angler" in TAKES[e.call.act]]
    named = [e for e in (*own, *there) if e.call.angler and "angler" not in e.inferred]
    target = max(named or own, key=lambda e: (e.at, e.id))
    return Amendments(((target, call),), _lines([one]))


def _of_fish(
    of: OfFish, call: Call, stood: Sequence[Entry], at: datetime, tz: tzinfo
) -> Amendments | Refusal:
    """Return what a correction changes of the fish that it names."""
    found = matching_fish(of, call, fold(stood).fish, stood, at, tz)
    if not found:
        return Refusal(f"The log has no {words_for(of)}.")
    if len(found) > 1:
        return Amendments((), unclear=found)
    only_where = call.said().keys() <= {"position", "side"} and found[0].is_over
    named_by_end = of.position is None and (of.ended is not None or only_where)
    if named_by_end and (ends := exchange_ends(call, found[0], fold(stood).fish, stood)):
        return Amendments(ends, _lines(found))
    return _parts_of(call, found[0], stood) or Refusal(
        f"The log keeps nothing of that with the {words_for(of)}."
    )


def _parts_of(call: Call, one: Fish, stood: Sequence[Entry]) -> Amendments | None:
    """Return what the entries of one fish take of a correction; None where they take nothing."""
    parts = parts_for(call, one, stood)
    kept = {name for _, part in parts for name in part.said()} & call.said().keys()
    if not kept - {"side"}:
        return None
    label = TABLE[next(e for e in reversed(stood) if e.id in one.entries).call.act].label
    return Amendments(parts, _lines([one]), _over(call, kept, label))


def _of_the_angler(
    call: Call, target: Entry | Refusal, stood: Sequence[Entry], fish: Sequence[Fish]
) -> Amendments | None:
    """Return what of a correction is the fish on of the angler named, not of the target; else None."""
    if call.angler is None or isinstance(target, Refusal) or call.said().keys() <= {"angler"}:
        return None
    on = [one for one in fish if one.is_on and same_person(one.angler, call.angler) == 2]
    if len(on) != 1 or target.id in on[0].entries:
        return None
    was = next((one.angler for one in fish if target.id in one.entries), None)
    if same_person(target.call.angler or was, call.angler) == 2:
        return None
    own = [e for e in stood if e.id in on[0].entries and e.call.act in FISH_ACTS]
    return _kept_of(own[-1], call) if own else None


def _with_it(
    call: Call, target: Entry, stood: Sequence[Entry], fish: Sequence[Fish]
) -> tuple[tuple[Entry, Call], ...]:
    """Return what else said the line of the fish whose line was wrong: its bite, and who took its rod."""
    rod = target.call.act == ANGLER
    own = _on_its_rod(call, target, fish) if rod else _fish_of(target, fish)
    was = target.call.position
    moves = call.position is not None and was not in (None, call.position)
    if own is None or not moves or another_is_there(stood, target, call):
        return ()
    where = correction(position=call.position, side=call.side)
    there = [e for e in stood if e.id != target.id and e.call.position == was]
    said = [e for e in there if e.id in own.entries and "position" not in e.inferred]
    bite = [e for e in there if e.id in own.entries][:1] if rod and not said else []
    rods = [e for e in there if e.call.act == ANGLER and _is_in_life(own, e.at)]
    return tuple((e, where) for e in (*said, *bite, *rods))


def _fish_of(entry: Entry, fish: Sequence[Fish]) -> Fish | None:
    return next((one for one in fish if entry.id in one.entries), None)


def _on_its_rod(call: Call, rod: Entry, fish: Sequence[Fish]) -> Fish | None:
    """Return the fish that was on at a rod when it was taken, if the line is all that was wrong.

    None where another fish was on where the correction puts the rod: then only the rod is another.
    """
    if not call.said().keys() <= {"position", "side"}:
        return None
    on = [one for one in fish if one.was_on and _is_in_life(one, rod.at)]
    if any(one.position == call.position for one in on):
        return None
    return next((one for one in on if one.position == rod.call.position), None)


def _is_in_life(one: Fish, at: datetime) -> bool:
    return one.first_at <= at and (one.ended_at is None or at <= one.ended_at)


def _whole_fish(found: Amendments, stood: Sequence[Entry]) -> Amendments:
    """Return a correction with all entries of a fish that gave it another name than is right of it."""
    fish = fold(stood).fish
    parts = list(found.parts)
    for target, part in found.parts:
        own = _fish_of(target, fish)
        if own is None or part.species is None or own.count > 1:
            continue
        told = {entry.id for entry, _ in parts}
        parts += [
            (e, correction(species=part.species))
            for e in stood
            if e.id in own.entries
            and e.id not in told
            and "species" not in e.inferred
            and (TABLE[e.call.act].stage != "raised" or e.call.species == target.call.species)
            and _is_other_name(e.call.species, part.species)
        ]
    return replace(found, parts=tuple(parts))


def _is_other_name(known: str | None, right: str) -> bool:
    """Return whether two names cannot both be right: a marlin may be a blue one, a yellowfin no bigeye."""
    if known is None or known == right:
        return False
    return not (known.endswith(f" {right}") or right.endswith(f" {known}"))


def _fish_named(
    call: Call,
    target: Entry | Refusal,
    stood: Sequence[Entry],
    fish: Sequence[Fish],
    at: datetime,
    told: Collection[str],
) -> Amendments | None:
    """Return the entry of a fish that its line, its angler or "the other one" identifies; else None."""
    if isinstance(target, Refusal) or not call.said().keys() & _TELLS:
        return None
    if not call.said().keys() <= _TELLS | {"position", "side"}:
        return None
    lately = [one for one in fish if one.ended_at is None or at - one.ended_at <= LATELY]
    if call.position is not None:
        here = [one for one in lately if one.position == call.position]
        is_there = target.call.position == call.position or "position" in target.inferred
        if not here or is_there:
            return _of(target, call, fish) if told or here else None
    else:
        on = [one for one in lately if one.is_on and one.line not in told]
        if call.angler is not None and call.species is not None:
            here = [one for one in on if same_person(one.angler, call.angler) == 2]
        else:
            here = on if told else []
        if len(here) != 1:
            return None
    takes = call.said().keys() & _TELLS
    own = [e for e in stood if e.id in here[-1].entries and takes <= TAKES[e.call.act]]
    return Amendments(((own[-1], call),), _lines(here[-1:])) if own else None


def _of(target: Entry, call: Call, fish: Sequence[Fish]) -> Amendments:
    return Amendments(((target, call),), _lines([f for f in fish if target.id in f.entries]))


def _lines(fish: Sequence[Fish]) -> tuple[str, ...]:
    return tuple(one.line for one in fish if one.line)


def _lately(
    call: Call, target: Entry | Refusal, stood: Sequence[Entry], fish: Sequence[Fish], at: datetime
) -> Amendments | None:
    """Return the last fish with what it takes, where no entry takes all or only an older one; else None."""
    last = max((e for e in stood if e.call.act in FISH_ACTS), key=lambda e: e.id, default=None)
    if last is None or at - last.at > LATELY:
        return None
    of_fish = isinstance(target, Entry) and target.call.act in FISH_ACTS
    if isinstance(target, Entry) and of_fish and _is_of_another(call, target, last, fish):
        return _kept_of(last, call)
    if isinstance(target, Entry) and (of_fish or target.at >= last.at or at - target.at <= LATELY):
        return None
    return _kept_of(last, call)


def _is_of_another(call: Call, target: Entry, last: Entry, fish: Sequence[Fish]) -> bool:
    """Return whether a correction would go past the fish called last to an older one, for what it took."""
    own = next((one for one in fish if last.id in one.entries), None)
    older = own is not None and target.id not in own.entries and target.at < last.at
    return older and bool(call.said().keys() & set(LURE_SLOTS))


def _kept_of(last: Entry, call: Call) -> Amendments | None:
    """Return an entry with what it takes of a correction; None where it takes nothing of it."""
    said = call.said()
    kept = {name: value for name, value in said.items() if name in TAKES[last.call.act]}
    if not kept.keys() - _TIMES - {"side"}:
        return None
    lost = _over(call, kept, TABLE[last.call.act].label)
    return Amendments(((last, correction(**kept, meant=call.meant)),), (), lost)


def _over(call: Call, kept: Collection[str], label: str) -> str:
    """Return the sentence about what is left over of a correction; empty where nothing is."""
    over = sorted(name.split("_")[0] for name in call.said().keys() - set(kept) - NOT_AMENDED)
    if not over:
        return ""
    return f"{label[:1].upper()}{label[1:]}: the log keeps no {' and '.join(over)} with it."


def _shared_out(
    call: Call, target: Entry, stood: Sequence[Entry], fish: Sequence[Fish]
) -> tuple[tuple[Entry, Call], ...]:
    """Return the angler for the entry of the fish that has one, and the rest for the target."""
    own = next((one for one in fish if target.id in one.entries), None)
    if own is None or call.angler is None or target.call.angler:
        return ((target, call),)
    told = [e for e in stood if e.id in own.entries and e.call.angler and e.id != target.id]
    if not told:
        return ((target, call),)
    rest = call.with_slots(angler=None)
    here = ((target, rest),) if rest.said() else ()
    return (*here, (told[-1], correction(angler=call.angler)))
