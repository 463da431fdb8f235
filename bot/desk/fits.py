"""Choose the reading that fits what is going on; where only one can, nothing is asked. Pure."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Final

from bot.calls.phrasing import question
from bot.calls.understand import Option, Understanding
from bot.desk.lost import lost_once, settle_lost_lure
from bot.desk.next_of_fish import comes_next, ends_both, has_rods, no_bite
from bot.desk.two_readings import (
    JUST_OVER,
    Calls,
    choose_swap,
    either_alike,
    in_number_alone,
    one_for_both,
)  # fmt: skip
from bot.trip.acts import (
    AMEND,
    CAUGHT,
    FISH_ACTS,
    LAYING,
    READY,
    REWORK,
    TABLE,
    TAKES,
    TRAY,
    UNDO,
)
from bot.trip.call import Call
from bot.trip.corrections import gauge_of, is_number_alone, no_size
from bot.trip.encounters import species_match
from bot.trip.entry import Entry
from bot.trip.fill import old_lure
from bot.trip.fish import Fish
from bot.trip.lines import line_for, line_with
from bot.trip.lures import agrees
from bot.trip.meant import MaybeAboard, OfFish, OfLure, PutsRight, meaning
from bot.trip.said_units import in_units_of, with_units_of
from bot.trip.state import Trip

FIRST_FROM: Final = 0.4
"""Probability below which a first reading is asked about whatever fits; smaller asks less."""
SECOND_FROM: Final = 0.1
"""The same for a second reading that fits where the first does not."""
OFFERED_FROM: Final = 0.03
"""Probability from which a second reading is offered; smaller offers odder ones."""
HEARD_FROM: Final = 0.85
"""Trust in a recording below which it is asked about all the same."""
CORRECTED_FROM: Final = 0.5
"""Probability from which a correction of what was just logged is made, and said back."""
NEXT_FROM: Final = 0.52
"""Probability from which what a fish does next is taken without a question."""
ROD_FROM: Final = 0.5
"""The same for who has the rod of a fish that is on: it ends nothing, and is said back."""
EVEN_CHANCE: Final = 0.35
"""Probability of each of two readings between which only the crew can decide, so that it is asked."""
JUST_LOGGED: Final = timedelta(minutes=15)
NAMED_LURE_CONFIDENCE: Final = 0.97
"""Confidence that a lure which is to be reworked is meant by its name; common practice, no source."""
TAKEN_FOR_IT: Final = frozenset({UNDO, AMEND, READY, REWORK, "no"})
"""Acts as which "nothing wrong with the hat" is read."""
DETAILS: Final = frozenset({"species", "weight_kg", "length_cm", "tag", "angler"})
MEASURE_SLOTS: Final = frozenset({"weight_kg", "length_cm", "tag"})
FIGURES: Final = frozenset(
    {"speed_kn", "water_c", "depth_m", "drag_kg", "wind_kn", "wind_from", "sea_m"}
)


def settle_by_context(
    found: Understanding, trip: Trip, at: datetime, last: Entry | None = None, accept: float = 1.0
) -> Understanding:
    """Return what was understood, without its question where what is going on answers that.

    `last` is the last entry; `accept` is how much an ear trusts that it was a call: what it doubts is
    asked about.
    """
    found = settle_lost_lure(lost_once(_without_what_goes(found, trip), trip), trip)
    if found.ask is None and (
        any(_before_lines_in(call, trip, at) for call in found.calls)
        or _adds_fish(found.calls, trip, last)
    ):
        return found.as_question()
    if found.ask is None and (either := _renamed(found.calls, trip, last)):
        return found.as_question([Option(calls, EVEN_CHANCE) for calls in either])
    if found.ask is None or accept < HEARD_FROM:
        return found
    found = _of_the_last(found, last, at)
    calls = fitting_reading(found.options, trip, at, last)
    if calls is None:
        found = _without_odd(found)
        alone = len(found.options) == 1
        calls = fitting_reading(found.options, trip, at, last) if alone else None
        calls = found.calls if alone and ends_both(found.calls, trip) else calls
    return replace(found, calls=calls, ask=None) if calls else found


def drop_lines_aboard(found: Understanding, trip: Trip) -> Understanding:
    """Return what was understood without "everything's in" of lines that were taken out for a fish."""
    aboard = any(call.meaning(MaybeAboard) for call in found.calls)
    if not aboard or trip.is_fishing or not trip.fish_on:
        return found
    return replace(found, calls=(), ask=None, options=())


def _without_odd(found: Understanding) -> Understanding:
    """Return what is asked about without a second reading that hardly anybody would have meant."""
    ways = {way.calls: way.probability for way in found.ways}
    if len(found.options) != 2 or ways.get(found.options[1].calls, 1.0) >= OFFERED_FROM:
        return found
    return found.as_question(found.options[:1])


def undo_of_rework(found: Understanding, trip: Trip) -> Understanding:
    """Return "nothing wrong with church hat, scrap that" as the undo of that lure's rework.

    Only of a lure that is called in need of work now, and where the line orders nothing else.
    """
    named = meaning(found.meant, OfLure)
    last = [one for one in trip.rigging if named is not None and one.lure == named.lure][-1:]
    waits = [one for one in last if not one.ready and not one.lost]
    if named is None or not waits or any(c.act not in TAKEN_FOR_IT for c in found.calls):
        return found
    call = Call(UNDO, of_act=REWORK, meant=(named,))
    sure = max(found.confidence, NAMED_LURE_CONFIDENCE)
    return replace(found, calls=(call,), confidence=sure, ask=None, options=())


def _of_the_last(found: Understanding, last: Entry | None, at: datetime) -> Understanding:
    """Return what was understood with "no, fifty" as the number that was logged last, and asked about so."""
    if not any(is_number_alone(c) for one in found.options for c in one.calls):
        return found
    likely: dict[str, Option] = {}
    wrong, unfit = "", 0.0
    for one in found.options:
        calls = tuple(gauge_of(last, call, at) if last else call for call in one.calls)
        if no := next(filter(None, map(no_size, calls)), ""):
            wrong, unfit = wrong or no, unfit + one.confidence
        else:
            told = question([tuple(_put_right(last, call) for call in calls)])
            same = likely.get(told, Option(calls, 0.0))
            likely[told] = replace(same, confidence=same.confidence + one.confidence)
    options = tuple(sorted(likely.values(), key=lambda option: -option.confidence))
    if wrong and unfit >= max((option.confidence for option in options), default=0.0):
        return replace(found, calls=(), ask=None, options=(), refusal=wrong)
    best = options[0]
    if len(options) == 1 and best.confidence >= CORRECTED_FROM:
        return replace(found, calls=best.calls, options=options, ask=None)
    asked = question([tuple(_put_right(last, c) for c in one.calls) for one in options])
    return replace(found, calls=best.calls, options=options, ask=asked)


def _put_right(last: Entry | None, call: Call) -> Call:
    """Return a correction of the last entry in its unit, to be asked about."""
    if last is None:
        return call
    meant = with_units_of(last.call.meant, call)
    return call.with_slots(**in_units_of(last.call, call), meant=meant)


def _before_lines_in(call: Call, trip: Trip, at: datetime) -> bool:
    """Return whether a bite is dated before any line was in, on a line with a fish on now."""
    if TABLE[call.act].stage not in ("struck", "on") or not call.ago_min or not trip.intervals:
        return False
    there = call.position in {fish.position for fish in trip.fish_on}
    return there and at - timedelta(minutes=call.ago_min) < trip.intervals[0][0]


def fitting_reading(
    options: Sequence[Option], trip: Trip, at: datetime, last: Entry | None = None
) -> Calls | None:
    """Return the only reading that fits; None where both fit, or neither."""
    first = options[0] if options else None
    if len(options) > 1 and in_number_alone(options[0].calls, options[1].calls):
        return None
    if len(options) > 1 and (swap := choose_swap(options[0].calls, options[1].calls, trip)):
        return swap
    if first is None or sum(option.confidence for option in options) < FIRST_FROM:
        return None
    if len(options) > 1 and (same := either_alike(first.calls, options[1].calls, last, at)):
        return same
    if first.confidence < FIRST_FROM:
        return None
    if len(options) == 1:
        sure = first.confidence >= CORRECTED_FROM and last is not None
        fits = _corrects_the_last(first.calls, last, at) or no_bite(first.calls, last, at)
        if first.confidence >= ROD_FROM and has_rods(first.calls, trip):
            return first.calls
        if first.confidence >= NEXT_FROM and comes_next(first.calls, trip, last, at):
            return first.calls
        return first.calls if sure and fits else None
    second = options[1]
    one, other = first.calls, second.calls
    right, also = (_corrects_the_last(calls, last, at) for calls in (one, other))
    if right and not also and first.confidence >= CORRECTED_FROM:
        return one
    if same := one_for_both(one, other, trip):
        return same
    odd, odder = (
        oddness(option.calls, trip, at) + _places_what_is_old(option.calls, last, at)
        for option in options
    )
    if odd < odder:
        return one
    return other if odder < odd and second.confidence >= SECOND_FROM else None


def _corrects_the_last(calls: Calls, last: Entry | None, at: datetime) -> bool:
    """Return whether the calls only correct or complete what was just logged."""
    if last is None or not timedelta() <= at - last.at <= JUST_LOGGED:
        return False
    if len(calls) > 1:  # the lines of a double
        lines = all(c.act == "amend" and c.said().keys() == {"position"} for c in calls)
        return lines and len(calls) == last.call.count and last.call.position is None
    (call,) = calls
    said = call.said().keys()
    told = said & (DETAILS | FIGURES)
    return call.act == "amend" and bool(told) and said <= TAKES[last.call.act]


def _places_what_is_old(calls: Calls, last: Entry | None, at: datetime) -> bool:
    """Return whether a line alone would put right what was logged long ago, with no word for wrong."""
    alone = (
        len(calls) == 1 and calls[0].act == AMEND and calls[0].said().keys() <= {"position", "side"}
    )
    told = calls[0].meaning(PutsRight) or calls[0].meaning(OfFish) if alone else None
    return alone and told is None and last is not None and at - last.at > JUST_LOGGED


def _adds_fish(calls: Calls, trip: Trip, last: Entry | None) -> bool:
    """Return whether a name called after a catch makes more fish of it than bit: "two sails, well, one"."""
    if last is None or last.call.act not in CAUGHT or [call.act for call in calls] != [AMEND]:
        return False
    count = calls[0].count or 1
    bit = next((fish.count for fish in trip.fish if last.id in fish.entries), count)
    return count > bit and calls[0].meaning(PutsRight) is None


def _renamed(calls: Calls, trip: Trip, last: Entry | None) -> tuple[Calls, ...]:
    """Return two readings of "112 centimetres, Kobus' marlin" after a mahi: another fish, or no news of it.

    Empty where a word puts right ("it was a wahoo, 12 kilos"), and where the trip has such a fish.
    """
    if last is None or last.call.act not in FISH_ACTS or [c.act for c in calls] != [AMEND]:
        return ()
    (call,) = calls
    beside = call.said().keys() & (MEASURE_SLOTS | {"position"})
    told = call.meaning(PutsRight) or call.meaning(OfFish)
    if call.species is None or last.call.species is None or not beside or told:
        return ()
    known = {species_match(name, call.species) for f in trip.fish for name in _names_of(f)}
    return (calls, (call.with_slots(species=None),)) if known <= {0} else ()


def _names_of(fish: Fish) -> list[str]:
    return [name for name in (fish.species, *(end.species for end in fish.ends)) if name]


def _without_what_goes(found: Understanding, trip: Trip) -> Understanding:
    """Return what was understood without the lure that comes in for another one as a lure that goes out."""
    options = tuple(replace(one, calls=_made_room(one.calls, trip)) for one in found.options)
    calls = _made_room(found.calls, trip)
    if calls == found.calls:
        return found
    sure = found.confidence >= CORRECTED_FROM
    return replace(found, calls=calls, options=options, ask=None if sure else question([calls]))


def _made_room(calls: Calls, trip: Trip) -> Calls:
    """Return the calls without a lure that goes nowhere and is out where another of them goes."""
    goes = [call for call in calls if call.act in LAYING and call.position is not None]
    lines = {line_for(trip.spread, call.position or "", call.side) for call in goes}
    kept = tuple(
        call
        for call in calls
        if call.act not in LAYING or call.position or line_with(trip.spread, call) not in lines
    )
    return kept if goes else calls


def oddness(calls: Calls, trip: Trip, at: datetime) -> int:
    """Return the number of calls that hardly fit now; after a bite in the same breath its ending does."""
    bites = [n for n, call in enumerate(calls) if TABLE[call.act].stage in ("struck", "on")]
    told = bites[0] if bites else len(calls)
    follow = ("leader", "missed", "lost", "caught", "on")
    return _landed_and_lost(calls, trip) + sum(
        _is_odd(call, trip, at)
        for n, call in enumerate(calls)
        if n <= told or TABLE[call.act].stage not in follow
    )


def _landed_and_lost(calls: Calls, trip: Trip) -> bool:
    """Return whether one fish would be both landed and lost: "lost it at the boat"."""
    stages = [TABLE[call.act].stage for call in calls]
    waits = sum(fish.count for fish in trip.fish if not fish.is_over and fish.was_struck)
    begun = any(stage in ("raised", "struck", "on") for stage in stages)
    return waits == 1 and not begun and "caught" in stages and "lost" in stages


def _is_odd(call: Call, trip: Trip, at: datetime) -> bool:
    waits = [fish for fish in trip.fish if not fish.is_over]
    on = trip.fish_on
    late = any(f.ended_at is not None and at - f.ended_at <= JUST_OVER for f in trip.fish[-4:])
    match TABLE[call.act].stage:
        case "leader" | "lost" | "caught":
            elsewhere = on and call.position and _is_nobodys(call, trip, at)
            return bool(elsewhere) or not (on or late or any(fish.was_struck for fish in waits))
        case "missed":
            return not waits and not late
        case "struck":
            return (call.position is None and bool(on)) or _is_another_lure(call, trip)
        case "on":
            all_on = call.position is None and bool(on) and len(on) == len(waits)
            return (all_on and not call.count) or _is_another_lure(call, trip)
        case _:
            return _is_loose(call, trip)


def _is_another_lure(call: Call, trip: Trip) -> bool:
    """Return whether a bite names a lure that is not the one on its line."""
    there = (
        trip.spread.get(line_for(trip.spread, call.position, call.side)) if call.position else None
    )
    return there is not None and call.names_lure and not agrees(call, there)


def _is_nobodys(call: Call, trip: Trip, at: datetime) -> bool:
    """Return whether no fish waits, or was lately, on the line of an ending while others are on."""
    return all(
        fish.position not in (None, call.position)
        for fish in trip.fish
        if not fish.is_over or (fish.ended_at is not None and at - fish.ended_at <= JUST_OVER)
    )


def _is_loose(call: Call, trip: Trip) -> bool:
    """Return whether a lure would go nowhere, or out where a fish is, or lines go where they are."""
    fish_at = {fish.position for fish in trip.fish if not fish.is_over and fish.was_struck}
    if call.act in LAYING:
        comes_off = call.old_lure is not None and line_with(trip.spread, old_lure(call)) is not None
        nowhere = call.position is None and not comes_off
        return nowhere or call.position in fish_at
    if call.act == TRAY and not call.tray:
        return True
    if call.act == "clear":
        return call.position in {fish.position for fish in trip.fish_on}
    if call.act == "lines_in":
        return trip.is_fishing
    if call.act == "lines_out":
        return not trip.is_fishing
    about = call.act == "amend" and bool(DETAILS & call.said().keys())
    return about and not any(_may_be_of(call, fish) for fish in trip.fish)


def _may_be_of(call: Call, fish: Fish) -> bool:
    """Return whether a call can be about a fish: a weight goes with the name under which it was landed."""
    measured = MEASURE_SLOTS & call.said().keys()
    return not measured or species_match(fish.species, call.species) > 0
