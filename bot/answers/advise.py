"""The next change of a trip: what the advice is computed from, and the call that makes the change.

What weighs (`bot.advice`) is loaded when something is weighed: most questions are answered without it.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta, tzinfo
from functools import lru_cache
from typing import TYPE_CHECKING, Final

from bot.advice.data import Exposure, Hold, InWater, Kind, LureChange, Spare, Verdict
from bot.answers.set_aside import set_aside
from bot.answers.view import Past, View
from bot.messages import Advice
from bot.spread.rules import common_speeds_kn, findings, range_words, runs_at
from bot.tackle.checks import Rig
from bot.tackle.items import Lure
from bot.trip.call import Call
from bot.trip.encounters import LONG_ON
from bot.trip.entry import Advised, Entry, Restored, Voided
from bot.trip.exposure import fair_slices, hour_key, line_hours, parts
from bot.trip.fish import Fish
from bot.trip.lures import LureSlots, is_known
from bot.trip.state import InWater as Out, Stint, Trip

if TYPE_CHECKING:
    from bot.advice.choose import MayTow
    from bot.advice.next_change import Evaluation
    from bot.advice.reason import Contrast
    from bot.advice.season import Earlier, Prey

PREY_TRIPS: Final = 5
"""Number of earlier trips whose sightings of bait count."""


@dataclass(frozen=True, slots=True)
class Suppose:
    """A supposed event, to see what would be advised after it."""

    position: str = ""
    strikes: int = 0
    """Strikes on the lure at `position`, now."""
    quiet: timedelta = timedelta()
    """Time with all lines in and no strike."""


NOTHING_ELSE: Final = Suppose()


def verdict(view: View, then: Suppose = NOTHING_ELSE) -> Verdict:
    """Return the next change worth making, or why to hold, now or after a supposed event."""
    hold = held_back(view)
    if hold is not None:
        return hold
    from bot.advice.next_change import next_change

    later = replace(view, now=view.now + then.quiet) if then.quiet else view
    previous = changes(view)
    if then.strikes:
        previous = tuple(replace(one, stands=False, anew=True) for one in previous)
    return next_change(
        (*cells(view.trip, later), *_struck(later, then)),
        tuple(
            replace(one, strikes=one.strikes + then.strikes, struck_at=later.now)
            if then.strikes and one.position == then.position
            else one
            for one in in_water(later)
        ),
        spares(view),
        now=later.now.astimezone(view.tz),
        previous=previous,
        allowed=may_run(view),
        earlier=earlier(view),
        wishes=view.wishes,
        prey=prey(view),
    )


def evaluate_change(view: View) -> "Evaluation":
    """Return what was weighed, as things stand; a lure must be in the water."""
    from bot.advice.next_change import judge, moment_of

    today, before = cells(view.trip, view), earlier(view)
    moment = moment_of(
        today,
        in_water(view),
        spares(view),
        now=view.now.astimezone(view.tz),
        previous=changes(view),
        earlier=before,
        wishes=view.wishes,
    )
    return judge(today, moment, may_run(view), before, prey(view))


def _struck(view: View, then: Suppose) -> Iterator[Exposure]:
    hour = view.now.astimezone(view.tz).hour
    for there in in_water(view) if then.strikes else ():
        if there.position == then.position:
            yield Exposure(there.position, there.kind, 0.0, then.strikes, there.lure, hour)


def held_back(view: View) -> Hold | None:
    """Return why nothing can be weighed now, or None."""
    trip = view.trip
    if not trip.is_fishing:
        return Hold("lines are not in", 0.0, "lines are in")
    if any(not _laid_since(view, fish) for fish in trip.fish_on):
        why = "a fish is on, so no lure is changed now; clear lines as the skipper calls"
        return Hold(why, 0.0, "it is off")
    if not any(is_known(lure) for lure in trip.in_water.values()):
        return Hold("no lure is logged in the water", 0.0, "one is called out")
    if not spares(view):
        why = "no other lure is called ready" if view.box and not view.ready else ""
        why = why or "no other lure is called ready that does not stand by or was left out"
        why = why if view.box else "no tackle box to choose from"
        return Hold(why, 0.0, "one is called ready" if view.box else "a box is imported")
    return None


def _laid_since(view: View, fish: Fish) -> bool:
    """Return whether a fish hooked long ago can hardly be on: a lure has gone out on its line since.

    Laying it asked how the fish ended; that nobody answered holds no advice back.
    """
    hooked = fish.hooked_at or fish.bite_at
    if hooked is None or view.now - hooked < LONG_ON:
        return False
    if fish.line is None:
        return view.trip.fishing_since is not None and view.trip.fishing_since > hooked
    there = view.trip.in_water.get(fish.line)
    return there is not None and there.since > hooked


def speaking_for(view: View, advice: Advice) -> "tuple[Contrast, ...]":
    """Return what the record says for a proposed lure rather than the present one, the strongest first."""
    there = taken_out(view, advice)
    lure = view.lure(advice.lure)
    if there is None or lure is None:
        return ()
    from bot.advice.reason import grounds

    found = evaluate_change(view)
    return grounds(found.outlook, found.today, found.earlier, there.kind, spare(lure).kind)


def taken_out(view: View, advice: Advice) -> InWater | None:
    """Return the lure that comes out for a proposal, or None where none is logged there."""
    return next((one for one in in_water(view) if one.position == advice.position), None)


def put_in(view: View, advice: Advice) -> str:
    """Return the lure that goes in, with size and colour."""
    lure = view.lure(advice.lure)
    return advice.lure if lure is None else spare(lure).words


def clumping(view: View) -> float:
    """Return how much strikes come in bursts: variance over mean, 1 where they come singly."""
    return evaluate_change(view).outlook.clumping


def spares(view: View) -> tuple[Spare, ...]:
    """Return the lures that are ready to go out, without those that stand by or were left out."""
    aside = set_aside(view)
    return tuple(spare(lure) for lure in view.ready if lure.name not in aside)


def earlier(view: View) -> "Earlier":
    """Return lure-hours and strikes of earlier trips, computed once a day."""
    return _earlier(view.past, view.tz, view.now.astimezone(view.tz).date())


@lru_cache(maxsize=2)
def _earlier(past: Past, tz: tzinfo, today: date) -> "Earlier":
    from bot.advice.season import Earlier

    noon = datetime.combine(today, time(12), tz)
    found: list[Exposure] = []
    for trip in past.trips:
        age = noon - (trip.last_at or noon)
        found += _cells(trip, noon, tz, max(1.0, age.total_seconds() / 86_400))
    return Earlier(tuple(found))


def prey(view: View) -> "tuple[Prey, ...]":
    """Return what sightings of bait say about sizes, on this trip and the last ones."""
    from bot.advice.bites import prey_of

    trips = (*view.past.trips[-PREY_TRIPS:], view.trip)
    return prey_of(
        ((view.now - one.at) / timedelta(days=1), one.size_in)
        for trip in trips
        for one in trip.prey
        if one.size_in is not None
    )


def cells(trip: Trip, view: View) -> tuple[Exposure, ...]:
    """Return lure-hours and strikes of a trip by position, lure and hour."""
    age_days = max(0.0, (view.now - (trip.last_at or view.now)).total_seconds() / 86_400)
    age_days = 0.0 if trip.id == view.trip.id else age_days
    return tuple(_cells(trip, view.now, view.tz, age_days))


def _cells(trip: Trip, now: datetime, tz: tzinfo, age_days: float) -> Iterator[Exposure]:
    from bot.advice.bites import follows

    hours: dict[_Key, float] = {}
    bites: dict[_Key, list[int]] = {}
    for piece in fair_slices(trip, now):
        if not is_known(piece.stint):
            continue
        for hour, span in parts(piece, "hour", trip, tz):
            key = (piece.stint.position, kind(piece.stint), piece.stint.lure, int(hour[:2]))
            hours[key] = hours.get(key, 0.0) + span.total_seconds() / 3600
    last: datetime | None = None
    for fish in sorted(trip.fish, key=lambda one: one.bite_at or one.first_at):
        at = fish.bite_at or fish.first_at
        struck = fish.is_strike
        if fish.is_catch and fish.position and is_known(fish) and (struck or fish.raised_at):
            key = (fish.position, kind(fish), fish.lure, int(hour_key(at, tz)[:2]))
            found = bites.setdefault(key, [0, 0, 0])
            found[0] += struck
            found[1] += not struck
            found[2] += struck and follows(at, last)
        last = at if struck else last
    for key in {**hours, **bites}:
        position, what, lure, at_hour = key
        strikes, raises, followers = bites.get(key, (0, 0, 0))
        fished = hours.get(key, 0.0)
        yield Exposure(position, what, fished, strikes, lure, at_hour, age_days, raises, followers)


_Key = tuple[str, Kind, str | None, int]
"""Position, lure, its name, hour of the day."""


def in_water(view: View) -> tuple[InWater, ...]:
    """Return the lures that are fishing now."""
    return tuple(_in_water(view, lure) for lure in view.trip.in_water.values() if is_known(lure))


def _in_water(view: View, lure: Out) -> InWater:
    fish = [
        one
        for one in view.trip.fish
        if one.line == lure.line
        and one.is_catch
        and (lure.set_at is None or (one.bite_at or one.first_at) >= lure.set_at)
    ]
    bites = [one.bite_at for one in fish if one.bite_at is not None]
    return InWater(
        lure.position,
        kind(lure),
        lure.lure,
        line_hours(view.trip, lure, view.now),
        len(bites),
        any(one.is_on for one in view.trip.fish if one.line == lure.line),
        max(bites, default=None),
        len(fish) - len(bites),
        max((one.raised_at for one in fish if one.raised_at is not None), default=None),
    )


def changes(view: View) -> tuple[LureChange, ...]:
    """Return the changes that were made on this trip, and the last one that was proposed."""
    found = list(_made(view.trip.stints))
    proposed = _proposed(view)
    if proposed is not None:
        found.append(proposed)
    return tuple(sorted(found, key=lambda change: change.at))


DISTURBS: Final = frozenset(
    {"lines_in", "lines_out", "set", "clear", "swap", "raise", "strike", "hookup", "miss", "pulled_hook",
     "break_off", "boat", "release", "speed", "water", "conditions", "bait"}
)  # fmt: skip
"""Calls after which a proposal is computed again; so is an undo of one."""
BITES: Final = frozenset({"raise", "strike", "hookup"})
"""Calls after which it is weighed anew, whatever was proposed before."""


def _proposed(view: View) -> LureChange | None:
    """Return the last proposal with the time when it was first made, and whether it still stands."""
    last: Advised | None = None
    stands, anew = True, False
    for record in reversed(view.records):
        if isinstance(record, Advised):
            if last is not None and not _same(last.advice, record.advice):
                break
            last = record
        elif isinstance(record, Voided | Restored) or (
            isinstance(record, Entry) and record.call.act in DISTURBS
        ):
            if last is not None:
                break
            stands = False
            anew = anew or (isinstance(record, Entry) and record.call.act in BITES)
    if last is None:
        return None
    there = taken_out(view, last.advice)
    gone = there.label if there else ""
    said = last.advice
    return LureChange(said.position, said.lure, gone, last.at, False, stands, said.reason, anew)


def _same(one: Advice, other: Advice) -> bool:
    return (one.position, one.lure) == (other.position, other.lure)


def _made(stints: Iterable[Stint]) -> Iterator[LureChange]:
    last: dict[str, Stint] = {}
    for stint in sorted(stints, key=lambda s: s.start):
        before = last.get(stint.line)
        if before is not None and before.label != stint.label:
            yield LureChange(stint.position, _label(stint), _label(before), stint.start)
        last[stint.line] = stint


def kind(lure: LureSlots) -> Kind:
    """Return the visible properties of a lure."""
    return Kind(lure.size_in, tuple(lure.colours), lure.head, lure.lure)


def spare(lure: Lure) -> Spare:
    """Return a lure of the box in the form that the advice uses."""
    return Spare(Kind(lure.size_in, lure.colours, lure.head, lure.name), lure.name)


def swap_call(advice: Advice, view: View) -> Call:
    """Return the call that makes a change that was proposed."""
    lure = view.lure(advice.lure)
    if lure is None:
        return Call("swap", position=advice.position, lure=advice.lure)
    return Call(
        "swap",
        position=advice.position,
        lure=lure.name,
        size_in=lure.size_in,
        colours=lure.colours,
        head=lure.head,
    )


def _label(lure: LureSlots) -> str:
    return lure.lure or kind(lure).label


def may_run(view: View) -> "MayTow":
    """Return whether neither a tackle rule nor the speed speaks against a lure at a position."""
    speed_kn = trolling_kn(view)
    return lambda position, one: not why_not_there(view, position, one, speed_kn)


def why_not_there(view: View, position: str, one: Spare, speed_kn: float) -> str:
    """Return what speaks against a lure at a position at this speed; empty where nothing does."""
    outfit, lure = view.boat.outfit(position), view.lure(one.name)
    if lure is None:
        return ""
    if not runs_at(lure, speed_kn):
        return f"{lure.name} runs {range_words(*lure.speed_range_kn)}, not at {speed_kn:g}"
    if outfit is None:
        return ""
    found = (f for f in findings(Rig(lure, outfit, speed_kn)) if f.severity != "note")
    return next((finding.text for finding in found), "")


def trolling_kn(view: View) -> float:
    """Return the speed as called, else the boat's usual one, kept to what the lures out run at."""
    if view.trip.speed_kn is not None:
        return view.speed_kn
    out = [lure for there in in_water(view) if (lure := view.lure(there.lure)) is not None]
    low, high = common_speeds_kn(out) or (view.speed_kn, view.speed_kn)
    return min(max(view.speed_kn, low), high)
