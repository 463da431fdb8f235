"""What is true of a trip: frozen values that `fold` makes from its entries.

Values and what follows from a single one of them; no rules about calls, no clock, no words for the
crew. Times are aware and in UTC. Everybody may read these.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from bot.findings import Finding
from bot.trip.fish import Fish
from bot.trip.lures import label
from bot.trip.meant import Meaning
from bot.trip.whereabouts import PlaceFix


@dataclass(frozen=True, slots=True)
class InWater:
    """A lure that is laid out on a line: in the water while lines are in."""

    position: str
    lure: str | None
    size_in: float | None
    colours: tuple[str, ...]
    head: str | None
    since: datetime
    """When it last went in: when it was set, or at lines in after that."""
    side: str | None = None
    line: str = ""
    """Its key in the spread: the position, or `starboard long rigger` where both sides have one."""
    set_at: datetime | None = None
    """When this lure was put on this line."""
    entry: str = ""
    """The entry that put it there."""
    guessed: bool = False
    """True where nobody said its name and it is the only lure of the box that fits."""

    @property
    def label(self) -> str:
        """Return the name, or the words for it."""
        return label(self)


@dataclass(frozen=True, slots=True)
class Stint:
    """A lure fishing on one line without a break."""

    position: str
    line: str
    side: str | None
    lure: str | None
    size_in: float | None
    colours: tuple[str, ...]
    head: str | None
    start: datetime
    end: datetime | None
    """None while it is still fishing."""
    speed_kn: float | None = None
    """Speed through the water as last called when it started."""

    @property
    def label(self) -> str:
        """Return the name of the lure, or the words for it."""
        return label(self)


@dataclass(frozen=True, slots=True)
class FouledLine:
    """A line that tows weed: its lure is in the water and does not fish."""

    line: str
    start: datetime
    end: datetime | None = None
    """When it was brought in or changed; None until then."""


@dataclass(frozen=True, slots=True)
class Reading:
    """Speed and water as called at one time."""

    at: datetime
    entry: str
    speed_kn: float | None = None
    water_c: float | None = None
    depth_m: float | None = None
    what: str | None = None


@dataclass(frozen=True, slots=True)
class Sighting:
    """Something seen."""

    at: datetime
    entry: str
    what: str | None
    species: str | None
    count: int | None
    crew: str


@dataclass(frozen=True, slots=True)
class Remark:
    """A note, or a marked spot."""

    at: datetime
    entry: str
    text: str
    crew: str
    meant: tuple[Meaning, ...] = ()


@dataclass(frozen=True, slots=True)
class Rigging:
    """A lure that was called ready, or in need of work."""

    at: datetime
    entry: str
    ready: bool
    lure: str | None
    size_in: float | None
    colours: tuple[str, ...]
    head: str | None
    text: str | None
    crew: str
    lost: bool = False
    """True where it will not come back for work."""

    @property
    def label(self) -> str:
        """Return the name of the lure, or the words for it."""
        return label(self)


@dataclass(frozen=True, slots=True)
class Turn:
    """Somebody took a rod, or is next."""

    at: datetime
    entry: str
    angler: str
    position: str | None
    line: str | None


@dataclass(frozen=True, slots=True)
class DragReading:
    """The drag of a rod as read from a scale."""

    at: datetime
    entry: str
    drag_kg: float
    position: str | None
    line: str | None


@dataclass(frozen=True, slots=True)
class Prey:
    """What the fish are eating, as seen."""

    at: datetime
    entry: str
    species: str | None
    size_in: float | None
    count: int | None
    text: str | None


@dataclass(frozen=True, slots=True)
class Trouble:
    """The boat or somebody aboard is in trouble."""

    at: datetime
    entry: str
    what: str | None
    crew: str
    place: tuple[float, float] | None
    """Latitude and longitude in degrees, where they were known."""
    is_over: bool = False


@dataclass(frozen=True, slots=True)
class InTray:
    """A lure that went into a tray, or a name that a tray was given."""

    at: datetime
    entry: str
    tray: str
    lure: str | None
    size_in: float | None
    colours: tuple[str, ...]
    head: str | None
    position: str | None
    text: str | None


@dataclass(frozen=True, slots=True)
class Trip:
    """All that is true of one trip after some entries."""

    id: str = ""
    started: datetime | None = None
    start_said: bool = False
    """False while the start only follows from a first call, such as a lure that was called ready."""
    ended: datetime | None = None
    first_at: datetime | None = None
    last_at: datetime | None = None
    made_first: str = ""
    """The entry that was made first, by its id; a late call may have happened before it."""
    entries: int = 0
    fishing_since: datetime | None = None
    """When the lines went in; None while they are out."""
    intervals: tuple[tuple[datetime, datetime | None], ...] = ()
    """Lines in to lines out."""
    spread: Mapping[str, InWater] = field(default_factory=dict)
    """What is laid out, by line; in the water while `is_fishing`, kept for `lines in` after that."""
    previous: Mapping[str, InWater] = field(default_factory=dict)
    """The last lure of each empty line, unless it was lost there."""
    stints: tuple[Stint, ...] = ()
    dips: tuple[InWater, ...] = ()
    """Lures that were in the water for less than a second, which leaves no stint."""
    fouled: tuple[FouledLine, ...] = ()
    """Spans in which lines towed weed."""
    fish: tuple[Fish, ...] = ()
    readings: tuple[Reading, ...] = ()
    sightings: tuple[Sighting, ...] = ()
    marks: tuple[Remark, ...] = ()
    notes: tuple[Remark, ...] = ()
    rigging: tuple[Rigging, ...] = ()
    turns: tuple[Turn, ...] = ()
    """Anglers taking rods, in order of time."""
    next_angler: str | None = None
    """Who takes the next fish, where somebody said."""
    rods: Mapping[str, str] = field(default_factory=dict)
    """By line: who took that rod before a fish was on it."""
    drags: tuple[DragReading, ...] = ()
    prey: tuple[Prey, ...] = ()
    trouble: tuple[Trouble, ...] = ()
    trays: tuple[InTray, ...] = ()
    lost: tuple[InWater, ...] = ()
    """Lures that went with a line that parted."""
    findings: tuple[Finding, ...] = ()
    fixes: tuple[PlaceFix, ...] = ()
    """Places of the boat by time, from the instruments or shared by somebody."""
    thermometer: tuple[tuple[datetime, float], ...] = ()
    """Temperature of the water in °C as the instruments measured it, by time."""

    @property
    def is_begun(self) -> bool:
        """Return whether somebody called its start, or lines have been in."""
        return self.start_said or bool(self.intervals)

    @property
    def is_open(self) -> bool:
        """Return whether it has begun and not ended."""
        return self.entries > 0 and self.ended is None

    @property
    def is_fishing(self) -> bool:
        """Return whether lines are in."""
        return self.fishing_since is not None

    @property
    def in_water(self) -> Mapping[str, InWater]:
        """Return what is in the water now, by line."""
        return self.spread if self.is_fishing else {}

    @property
    def open_trouble(self) -> tuple[Trouble, ...]:
        """Return the trouble that nobody has said is over, in order of time."""
        return tuple(one for one in self.trouble if not one.is_over)

    @property
    def fish_on(self) -> tuple[Fish, ...]:
        """Return the fish that are on now, first hooked first."""
        return tuple(f for f in self.fish if f.is_on)

    @property
    def speed_kn(self) -> float | None:
        """Return the speed as last called."""
        return next((r.speed_kn for r in reversed(self.readings) if r.speed_kn is not None), None)

    @property
    def water_c(self) -> float | None:
        """Return the temperature of the water as last called."""
        return next((r.water_c for r in reversed(self.readings) if r.water_c is not None), None)

    @property
    def depth_m(self) -> float | None:
        """Return the depth as last called."""
        return next((r.depth_m for r in reversed(self.readings) if r.depth_m is not None), None)
