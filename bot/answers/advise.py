"""From the trip to the next change: what the advice is given, and the call that makes its change."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta, tzinfo
from functools import lru_cache
from typing import Final

from bot.advice.choose import Moment
from bot.advice.data import Change, Exposure, Hold, InWater, Kind, Spare, Verdict
from bot.advice.next_change import anything_goes, judge, next_change
from bot.advice.reason import Contrast, contrasts
from bot.advice.season import Earlier
from bot.answers.past import Past
from bot.answers.view import View
from bot.messages import Advice
from bot.spread.rules import findings, runs_at
from bot.tackle.checks import Rig
from bot.tackle.items import Lure
from bot.trip.call import Call
from bot.trip.exposure import fair_slices, hour_key, line_hours, parts
from bot.trip.lures import LureSlots, is_known
from bot.trip.state import Stint, Trip


@dataclass(frozen=True, slots=True)
class Suppose:
    """What might happen next, to see what would be advised then."""

    position: str = ""
    strikes: int = 0
    """Strikes on the lure at `position`, now."""
    quiet: timedelta = timedelta()
    """Time that goes by with all lines in and no strike."""


NOTHING_ELSE: Final = Suppose()


def verdict(view: View, then: Suppose = NOTHING_ELSE) -> Verdict:
    """Return the next change worth making, or why to hold; as things stand, or as they would stand then."""
    hold = held_back(view)
    if hold is not None:
        return hold
    later = replace(view, now=view.now + then.quiet) if then.quiet else view
    ready = spares(view)
    return next_change(
        (*cells(view.trip, later), *_struck(later, then)),
        tuple(
            replace(one, strikes=one.strikes + then.strikes * (one.position == then.position))
            for one in in_water(later)
        ),
        ready,
        now=later.now,
        previous=changes(view),
        allowed=lambda position, one: _allowed(view, position, one),
        earlier=earlier(view),
        wishes=view.wishes,
    )


def _struck(view: View, then: Suppose) -> Iterator[Exposure]:
    hour = view.now.astimezone(view.tz).hour
    for there in in_water(view) if then.strikes else ():
        if there.position == then.position:
            yield Exposure(there.position, there.kind, 0.0, then.strikes, there.lure, hour)


def held_back(view: View) -> Hold | None:
    """Return why nothing can be weighed now, or None."""
    trip = view.trip
    if not trip.is_fishing:
        return Hold("lines are not in", 10.0)
    if trip.fish_on:
        return Hold("a fish is on, leave the other lines as they are", 0.0)
    if not any(is_known(lure) for lure in trip.in_water.values()):
        return Hold("no lure is logged in the water", 10.0)
    if not view.ready:
        why = "no other lure is called ready" if view.box else "no tackle box to choose from"
        return Hold(why, 0.0)
    return None


def differences(view: View, advice: Advice) -> tuple[Contrast, ...]:
    """Return what the record says of all in which a proposed lure differs from the one that is there."""
    there = next((one for one in in_water(view) if one.position == advice.position), None)
    lure = view.lure(advice.lure)
    if there is None or lure is None:
        return ()
    today, before = cells(view.trip, view), earlier(view)
    moment = Moment(in_water(view), spares(view), view.now, 1.0)
    judged = judge(today, moment, anything_goes, before)
    return contrasts(judged.outlook, today, before.cells, there.kind, spare(lure).kind)


def clumping(view: View) -> float:
    """Return how far strikes come in bursts: variance over mean, 1 where they come one by one."""
    moment = Moment(in_water(view), spares(view), view.now, 1.0)
    return judge(cells(view.trip, view), moment, anything_goes, earlier(view)).outlook.clumping


def spares(view: View) -> tuple[Spare, ...]:
    """Return the lures that are ready to go out."""
    return tuple(spare(lure) for lure in view.ready)


def earlier(view: View) -> Earlier:
    """Return lure-hours and strikes of earlier trips; the same object all day, worked out once."""
    return _earlier(view.past, view.tz, view.now.astimezone(view.tz).date())


@lru_cache(maxsize=2)
def _earlier(past: Past, tz: tzinfo, today: date) -> Earlier:
    noon = datetime.combine(today, time(12), tz)
    found: list[Exposure] = []
    for trip in past.trips:
        age = noon - (trip.last_at or noon)
        found += _cells(trip, noon, tz, max(1.0, age.total_seconds() / 86_400))
    return Earlier(tuple(found))


def cells(trip: Trip, view: View) -> tuple[Exposure, ...]:
    """Return lure-hours and strikes of a trip by position, lure and hour."""
    age_days = max(0.0, (view.now - (trip.last_at or view.now)).total_seconds() / 86_400)
    age_days = 0.0 if trip.id == view.trip.id else age_days
    return tuple(_cells(trip, view.now, view.tz, age_days))


def _cells(trip: Trip, now: datetime, tz: tzinfo, age_days: float) -> Iterator[Exposure]:
    hours: dict[tuple[str, Kind, str | None, int], float] = {}
    strikes: dict[tuple[str, Kind, str | None, int], int] = {}
    for piece in fair_slices(trip, now):
        if not is_known(piece.stint):
            continue
        for hour, span in parts(piece, "hour", trip, tz):
            key = (piece.stint.position, kind(piece.stint), piece.stint.lure, int(hour[:2]))
            hours[key] = hours.get(key, 0.0) + span.total_seconds() / 3600
    for fish in trip.fish:
        if fish.is_strike and fish.position and is_known(fish):
            at = fish.bite_at or fish.first_at
            key = (fish.position, kind(fish), fish.lure, int(hour_key(at, tz)[:2]))
            strikes[key] = strikes.get(key, 0) + 1
    for key in {**hours, **strikes}:
        position, what, lure, at_hour = key
        yield Exposure(
            position, what, hours.get(key, 0.0), strikes.get(key, 0), lure, at_hour, age_days
        )


def in_water(view: View) -> tuple[InWater, ...]:
    """Return the lures that are fishing now."""
    busy = {fish.line for fish in view.trip.fish_on}
    return tuple(
        InWater(
            lure.position,
            kind(lure),
            lure.lure,
            line_hours(view.trip, lure, view.now),
            sum(
                fish.is_strike
                and fish.line == lure.line
                and (lure.set_at is None or (fish.bite_at or fish.first_at) >= lure.set_at)
                for fish in view.trip.fish
            ),
            lure.line in busy,
        )
        for lure in view.trip.in_water.values()
        if is_known(lure)
    )


def changes(view: View) -> tuple[Change, ...]:
    """Return the changes that were made on this trip, and the last one that was proposed."""
    found = list(_made(view.trip.stints))
    if view.advised is not None:
        advice = view.advised.advice
        there = next((w for w in in_water(view) if w.position == advice.position), None)
        gone = there.label if there else ""
        found.append(Change(advice.position, advice.lure, gone, view.advised.at, made=False))
    return tuple(sorted(found, key=lambda change: change.at))


def _made(stints: Iterable[Stint]) -> Iterator[Change]:
    last: dict[str, Stint] = {}
    for stint in sorted(stints, key=lambda s: s.start):
        before = last.get(stint.line)
        if before is not None and before.label != stint.label:
            yield Change(stint.position, _label(stint), _label(before), stint.start)
        last[stint.line] = stint


def kind(lure: LureSlots) -> Kind:
    """Return what a fish can see of a lure."""
    return Kind(lure.size_in, tuple(lure.colours), lure.head)


def spare(lure: Lure) -> Spare:
    """Return a lure of the box as the advice knows it."""
    return Spare(Kind(lure.size_in, lure.colours, lure.head), lure.name)


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


def _allowed(view: View, position: str, one: Spare) -> bool:
    """Return whether no tackle rule speaks against a lure at a position."""
    outfit, lure = view.boat.outfit(position), view.lure(one.name)
    if lure is None:
        return True
    if not runs_at(lure, view.speed_kn):
        return False
    if outfit is None:
        return True
    rig = Rig(lure, outfit, view.speed_kn)
    return all(finding.severity == "note" for finding in findings(rig))
