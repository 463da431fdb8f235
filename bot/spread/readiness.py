"""Which lures may go out: made ready, and not in the water since.

Ready is a life cycle (common practice): a lure that was made ready is ready until it first goes
in; after that it needs a check, all the more when it was bitten or brought in after a fish. A lure that went
with a broken line is lost until it is called ready. Takes the box as imported and the trips as folded. What
happened before the box was imported counts no more, unless the whole trip was logged after that: a day that
is played back was fished with the box that was there.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from functools import lru_cache
from typing import Literal
from uuid import UUID

from bot.findings import Finding
from bot.tackle.box import find, name_key
from bot.tackle.checks import PRACTICE
from bot.tackle.items import Lure
from bot.trip.acts import TABLE
from bot.trip.fish import Fish
from bot.trip.lures import LureSlots
from bot.trip.state import InWater, Rigging, Stint, Trip

State = Literal["ready", "in water", "to check", "rework", "lost"]


@dataclass(frozen=True, slots=True)
class Readiness:
    """How a lure stands now."""

    state: State
    reason: str
    """A few words, e.g. `2.5 h in the water and bitten once since it was checked`."""
    position: str | None = None
    """Where it is in the water."""
    hours: float = 0.0
    """Lure-hours since it was last checked."""
    bites: int = 0
    """Bites since it was last checked."""


@dataclass(slots=True)
class _Life:
    """What has happened to one lure since it was last checked; changes while events are taken."""

    checked: bool
    hours: float = 0.0
    bites: int = 0
    work: str | None = None
    lost: str | None = None
    ever_checked: bool = False
    checked_at: datetime | None = None
    """When it was last called ready, on any trip."""

    def check(self, at: datetime) -> None:
        self.checked = self.ever_checked = True
        self.checked_at = at
        self.hours, self.bites, self.work, self.lost = 0.0, 0, None, None


@dataclass(slots=True)
class Lives:
    """The lives of all lures of a box, and which lure a line without a name in the log stands for."""

    lures: Sequence[Lure]
    of: dict[str, _Life]
    by_key: Mapping[str, str]
    on_line: dict[tuple[str, str], str] = field(default_factory=dict)
    wet: dict[str, str] = field(default_factory=dict)
    """Lures of trips that nobody ended that are in the water, and where."""

    def copy(self) -> "Lives":
        """Return a second one that goes on by itself."""
        of = {name: replace(life) for name, life in self.of.items()}
        return Lives(self.lures, of, self.by_key, self.on_line.copy(), self.wet.copy())


def lives_after(
    lures: Sequence[Lure],
    imported_at: Mapping[str, datetime],
    trips: Iterable[Trip],
    now: datetime,
    before: Lives | None = None,
) -> Lives:
    """Return the lives of the lures after trips; `before` are those after the trips before these."""
    lives = before.copy() if before is not None else _unused(lures)
    for trip in trips:
        for at, _, event in sorted(_events(trip, now), key=lambda one: one[:2]):
            _take(lives, trip, event, at, imported_at)
        for there in trip.in_water.values() if trip.is_open else ():
            name = _named(lives, trip, there, there.line)
            if name is not None:
                lives.wet[name] = there.position
    return lives


def readiness(
    lures: Sequence[Lure],
    imported_at: Mapping[str, datetime],
    trips: Iterable[Trip],
    now: datetime,
    before: Lives | None = None,
) -> Mapping[str, Readiness]:
    """Return how every lure stands, by its name, from the box and all trips.

    `imported_at` says when the box last told whether a lure is ready; what happened before counts no more.
    `before` spares taking the trips before these again.
    """
    lives = lives_after(lures, imported_at, trips, now, before)
    return {lure.name: _stands(lives.of[lure.name], lives.wet.get(lure.name)) for lure in lures}


def _unused(lures: Sequence[Lure]) -> Lives:
    return Lives(
        lures,
        {lure.name: _Life(lure.ready, ever_checked=lure.ready) for lure in lures},
        {name_key(lure.name): lure.name for lure in lures},
    )


def ready_lures(lures: Sequence[Lure], states: Mapping[str, Readiness]) -> tuple[Lure, ...]:
    """Return the lures that may go out."""
    return tuple(lure for lure in lures if states[lure.name].state == "ready")


def lures_to_rework(states: Mapping[str, Readiness]) -> list[str]:
    """Return the names of lures: to rework first, then the most bitten, then the longest in the water."""

    def rank(name: str) -> tuple[bool, int, float]:
        stands = states[name]
        return stands.state != "rework", -stands.bites, -stands.hours

    return sorted(states, key=rank)


def find_unready(lure: Lure, states: Mapping[str, Readiness], position: str) -> Finding | None:
    """Find a lure that is set although it is not ready; to be asked before it is logged as set."""
    stands = states.get(lure.name)
    if stands is None or stands.state in ("ready", "in water"):
        return None
    text = f"{lure.name} goes out on the {position} unchecked: {stands.reason}"
    return Finding("caution", text, PRACTICE, position, "unchecked-lure")


@dataclass(frozen=True, slots=True)
class _In:
    """A lure went in; nothing is known yet of how long it stayed."""

    stint: Stint


@dataclass(frozen=True, slots=True)
class _Out:
    """A lure came out, or is in the water still."""

    stint: Stint


_Event = _In | _Out | InWater | Fish | Rigging


def _events(trip: Trip, now: datetime) -> Iterable[tuple[datetime, int, _Event]]:
    """Yield what happened with its time; of one second the later number comes later."""
    for stint in trip.stints:
        yield stint.start, 1, _In(stint)
        yield stint.end or max(now, stint.start), 3, _Out(stint)
    for fish in trip.fish:
        bite_at = fish.bite_at
        if bite_at is not None:
            yield bite_at, 2, fish
    for dip in trip.dips:
        yield dip.since, 3, dip
    for rigging in trip.rigging:
        yield rigging.at, 0 if _before_it_went_in(trip, rigging) else 4, rigging


def _before_it_went_in(trip: Trip, rigging: Rigging) -> bool:
    """Return whether a lure was called ready in the second in which lures went in, and before that."""
    laid = (dip.entry for dip in trip.dips if dip.since == rigging.at)
    came_in = any(_may_be(rigging, stint) for stint in trip.stints if stint.start == rigging.at)
    return any(rigging.entry < entry for entry in laid) or came_in


def _may_be(one: LureSlots, other: LureSlots) -> bool:
    """Return whether two may be one lure: not where both are named and the names differ."""
    if one.lure and other.lure:
        return name_key(one.lure) == name_key(other.lure)
    return True


def _take(
    lives: Lives, trip: Trip, event: _Event, at: datetime, imported_at: Mapping[str, datetime]
) -> None:
    slots = event.stint if isinstance(event, _In | _Out) else event
    name = _named(
        lives, trip, slots, slots.line if isinstance(slots, Stint | InWater | Fish) else None
    )
    if name is None or _told_later(trip, at, imported_at.get(name)):
        return
    life = lives.of[name]
    match event:
        case _In() | InWater():
            life.checked, life.lost = False, None
        case _Out(stint):
            # called ready while it was in the water: it has been in since
            life.checked = False
            imported = imported_at.get(name)
            told = (life.checked_at, imported if _is_before(trip, imported) else None)
            start = max([stint.start, *(one for one in told if one is not None)])
            life.hours += max(0.0, (at - start).total_seconds()) / 3600
        case Fish():
            life.checked = False
            life.bites += 1
            if event.end is not None and TABLE[event.end].loses_lure:
                life.lost = f"went with the line on the {event.position or 'line'}"
        case Rigging(ready=True):
            life.check(at)
        case Rigging():
            life.checked = False
            words = event.text or "needs work"
            if event.lost:
                life.lost = words
            else:
                life.work, life.lost = words, None


def _told_later(trip: Trip, at: datetime, imported: datetime | None) -> bool:
    """Return whether the box has been imported since, and so tells anew how a lure stands."""
    return imported is not None and at < imported and _is_before(trip, imported)


def _is_before(trip: Trip, imported: datetime | None) -> bool:
    """Return whether a trip had begun, as entries were made, when the box was imported."""
    made = made_at(trip.made_first)
    return imported is None or made is None or made < imported


@lru_cache(maxsize=256)
def made_at(entry: str) -> datetime | None:
    """Return when an entry was made, out of its id (RFC 9562, version 7); None for ids of another kind."""
    try:
        number = UUID(entry)
    except ValueError:
        return None
    return datetime.fromtimestamp((number.int >> 80) / 1000, UTC) if number.version == 7 else None


def _named(lives: Lives, trip: Trip, slots: LureSlots, line: str | None) -> str | None:
    """Return the lure of the box that is meant; of several that look alike, the one that is on the line."""
    if slots.lure:
        return lives.by_key.get(name_key(slots.lure))
    alike = find(lives.lures, colours=slots.colours, size_in=slots.size_in, head=slots.head)
    if not alike:
        return None
    names = [lure.name for lure in alike]
    if line is None:
        want_checked = isinstance(slots, Rigging) and not slots.ready
        return next((n for n in names if lives.of[n].checked is want_checked), names[0])
    on = (trip.id, line)
    if lives.on_line.get(on) not in names:
        taken = {
            n
            for (of_trip, other), n in lives.on_line.items()
            if of_trip == trip.id and other != line
        }
        free = [n for n in names if n not in taken] or names
        lives.on_line[on] = next((n for n in free if lives.of[n].checked), free[0])
    return lives.on_line[on]


def _stands(life: _Life, position: str | None) -> Readiness:
    reason = _reason(life)
    if position is not None:
        text = f"on the {position}" + (f", {reason}" if reason else "")
        return Readiness("in water", text, position, life.hours, life.bites)
    if life.lost is not None:
        return Readiness("lost", life.lost, None, life.hours, life.bites)
    if life.work is not None:
        return Readiness("rework", life.work, None, life.hours, life.bites)
    if life.checked:
        return Readiness("ready", "")
    return Readiness("to check", reason or "not made ready yet", None, life.hours, life.bites)


def _reason(life: _Life) -> str:
    parts = []
    if life.hours >= 0.05:
        parts.append(f"{life.hours:.1f} h in the water")
    if life.bites:
        times = {1: "once", 2: "twice"}.get(life.bites, f"{life.bites} times")
        parts.append(f"bitten {times}")
    if not parts:
        was_in = life.ever_checked and not life.checked
        return "in the water since it was checked" if was_in else ""
    return " and ".join(parts) + (" since it was checked" if life.ever_checked else "")
