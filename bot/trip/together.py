"""Read the calls of one message together: "swap those two", the lines of a double, "both pulled".

Pure; a call that means something by itself is left as it was said.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any, Final

from bot.trip.acts import AMEND, ANGLER, BITES, CAUGHT, LINES_OUT, LOST, PLACING, TABLE, TRIP_END
from bot.trip.call import Call
from bot.trip.encounters import species_match
from bot.trip.entry import Entry
from bot.trip.fill import old_lure
from bot.trip.fish import Fish
from bot.trip.lines import line_for
from bot.trip.lures import agrees, from_water, is_known
from bot.trip.meant import EachOfTwo, LinesAlone, OneMore
from bot.trip.said_units import with_units_of
from bot.trip.state import InWater, Trip

BOTH: Final = 2
"""Fish of a double."""
PLACED_WITHIN: Final = timedelta(minutes=5)
"""How long after a double without lines its lines can be called; common practice, no source."""


def resolve_together(
    calls: Sequence[Call], trip: Trip, at: datetime | None = None
) -> tuple[Call, ...]:
    """Return the calls of a message, in order, with what follows for each from the others.

    Only lines out comes before the end of a trip that ends the message, being a part of it ("that's a
    wrap, reel them in"), and is left out where lines are out.
    """
    told = _each_missed(_bitten_once(_first_up(tuple(calls), trip)))
    both = _each_of_two(_rest_on(told, trip), trip, at)
    each = tuple(_one_of_a_double(call, trip, at) for call in both)
    return _ended_all(_exchanged(_wrapped_up(each, trip), trip), trip)


def _bitten_once(calls: tuple[Call, ...]) -> tuple[Call, ...]:
    """Return "fish on, short corner, what a hit" without the bite of the fish that is on already."""
    on = next((n for n, call in enumerate(calls) if TABLE[call.act].stage == "on"), len(calls))
    return tuple(
        call
        for n, call in enumerate(calls)
        if n <= on or TABLE[call.act].stage != "struck" or call.said() or call.meaning(OneMore)
    )


def _first_up(calls: tuple[Call, ...], trip: Trip) -> tuple[Call, ...]:
    """Return a rotation without those whose turn comes later: "Tom first, then Mia" is Tom's rod.

    With two fish on the names may be of both.
    """
    bare = [call for call in calls if call.act == ANGLER and call.said().keys() == {"angler"}]
    later = bare[1:] if len(trip.fish_on) < BOTH else []
    return tuple(call for call in calls if not any(call is one for one in later))


def _each_missed(calls: tuple[Call, ...]) -> tuple[Call, ...]:
    """Return "two bites on the shotgun, missed both" as two bites, each missed: one at a time."""
    stages = [TABLE[call.act].stage for call in calls]
    if stages != ["struck", "missed"] or not calls[0].position or not calls[0].count:
        return calls
    if calls[1].position not in (None, calls[0].position):
        return calls
    return (calls[0].with_slots(count=None), calls[1]) * calls[0].count


def _rest_on(calls: tuple[Call, ...], trip: Trip) -> tuple[Call, ...]:
    """Return "two on, missed the shotgun" with each that is on on its line: those that bit and are left."""
    tight = [call for call in calls if TABLE[call.act].stage == "on"]
    missed = [call for call in calls if TABLE[call.act].stage == "missed" and call.position]
    if len(tight) != 1 or not missed or len(missed) + 1 != len(calls):
        return calls
    gone = {line_for(trip.spread, call.position or "", call.side) for call in missed}
    struck = [fish for fish in trip.fish if not fish.is_over and fish.was_struck and not fish.is_on]
    left = [fish for fish in struck if fish.position and fish.line not in gone]
    if tight[0].position or tight[0].count != sum(fish.count for fish in left):
        return calls
    one = tight[0].with_slots(count=None)
    on = (one.with_slots(position=fish.position, side=fish.side) for fish in left)
    return (*missed, *on)


def _each_of_two(calls: tuple[Call, ...], trip: Trip, at: datetime | None) -> tuple[Call, ...]:
    """Return "missed em both", "both boated" for each of the two fish that it can be, on their lines.

    Said again of two that have just ended so, it is of these.
    """
    if len(calls) != 1 or not _is_of_both(calls[0]):
        return calls
    stage = TABLE[calls[0].act].stage
    open_ = [fish for fish in trip.fish if not fish.is_over and fish.was_struck]
    if stage in ("lost", "caught") and len(on := [fish for fish in open_ if fish.is_on]) == BOTH:
        open_ = on
    if not open_ and stage == "on":
        open_ = [fish for fish in trip.fish if not fish.is_over and _is_fresh(fish, at)]
    if not open_ and at is not None:
        open_ = [fish for fish in trip.fish[-BOTH:] if _has_just_ended(fish, calls[0].act, at)]
    can_be = [
        fish
        for fish in open_
        if fish.position
        and fish.count == 1
        and (stage not in ("missed", "on") or not fish.is_on)
        and species_match(fish.species, calls[0].species)
    ]
    if len(can_be) != BOTH or len({fish.line for fish in can_be}) != BOTH:
        return calls
    one = calls[0].with_slots(count=None)
    return tuple(one.with_slots(position=f.position, side=f.side) for f in can_be)


def _is_of_both(call: Call) -> bool:
    """Return whether a call befell two fish and says nothing that is of one of them alone."""
    stage, both = TABLE[call.act].stage, call.meaning(EachOfTwo) is not None
    if call.position or call.angler or call.tag or stage in (None, "raised", "struck"):
        return False
    ended = stage in ("lost", "caught") and call.count == BOTH
    return ended or (both and call.count in (None, BOTH))


def _has_just_ended(fish: Fish, act: str, at: datetime) -> bool:
    ended = fish.ended_at
    return fish.end == act and ended is not None and timedelta() <= at - ended <= PLACED_WITHIN


def _one_of_a_double(call: Call, trip: Trip, at: datetime | None) -> Call:
    """Return a bite on one line without the count of those that make the double: one is there already."""
    if TABLE[call.act].stage not in ("struck", "on") or call.position is None or not call.count:
        return call
    line = line_for(trip.spread, call.position, call.side)
    waits = [
        fish
        for fish in trip.fish
        if fish.is_on or (fish.was_struck and not fish.is_over and _is_fresh(fish, at))
    ]
    others = sum(fish.count for fish in waits if fish.line != line)
    if not others or call.count != others + 1:
        return call
    rest = tuple(one for one in call.meant if not isinstance(one, OneMore))
    return replace(call, count=None, meant=(*rest, OneMore()))


def _is_fresh(fish: Fish, at: datetime | None) -> bool:
    return at is None or at - fish.first_at <= PLACED_WITHIN


def _wrapped_up(calls: tuple[Call, ...], trip: Trip) -> tuple[Call, ...]:
    last = {call.act: call for call in calls[-2:]}
    if last.keys() != {TRIP_END, LINES_OUT} or any(c.clock or c.ago_min for c in calls[-2:]):
        return calls
    out = (last[LINES_OUT],) if trip.is_fishing or len(calls) > 2 else ()
    return (*calls[:-2], *out, last[TRIP_END])


def _exchanged(calls: tuple[Call, ...], trip: Trip) -> tuple[Call, ...]:
    """Return the calls of "swap those two" with their lures: each goes out on the other line."""
    lays = [n for n, call in enumerate(calls) if TABLE[call.act].lays and call.position]
    if len(lays) != 2 or any(c.act in PLACING and n not in lays for n, c in enumerate(calls)):
        return calls
    there = [_lure_at(calls[n], trip) for n in lays]
    first, second = there
    if first is None or second is None or first.line == second.line:
        return calls
    if not (
        _changes_with(calls[lays[0]], first, second)
        and _changes_with(calls[lays[1]], second, first)
    ):
        return calls
    changed = list(calls)
    for n, lure in zip(lays, (second, first), strict=True):
        changed[n] = from_water(calls[n], lure)
    return tuple(changed)


def _lure_at(call: Call, trip: Trip) -> InWater | None:
    return trip.spread.get(line_for(trip.spread, call.position or "", call.side))


def _changes_with(call: Call, own: InWater, other: InWater) -> bool:
    """Return whether a call may put the other line's lure on its own line."""
    if not call.names_lure:
        return "old_lure" in TABLE[call.act].takes and not is_known(old_lure(call))
    return agrees(call, other) and not agrees(call, own)


def _ended_all(calls: tuple[Call, ...], trip: Trip) -> tuple[Call, ...]:
    """Return the calls of "both pulled" with a fish that is on for each."""
    ends = [n for n, call in enumerate(calls) if call.act in CAUGHT | LOST]
    on = trip.fish_on
    bare = all(not calls[n].position and not calls[n].angler and not calls[n].count for n in ends)
    placed = len({fish.line for fish in on if fish.position}) == len(on)
    begun = any(calls[n].act in BITES for n in range(len(calls)))
    if len(ends) < 2 or len(ends) != len(on) or not bare or not placed or begun:
        return calls
    if any(calls[n].species for n in ends):
        return calls
    changed = list(calls)
    for n, fish in zip(ends, on, strict=True):
        changed[n] = calls[n].with_slots(position=fish.position, side=fish.side)
    return tuple(changed)


def placed_double(calls: Sequence[Call], stood: Sequence[Entry], at: datetime) -> Entry | None:
    """Return the double (or more) whose lines these calls name, one each; else None."""
    last = next((e for e in reversed(stood) if TABLE[e.call.act].stage is not None), None)
    if last is None or last.call.act not in BITES or last.call.position or len(calls) < 2:
        return None
    lines = {(call.position, call.side) for call in calls if call.position}
    same = all(
        call.act == last.call.act or only_places(call, last) or _goes_further(call, last)
        for call in calls
    )
    each = len(calls) == len(lines) == last.call.count
    fresh = timedelta() <= at - last.at <= PLACED_WITHIN
    return last if each and same and fresh else None


def only_places(call: Call, last: Entry) -> bool:
    """Return whether a call only names a line of the fish called last: an answer, a line shouted, a rod.

    A bite in words after fish that came up is a bite.
    """
    if call.act == ANGLER:
        return call.said().keys() <= {"position", "side", "angler"}
    bites = TABLE[call.act].stage == "struck"
    further = bites and TABLE[last.call.act].stage == "raised"
    shouted = call.act == AMEND or (bites and not further) or call.meaning(LinesAlone) is not None
    return shouted and call.said().keys() <= {"position", "side"}


def _goes_further(call: Call, double: Entry) -> bool:
    """Return whether a call says on its line what became of one fish of a double that bit or was on."""
    stage, been = TABLE[call.act].stage, TABLE[double.call.act].stage
    later = (
        stage is not None and been in ("struck", "on") and stage not in ("raised", "struck", been)
    )
    return later and call.position is not None and call.ago_min is None and call.clock is None


def calls_beyond(calls: Sequence[Call], double: Entry) -> tuple[Call, ...]:
    """Return what calls that place a double say beside its lines: who has the rods, what became of it."""
    return tuple(call for call in calls if call.act == ANGLER or _goes_further(call, double))


def place_double(calls: Sequence[Call], double: Entry) -> tuple[Call, ...]:
    """Return the fish of a double, each on its own line, with all that was said of them."""
    known = {
        name: value
        for name, value in double.call.said().items()
        if name != "count" and name not in double.inferred
    }
    return tuple(
        Call(
            double.call.act,
            meant=with_units_of(double.call.meant, call),
            **(known | _said_of_the_fish(call, double)),
        )
        for call in calls
    )


def _said_of_the_fish(call: Call, double: Entry) -> dict[str, Any]:
    """Return what a call says of its fish; the rod, and what became of it, are entries of their own."""
    own = call.act == ANGLER or _goes_further(call, double)
    return {k: v for k, v in call.said().items() if not own or k in ("position", "side")}
