"""All that an answer may use: the trip, its log, the box and the boat, at one moment.

Earlier trips are loaded only when needed. They are the same object as long as they are the same trips, so
that what follows from them is worked out once.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, tzinfo
from functools import cached_property
from typing import TYPE_CHECKING, Final, TypeVar, cast

from bot.advice.data import Wishes
from bot.spread.readiness import Lives, Readiness, lives_after, readiness, ready_lures
from bot.spread.rules import common_speeds_kn, runs_at
from bot.spread.standby import Standby, standing_by
from bot.spread.trays import trays_after
from bot.spread.weights import DEFAULT_WEIGHTS, Weights
from bot.stamps import Fix
from bot.tackle.crew_units import CrewUnits
from bot.tackle.items import TROLLING_KN, Boat, Lure
from bot.tackle.trays import Tray
from bot.trip.acts import TRAY
from bot.trip.conditions import with_track
from bot.trip.entry import Advised, Asked, Entry, Record
from bot.trip.said_units import units_of
from bot.trip.state import Trip

if TYPE_CHECKING:
    from bot.trip.ledger import Ledger
    from bot.trip.summary import Summary

Found = TypeVar("Found")
_NEVER: Final = datetime.max.replace(tzinfo=UTC)


def _none() -> "tuple[Summary, ...]":
    return ()


@dataclass(frozen=True, eq=False)
class Past:
    """Earlier trips; the same object as long as they are the same trips."""

    load: Callable[[], tuple[Trip, ...]]
    """Return the latest of them, in whatever order: lures in the water, fish, riggings and notes."""
    load_figures: "Callable[[], tuple[Summary, ...]]" = _none
    """Return the figures of all of them."""
    _known: dict[str, tuple[object, object]] = field(default_factory=dict, init=False, repr=False)

    @cached_property
    def trips(self) -> tuple[Trip, ...]:
        """Return the latest trips, oldest first."""
        known = [trip for trip in self.load() if trip.first_at is not None]
        return tuple(sorted(known, key=lambda trip: (trip.first_at or _NEVER, trip.id)))

    def once(self, what: str, work: Callable[[], Found], told: object = None) -> Found:
        """Return what follows from these trips, computed once for the same `told`."""
        known = self._known.get(what)
        if known is None or known[0] != told:
            known = self._known[what] = (told, work())
        return cast("Found", known[1])

    def lives(
        self, box: tuple[Lure, ...], imported_at: Mapping[str, datetime], now: datetime
    ) -> Lives:
        """Return how every lure of the box stood after these trips."""
        told = (box, dict(imported_at))
        return self.once("lives", lambda: lives_after(box, imported_at, self.trips, now), told)

    @cached_property
    def ledger(self) -> "Ledger":
        """Return the figures of all earlier trips, oldest first."""
        from bot.trip.ledger import ledger

        return ledger(sorted(self.load_figures(), key=lambda one: (one.first_at, one.trip)))


NO_PAST: Final = Past(tuple)


def _none_asked() -> tuple[Asked, ...]:
    return ()


def _no_trays() -> tuple[Sequence[tuple[Tray, datetime]], Sequence[Entry]]:
    return (), ()


def _nothing_said(_: str) -> bool:
    return False


@dataclass(frozen=True)
class View:
    """One moment of one boat."""

    trip: Trip
    now: datetime
    records: tuple[Record, ...] = ()
    """The records of this trip, as they were made."""
    stood: tuple[Entry, ...] = ()
    """Entries of this trip that stand, by the time they happened."""
    boat: Boat = field(default_factory=Boat)
    box: tuple[Lure, ...] = ()
    imported_at: Mapping[str, datetime] = field(default_factory=dict)
    tz: tzinfo = UTC
    past: Past = NO_PAST
    """Earlier trips, folded when they are first looked at."""
    asked: Asked | None = None
    """The question that a message may answer: the last one, or one of the speaker's own."""
    questions: tuple[Asked, ...] = ()
    """The last questions, in whatever trip, the latest first, with what closed them."""
    load_questions: Callable[[], tuple[Asked, ...]] = field(default=_none_asked, compare=False)
    """Return the last ones, latest first, in whatever trip; read when they are first looked at."""
    place: tuple[float, float] | None = None
    """Latitude and longitude in degrees, where the settings give them."""
    here: tuple[float, float] | None = None
    """Where the boat is, in degrees, as somebody aboard shared it."""
    said: Callable[[str], bool] = field(default=_nothing_said, compare=False)
    """Return whether a sentence was in a reply on this trip or shortly before it."""
    load_track: Callable[[], Sequence[Fix]] = field(default=tuple, compare=False)
    """Return the track of this trip, as the instruments had it."""
    load_trays: Callable[[], tuple[Sequence[tuple[Tray, datetime]], Sequence[Entry]]] = field(
        default=_no_trays, compare=False
    )
    """Return the trays as imported or planned, and the entries about trays; read when first looked at."""
    towing_kn: float | None = None
    """Speed for which a spread is going out just now, whatever was called before."""
    weights: Weights = DEFAULT_WEIGHTS
    """What makes one starting spread better than another on this boat."""
    wishes: Wishes = field(default_factory=Wishes)
    """How the crew wants its advice."""
    draws: bool = False
    """True where a picture can be shown with the answer."""
    files: bool = False
    """True where a file, or a link to one, can go with the answer."""

    @cached_property
    def readiness(self) -> Mapping[str, Readiness]:
        """Return how every lure of the box stands."""
        before = self.past.lives(self.box, self.imported_at, self.now)
        return readiness(self.box, self.imported_at, (self.trip,), self.now, before)

    @cached_property
    def ready(self) -> tuple[Lure, ...]:
        """Return the lures that may go out."""
        return ready_lures(self.box, self.readiness)

    @cached_property
    def trip_with_way(self) -> Trip:
        """Return the trip with all that is known of its way and its water."""
        return with_track(self.trip, self.load_track())

    @cached_property
    def units(self) -> CrewUnits:
        """Return the units of this crew: as set, as its box was written, else as it has said weights."""
        known = self.boat.units or CrewUnits(self.weight_unit == "pound")
        warm = any(units_of(one.call).water == "fahrenheit" for one in self.stood)
        return replace(known, fahrenheit=warm) if warm else known

    @cached_property
    def weight_unit(self) -> str | None:
        """Return the unit in which this crew weighs, as said last, on an earlier trip too; None for kg."""
        said = (one.call for one in reversed(self.stood))
        weighed = next((c for c in said if c.weight_kg is not None or c.drag_kg is not None), None)
        if weighed is not None:
            units = units_of(weighed)
            return units.drag if weighed.weight_kg is None else units.weight
        fish = (one for trip in reversed(self.past.trips) for one in reversed(trip.fish))
        ends = (end for one in fish for end in reversed(one.ends) if end.weight_kg is not None)
        return next((end.weight_unit for end in ends), None)

    def standing_by(self, what: str) -> Standby:
        """Return how the casting outfit or the deep diver stands."""
        earlier = self.past.trips
        return standing_by(what, self.box, self.readiness, self.trip, self.trays, earlier)

    @property
    def last_advice(self) -> Advised | None:
        """Return the last change that was proposed on this trip."""
        return next((r for r in reversed(self.records) if isinstance(r, Advised)), None)

    @property
    def speed_kn(self) -> float:
        """Return the speed at which lures are towed: as last called, else the usual one of the boat."""
        if self.towing_kn is not None:
            return self.towing_kn
        called = self._called
        known = self.boat.usual_kn if called is None else called[0]
        return self._speed_of_spread(known, called[1] if called else None) or known

    @property
    def _called(self) -> tuple[float, datetime] | None:
        """Return the last called speed and its time, where it is a trolling speed."""
        low_kn, high_kn = TROLLING_KN
        said = (r for r in reversed(self.trip.readings) if r.speed_kn is not None)
        last = next(((r.speed_kn, r.at) for r in said if r.speed_kn is not None), None)
        return last if last is not None and low_kn <= last[0] <= high_kn else None

    def _speed_of_spread(self, at_kn: float, since: datetime | None) -> float | None:
        """Return the speed of the lures out, where most went out after the last call and run at another."""
        out = [(there, self.lure(there.lure)) for there in self.trip.in_water.values()]
        lures = [lure for _, lure in out if lure is not None]
        other = [
            lure
            for there, lure in out
            if lure is not None
            and not runs_at(lure, at_kn)
            and (since is None or (there.set_at or there.since) > since)
        ]
        common = common_speeds_kn(lures) if 2 * len(other) > len(lures) else None
        return None if common is None else min(max(at_kn, common[0]), common[1])

    @cached_property
    def trays(self) -> tuple[Tray, ...]:
        """Return the trays with what lies in them now."""
        made, told = self.load_trays()
        own = [entry for entry in self.stood if entry.call.act == TRAY]
        others = [entry for entry in told if entry.trip != self.trip.id]
        return trays_after(made, (*others, *own), self.box)

    def line_of(self, name: str | None) -> str | None:
        """Return the line on which a lure of the box is; None where it is on none."""
        there = (one.position for one in self.trip.spread.values() if one.lure == name)
        return next(there, None) if name is not None else None

    def lure(self, name: str | None) -> Lure | None:
        """Return a lure of the box by its name."""
        return next((one for one in self.box if one.name == name), None)
