"""The report of one trip as values: every number is worked out once, before any form is chosen.

Frozen and plain; `compose` makes it, `page` lays it out, `as_json` gives it to programs. Times are aware.
"""

from dataclasses import dataclass
from datetime import datetime

from bot.sky.light import Light
from bot.tackle.crew_units import METRIC, CrewUnits
from bot.trip.exposure import By


@dataclass(frozen=True, slots=True)
class Span:
    """The least and the most of something that was called."""

    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Day:
    """When and how long."""

    started: datetime | None
    ended: datetime | None
    """None where nobody said so."""
    until: datetime | None
    """Up to when hours are counted."""
    lines_in: datetime | None
    """First lines in."""
    lines_out: datetime | None
    """Last lines out; None while they are in."""
    fishing_h: float
    """Hours with lines in."""
    crew: tuple[str, ...]
    entries: int
    speed_kn: Span | None
    water_c: Span | None
    depth_m: Span | None
    units: CrewUnits = METRIC
    """In which water and depth are written."""


@dataclass(frozen=True, slots=True)
class RateRow:
    """Strikes and hours under one key, as in `deckcall tally --json`."""

    key: str
    strikes: int
    hookups: int
    caught: int
    hours: float
    rate_per_10h: float | None
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True)
class TallyTable:
    """The tally by one thing."""

    by: By
    rows: tuple[RateRow, ...]


@dataclass(frozen=True, slots=True)
class Share:
    """How many of how many, with the Wilson 95 % interval."""

    what: str
    successes: int
    trials: int
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True)
class Catch:
    """Fish boated or released at one time."""

    at: datetime
    species: str | None
    count: int
    kept: bool
    length_cm: float | None
    weight_kg: float | None
    tagged: bool
    tag: str | None
    where: str | None
    lure: str
    crew: str
    fought_min: float | None
    angler: str | None = None
    weight_unit: str | None = None
    """The unit in which it was weighed, as `trip.meant.SaidUnits` names it; None for kilograms."""
    length_unit: str | None = None


@dataclass(frozen=True, slots=True)
class SpeciesCatch:
    """Fish of one species."""

    species: str | None
    kept: int
    released: int
    tagged: int


@dataclass(frozen=True, slots=True)
class Encounter:
    """One encounter, from the raise or strike to its end."""

    at: datetime
    where: str | None
    lure: str
    species: str | None
    count: int
    fate: str
    """`rose only`, `kept`, `let go`, `on`, `not told`, or how it was lost: the label of the act."""
    fought_min: float | None
    light: Light | None = None
    """By the sun at the place of the bite, or where the boat usually is; None where neither is known."""


@dataclass(frozen=True, slots=True)
class Placement:
    """A lure on one line from when it was put there to when it was taken away."""

    line: str
    position: str
    lure: str
    start: datetime
    end: datetime | None
    """None where it was there at the end."""
    hours: float
    strikes: int


@dataclass(frozen=True, slots=True)
class AdviceOutcome:
    """A change that was proposed, and what became of it."""

    at: datetime
    """When it was first proposed."""
    times: int
    """How often in a row."""
    position: str
    lure: str
    reason: str
    """Empty where the log of the time before it was put right later, so that its figures do not hold."""
    chance: float
    """As said last."""
    made_at: datetime | None
    """When it was made; None where it was not."""
    instead: str | None
    """The other lure that was put there."""
    new: RateRow | None
    """What the new lure brought there."""
    old: RateRow | None
    """What the lure before it had brought there."""
    others: RateRow | None
    """What the other lines brought since."""
    again_at: datetime | None = None
    """When it was proposed again before it was made: then it counts for that time."""
    last_at: datetime | None = None
    """When it was said last, where it was said more than once; `reason` and `chance` are of that time."""


@dataclass(frozen=True, slots=True)
class Rig:
    """How a lure stands after the trip."""

    lure: str
    state: str
    reason: str


@dataclass(frozen=True, slots=True)
class TrayRow:
    """A tray as it was when the trip ended."""

    tray: str
    terms: str
    """For which tackle and speed it is; empty where nobody said."""
    lures: tuple[str, ...]
    spares: tuple[str, ...]
    not_ready: tuple[str, ...]
    """Lures that may not go out before they are looked over."""
    out_at: tuple[datetime, ...]
    """When it was put out on the trip."""
    hours: float
    """Lure-hours of what it put out."""
    strikes: int


@dataclass(frozen=True, slots=True)
class LogNote:
    """Something that was seen, marked or noted."""

    at: datetime
    kind: str
    """The label of its act, e.g. `seen`, `mark`, `note`."""
    text: str
    crew: str


@dataclass(frozen=True, slots=True)
class Spot:
    """A place of the trip; in a report only where positions were asked for."""

    at: datetime
    what: str
    latitude: float
    longitude: float
    number: int | None = None
    """Its number in the picture: fish and marks have one."""
    fish: bool = False


@dataclass(frozen=True, slots=True)
class Point:
    """A point of the track that the instruments made."""

    at: datetime
    latitude: float
    longitude: float


@dataclass(frozen=True, slots=True)
class Report:
    """One trip."""

    trip: str
    boat: str
    day: Day
    story: str
    total: RateRow
    raises: int
    lost: int
    catches: tuple[Catch, ...] = ()
    landed: tuple[SpeciesCatch, ...] = ()
    bites: tuple[Encounter, ...] = ()
    shares: tuple[Share, ...] = ()
    tallies: tuple[TallyTable, ...] = ()
    placements: tuple[Placement, ...] = ()
    outcomes: tuple[AdviceOutcome, ...] = ()
    rigs: tuple[Rig, ...] = ()
    trays: tuple[TrayRow, ...] = ()
    told: tuple[LogNote, ...] = ()
    with_positions: bool = False
    spots: tuple[Spot, ...] = ()
    distance_nm: float | None = None
    """Along the track, else along the spots: the boat went at least so far. None with fewer than two."""
    track: tuple[Point, ...] = ()
    """In a report only where positions were asked for, like the spots."""
    rules: tuple[str, ...] = ()
    """What the law of the place may say something about, for somebody to check."""
    cautions: tuple[str, ...] = ()
    gaps: tuple[str, ...] = ()
    """What the log leaves open."""
