"""Whether what is said the next morning is about the trip of the day before: corrections, catches. Pure.

A correction is of the present trip where that has what it names, and of the trip before where only that one
has. What happens now begins in the water: fish that are told before lines are in may be those of yesterday.
"""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta, tzinfo
from typing import Final

from bot.trip.acts import AMEND, FISH_ACTS, TABLE, UNDO
from bot.trip.call import Call
from bot.trip.corrections import Refusal, amend_target, undo_target
from bot.trip.encounters import same_person
from bot.trip.entry import Entry, Record, Restored, Voided
from bot.trip.fish import End, Fish
from bot.trip.meant import CancelsReminder, OfThese, OfYesterday
from bot.trip.state import Trip

STILL_TOLD: Final = timedelta(hours=36)
"""How long after its last entry a trip is put right though another one has begun."""
_OF: Final = ("of_act", "of_clock", "of_position", "of_species")
_NONE: Final = Restored("", (), datetime.min.replace(tzinfo=UTC))
_FISH: Final = frozenset({"species", "weight_kg", "length_cm", "tag", "tagged", "angler"})
"""Slots of a correction that only a fish takes."""


def is_of_the_day_before(
    calls: Sequence[Call],
    now: Trip,
    records: Sequence[Record],
    before: Trip,
    earlier: Sequence[Record],
    at: datetime,
    tz: tzinfo,
) -> bool:
    """Return whether corrections are about the trip before: `now` and `before` are the trips with records."""
    if not calls or any(call.act not in (UNDO, AMEND) for call in calls):
        return False
    if before.last_at is None or at - before.last_at > STILL_TOLD:
        return False
    return any(_is_of_it(call, now, records, before, earlier, tz) for call in calls)


def _is_of_it(
    call: Call, now: Trip, records: Sequence[Record], before: Trip, earlier: Sequence[Record],
    tz: tzinfo,
) -> bool:  # fmt: skip
    cancels = call.meaning(CancelsReminder)
    if cancels is not None and cancels.is_named:
        return False
    was_last = _last_made(earlier).id > _last_made(records).id
    if call.of_act == UNDO:
        return was_last
    if call.meaning(OfYesterday) is not None:
        return True
    if any(getattr(call, name) for name in _OF):
        target = undo_target if call.act == UNDO else amend_target
        here, there = target(records, _plainly(call), tz), target(earlier, _plainly(call), tz)
        return isinstance(here, Refusal) and not isinstance(there, Refusal)
    if call.act == UNDO:  # a bare one goes back to a correction there, and to nothing before it
        last = _last_made(earlier)
        return was_last and isinstance(last, Entry) and last.replaces is not None
    if was_last:
        return True  # what was put right last was of that trip, and so is what is said of it now
    if not call.said().keys() & _FISH:
        return False
    if not now.fish:
        return any(fish.was_on for fish in before.fish)
    return _names(call, before.fish) and not _names(call, now.fish)


def _last_made(records: Sequence[Record]) -> Entry | Voided | Restored:
    """Return the last record that changed a trip; ids are in the order of making."""
    made = (r for r in records if isinstance(r, Entry | Voided | Restored))
    return max(made, key=lambda record: record.id, default=_NONE)


def _plainly(call: Call) -> Call:
    """Return a call that names its entry without which of several it is."""
    return call.with_slots(meant=tuple(m for m in call.meant if not isinstance(m, OfThese)))


def _names(call: Call, fish: Sequence[Fish]) -> bool:
    """Return whether a measure is told of a kind of fish, or of somebody's fish, that is among these."""
    measured = {"weight_kg", "length_cm", "tag"} & call.said().keys()
    if not measured or not (call.species or call.angler):
        return False
    return any(
        is_kind(one.species, call.species)
        if call.species
        else same_person(one.angler, call.angler) == 2
        for one in fish
    )


def is_kind(known: str | None, said: str) -> bool:
    """Return whether a fish is of the kind that was said: a yellowfin tuna is a tuna and no bigeye."""
    return known is not None and (known == said or known.endswith(f" {said}"))


def told_again(call: Call, now: Trip, before: Trip, at: datetime) -> tuple[tuple[Fish, End], ...]:
    """Return the fish of the trip before of which a catch may speak that is called before lines are in."""
    is_morning = not now.intervals and not now.fish
    if not is_morning or TABLE[call.act].stage != "caught" or call.act not in FISH_ACTS:
        return ()
    if before.last_at is None or at - before.last_at > STILL_TOLD:
        return ()
    return tuple(
        (fish, end)
        for fish in before.fish
        for end in fish.ends
        if TABLE[end.act].stage == "caught"
        and (call.species is None or is_kind(end.species or fish.species, call.species))
    )
