"""Choose the reading that fits what is going on; where only one can, nothing is asked. Pure."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Final

from bot.calls.phrasing import question
from bot.calls.understand import Option, Understanding
from bot.trip.acts import (
    AMEND,
    ANGLER,
    BITES,
    CAUGHT,
    LAYING,
    QUESTIONS,
    SWAP,
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
from bot.trip.meant import MaybeAboard, PutsRight
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
JUST_LOGGED: Final = timedelta(minutes=15)
JUST_BITTEN: Final = timedelta(minutes=3)
"""How long a bite can be taken back without naming it."""
JUST_OVER: Final = timedelta(minutes=10)
"""How long after a fish is over an ending, a weight or a name may be about it."""

DETAILS: Final = frozenset({"species", "weight_kg", "length_cm", "tag", "angler"})
MEASURED: Final = frozenset({"weight_kg", "length_cm", "tag"})
NAMES: Final = frozenset({"species"})
FIGURES: Final = frozenset(
    {"speed_kn", "water_c", "depth_m", "drag_kg", "wind_kn", "wind_from", "sea_m"}
)
LOOSE: Final = QUESTIONS | {"undo"}
"""Acts that one reading may have beyond the other, and that may be left out."""

Calls = tuple[Call, ...]


def fitted(
    found: Understanding, trip: Trip, at: datetime, last: Entry | None = None, accept: float = 1.0
) -> Understanding:
    """Return what was understood, without its question where what is going on answers that.

    `last` is the last entry; `accept` is how much an ear trusts that it was a call: what it doubts is
    asked about.
    """
    found = _without_what_goes(found, trip)
    if found.ask is None and any(_before_lines_in(call, trip, at) for call in found.calls):
        options = (Option(found.calls, found.confidence),)
        return replace(found, ask=question([found.calls]), options=options)
    if found.ask is None and _adds_fish(found.calls, trip, last):
        options = (Option(found.calls, found.confidence),)
        return replace(found, ask=question([found.calls]), options=options)
    if found.ask is None or accept < HEARD_FROM:
        return found
    found = _of_the_last(found, last, at)
    calls = fitting(found.options, trip, at, last)
    return replace(found, calls=calls, ask=None) if calls else _without_odd(found)


def lines_aboard(found: Understanding, trip: Trip) -> Understanding:
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
    first = found.options[:1]
    return replace(found, options=first, ask=question([first[0].calls]))


def known_lines(found: Understanding, trip: Trip, positions: Sequence[str]) -> Understanding:
    """Return what was understood, asked about where a lure goes out on a line that the boat has not."""
    known = {*positions, *(lure.position for lure in trip.spread.values())}
    odd = [
        call.position
        for call in found.calls
        if call.act in LAYING and call.position is not None and call.position not in known
    ]
    if found.ask is not None or not odd:
        return found
    asked = f"This boat has no {odd[0]} ({', '.join(positions)}). {question([found.calls])}"
    return replace(found, ask=asked, options=(Option(found.calls, found.confidence),))


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


def fitting(
    options: Sequence[Option], trip: Trip, at: datetime, last: Entry | None = None
) -> Calls | None:
    """Return the only reading that fits; None where both fit, or neither."""
    first = options[0] if options else None
    if len(options) > 1 and (swap := _swapped(options[0].calls, options[1].calls, trip)):
        return swap
    if first is None or first.confidence < FIRST_FROM:
        return None
    if len(options) == 1:
        sure = first.confidence >= CORRECTED_FROM and last is not None
        fits = _corrects_the_last(first.calls, last, at) or _no_bite(first.calls, last, at)
        return first.calls if sure and fits else None
    second = options[1]
    if freed := _freed_after_all(first.calls, second.calls, last, at):
        return freed
    if fuller := (
        _fuller(first.calls, second.calls)
        or _of_one_place(first.calls, second.calls, last)
        or _in_more_words(first.calls, second.calls)
    ):
        return fuller
    one, two = (_corrects_the_last(option.calls, last, at) for option in (first, second))
    if one and not two and first.confidence >= CORRECTED_FROM:
        return first.calls
    if completed := _completed(first.calls, second.calls) or _on_its_line(
        first.calls, second.calls, trip
    ):
        return completed
    if held := _held(first.calls, second.calls, trip):
        return held
    odd, other = (oddness(option.calls, trip, at) for option in options)
    if odd < other:
        return first.calls
    if other < odd and second.confidence >= SECOND_FROM:
        return second.calls
    return None


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


def _no_bite(calls: Calls, last: Entry | None, at: datetime) -> bool:
    """Return whether a bite called just now is taken back: "no, that was just weed"."""
    if last is None or last.call.act not in BITES or not timedelta() <= at - last.at <= JUST_BITTEN:
        return False
    return [call.act for call in calls] == [UNDO]


def _adds_fish(calls: Calls, trip: Trip, last: Entry | None) -> bool:
    """Return whether a name called after a catch makes more fish of it than bit: "two sails, well, one"."""
    if last is None or last.call.act not in CAUGHT or [call.act for call in calls] != [AMEND]:
        return False
    count = calls[0].count or 1
    bit = next((fish.count for fish in trip.fish if last.id in fish.entries), count)
    return count > bit and calls[0].meaning(PutsRight) is None


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


def _swapped(first: Calls, second: Calls, trip: Trip) -> Calls | None:
    """Return of two swaps to one lure that whose old lure is out, where only one is, or both are one."""
    if (
        [c.act for c in (*first, *second)] != [SWAP, SWAP]
        or first[0].position
        or second[0].position
    ):
        return None
    one, other = (line_with(trip.spread, old_lure(calls[0])) for calls in (first, second))
    if first[0].lure != second[0].lure or one == other is None:
        return None
    return first if one is not None and other in (None, one) else second if one is None else None


def _freed_after_all(first: Calls, second: Calls, last: Entry | None, at: datetime) -> Calls | None:
    """Return a release of the fish boated just now, where one reading has only its tag; else None."""
    boated = last is not None and last.call.act == "boat" and at - last.at <= JUST_OVER
    both = (*first, *second)
    freed = next((call for call in both if call.act == "release"), None)
    tags = {"tagged", "tag"}
    of_tag = [c for c in both if c.act == "amend" and c.tagged and c.said().keys() <= tags]
    if not boated or freed is None or not of_tag or len(both) != len(of_tag) + 1:
        return None
    return (freed.with_slots(tagged=True, tag=freed.tag or of_tag[0].tag),)


def _fuller(first: Calls, second: Calls) -> Calls | None:
    """Return the correction that says what the other does and names the fish as well; else None."""
    if [c.act for c in first] != ["amend"] or [c.act for c in second] != ["amend"]:
        return None
    one, other = first[0].said(), second[0].said()
    if one.keys() == other.keys() | NAMES and all(one[k] == v for k, v in other.items()):
        return first
    named = other.keys() == one.keys() | NAMES and all(other[k] == v for k, v in one.items())
    return second if named else None


def _in_more_words(first: Calls, second: Calls) -> Calls | None:
    """Return the reading that keeps more of the words, where nothing else tells the two apart; else None."""
    bare = [tuple(call.with_slots(text=None) for call in calls) for calls in (first, second)]
    texts = [" ".join(call.text or "" for call in calls) for calls in (first, second)]
    if bare[0] != bare[1] or not all(texts):
        return None
    if texts[1] in texts[0]:
        return first
    return second if texts[0] in texts[1] else None


def _of_one_place(first: Calls, second: Calls, last: Entry | None) -> Calls | None:
    """Return the correction without its line, where the other names the line of the last entry; else None."""
    if last is None or [c.act for c in (*first, *second)] != ["amend", "amend"]:
        return None
    places = {first[0].position, second[0].position}
    one, two = (calls[0].with_slots(position=None) for calls in (first, second))
    return (one,) if one == two and places == {None, last.call.position} else None


def _held(first: Calls, second: Calls, trip: Trip) -> Calls | None:
    """Return that somebody has the rod, where "I've got him" may be a catch too: no catch is made up."""
    both = {call.act: calls for calls in (first, second) for call in calls}
    if len(first) != 1 or len(second) != 1 or not trip.fish_on:
        return None
    rod = both.get(ANGLER)
    ends = any(TABLE[act].stage == "caught" for act in both)
    return rod if ends else None


def _on_its_line(first: Calls, second: Calls, trip: Trip) -> Calls | None:
    """Return the reading without the line, where the other names that of the only fish that is on."""
    if len(first) != 1 or len(second) != 1 or len(trip.fish_on) != 1:
        return None
    one, two = first[0].with_slots(position=None), second[0].with_slots(position=None)
    lines = {first[0].position, second[0].position} - {None}
    fish = TABLE[one.act].stage in ("leader", "lost", "caught")
    return (one,) if fish and one == two and lines == {trip.fish_on[0].position} else None


def _completed(first: Calls, second: Calls) -> Calls | None:
    """Return the reading that holds all that both say, without loose acts; else None."""
    acts, others = [c.act for c in first], [c.act for c in second]
    if {*acts, *others} == {TRAY} and all(call in first for call in second):
        return first  # lures that are listed for a tray, of which one reading has the last alone
    if acts == ["amend", *others] and len(others) == 1:
        whole = second[0].with_slots(**{**first[0].said(), **first[1].said()})
        return second if whole == second[0] else None  # "it's a tuna, lost it" in one call or two
    if len(acts) == 1 and acts == others and TABLE[acts[0]].stage is not None:
        told = first[0].with_slots(position=None, side=None)
        if first[0].position and told == second[0]:
            return first  # "missed one on the flat line, the short one"
    if acts == ["strike"] and others == ["strike", "hookup"]:
        same = first[0].position == second[0].position and second[1].position is None
        angler = first[0].angler
        return (second[0], second[1].with_slots(angler=angler)) if same else None
    if acts == ["leader", *others] and len(others) == 1 and first[1] == second[0]:
        return first  # the leader ends nothing
    if acts == ["hookup"] and others == ["strike", "hookup"]:
        return first if first[0].position in (None, second[0].position) else None
    loose = second[len(first) :]
    if loose and second[: len(first)] == first and all(c.act in LOOSE for c in loose):
        return first
    if acts == others and len(acts) == 1:
        for slot in ("count", "side"):
            one, two = (calls[0].with_slots(**{slot: None}) for calls in (first, second))
            if one == two:
                return first if getattr(first[0], slot) else second
    counted = len(acts) > 1 and acts == others and all(c.position for c in (*first, *second))
    if counted and [c.with_slots(count=None) for c in second] == list(first):
        return first  # "a double, short and long rigger": two fish, one on each
    return None


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
            return call.position is None and bool(on)
        case "on":
            return call.position is None and bool(on) and len(on) == len(waits) and not call.count
        case _:
            return _is_loose(call, trip)


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
    measured = MEASURED & call.said().keys()
    return not measured or species_match(fish.species, call.species) > 0
