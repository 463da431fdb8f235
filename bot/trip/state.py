"""What is true of a trip: frozen values that `fold` makes from its entries.

Values and what follows from a single one of them; no rules about calls, no clock, no words for the
crew. Times are aware and in UTC. Everybody may read these.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Final, Literal

from bot.findings import Finding
from bot.trip.lures import label
from bot.trip.whereabouts import Fix

CAUGHT: Final = frozenset({"boat", "release"})
LOST: Final = frozenset({"pulled_hook", "break_off"})
ENDS: Final = CAUGHT | LOST | {"miss"}

EndAct = Literal["miss", "pulled_hook", "break_off", "boat", "release"]


@dataclass(frozen=True, slots=True)
class InWater:
    """A lure that is laid out on a line: in the water while lines are in."""

    position: str
    lure: str | None
    size_in: float | None
    colours: tuple[str, ...]
    head: str | None
    since: datetime
    """When it last went in: set, or lines in after that."""
    side: str | None = None
    line: str = ""
    """Its key in the spread: the position, or `starboard long rigger` where both sides have one."""
    set_at: datetime | None = None
    """When this lure was put on this line."""
    entry: str = ""
    """The entry that put it there."""

    @property
    def label(self) -> str:
        """Give the name, or the words for it."""
        return label(self)


@dataclass(frozen=True, slots=True)
class Stint:
    """A lure fishing on one line without a break: lines in, not cleared, no fish on it."""

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
        """Give the name of the lure, or the words for it."""
        return label(self)


@dataclass(frozen=True, slots=True)
class End:
    """How one fish, or several at once, of an encounter ended."""

    at: datetime
    act: EndAct
    entry: str
    crew: str
    count: int = 1
    species: str | None = None
    length_cm: float | None = None
    weight_kg: float | None = None
    tagged: bool = False
    tag: str | None = None


@dataclass(frozen=True, slots=True)
class Fish:
    """One encounter: from the raise or strike to the end of the last fish of it."""

    id: str
    """Its first entry."""
    entries: tuple[str, ...]
    first_at: datetime
    position: str | None = None
    line: str | None = None
    """The key in the spread of the line that it took."""
    side: str | None = None
    species: str | None = None
    count: int = 1
    """Fish in it: 2 for a double hook-up called without two strikes."""
    raised_at: datetime | None = None
    struck_at: datetime | None = None
    hooked_at: datetime | None = None
    lure: str | None = None
    size_in: float | None = None
    colours: tuple[str, ...] = ()
    head: str | None = None
    raise_crew: str | None = None
    strike_crew: str | None = None
    hookup_crew: str | None = None
    ends: tuple[End, ...] = ()
    closed_at: datetime | None = None
    """When it was over without a word of how: another bite on that line, or the end of the trip."""

    @property
    def label(self) -> str:
        """Give the name of the lure that it took, or the words for it."""
        return label(self)

    @property
    def end(self) -> EndAct | None:
        """Give how it ended, the last of several; None while nobody said."""
        return self.ends[-1].act if self.ends else None

    @property
    def ended_at(self) -> datetime | None:
        """Give when the last fish of it was landed, let go, lost or missed; None while it is on."""
        return self.ends[-1].at if self.ends and self.is_over else self.closed_at

    @property
    def length_cm(self) -> float | None:
        """Give the length, of the last fish measured."""
        return next((e.length_cm for e in reversed(self.ends) if e.length_cm is not None), None)

    @property
    def weight_kg(self) -> float | None:
        """Give the weight, of the last fish weighed."""
        return next((e.weight_kg for e in reversed(self.ends) if e.weight_kg is not None), None)

    @property
    def tagged(self) -> bool:
        """Say whether one of them was tagged."""
        return any(e.tagged for e in self.ends)

    @property
    def tag(self) -> str | None:
        """Give the number of the tag, the last of several."""
        return next((e.tag for e in reversed(self.ends) if e.tag), None)

    @property
    def caught(self) -> int:
        """Count the fish of it that were boated or released."""
        return sum(e.count for e in self.ends if e.act in CAUGHT)

    @property
    def was_on(self) -> bool:
        """Say whether it was ever on: hooked up, or ended as only a hooked fish can."""
        return self.hooked_at is not None or any(e.act != "miss" for e in self.ends)

    @property
    def was_struck(self) -> bool:
        """Say whether there was a bite, called or implied by what came after."""
        return self.struck_at is not None or self.hooked_at is not None or bool(self.ends)

    @property
    def is_over(self) -> bool:
        """Say whether nothing of it is left to end."""
        if self.closed_at is not None or any(e.act == "miss" for e in self.ends):
            return True
        return bool(self.ends) and sum(e.count for e in self.ends) >= self.count

    @property
    def is_on(self) -> bool:
        """Say whether a fish of it is on now."""
        return self.was_on and not self.is_over

    @property
    def bite_at(self) -> datetime | None:
        """Give the time that counts as the time of the strike; None where it only rose."""
        if self.struck_at is not None or self.hooked_at is not None:
            return self.struck_at or self.hooked_at
        return self.ends[0].at if self.ends else None

    @property
    def bite_crew(self) -> str | None:
        """Give who called the strike, or the first thing that implies it."""
        first_end = self.ends[0].crew if self.ends else None
        return self.strike_crew or self.hookup_crew or first_end

    @property
    def off_water(self) -> tuple[datetime, datetime | None] | None:
        """Give from when to when its line did not fish; None for a fish that was never on."""
        start = self.struck_at or self.hooked_at
        return (start, self.ended_at) if self.was_on and start is not None else None


@dataclass(frozen=True, slots=True)
class Fouled:
    """A line that tows weed: its lure is in the water and does not fish."""

    line: str
    start: datetime
    end: datetime | None = None
    """When it was brought in or changed; None while nobody has."""


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
    """A note, or a spot to be remembered."""

    at: datetime
    entry: str
    text: str
    crew: str


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

    @property
    def label(self) -> str:
        """Give the name of the lure, or the words for it."""
        return label(self)


@dataclass(frozen=True, slots=True)
class Trip:
    """All that is true of one trip after some entries."""

    id: str = ""
    started: datetime | None = None
    start_said: bool = False
    """False while it only follows from a first call, such as a lure that was called ready."""
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
    """What was last on a line that is empty now, unless it was lost there."""
    stints: tuple[Stint, ...] = ()
    dips: tuple[InWater, ...] = ()
    """Lures that were in the water for less than a second, which leaves no stint."""
    fouled: tuple[Fouled, ...] = ()
    """When which line towed weed."""
    fish: tuple[Fish, ...] = ()
    readings: tuple[Reading, ...] = ()
    sightings: tuple[Sighting, ...] = ()
    marks: tuple[Remark, ...] = ()
    notes: tuple[Remark, ...] = ()
    rigging: tuple[Rigging, ...] = ()
    lost: tuple[InWater, ...] = ()
    """Lures that went with a line that parted."""
    findings: tuple[Finding, ...] = ()
    fixes: tuple[Fix, ...] = ()
    """Where the boat was, by time, as far as somebody shared it or the instruments had it."""
    thermometer: tuple[tuple[datetime, float], ...] = ()
    """Temperature of the water in °C as the instruments measured it, by time."""

    @property
    def is_begun(self) -> bool:
        """Say whether somebody called its start, or lines have been in."""
        return self.start_said or bool(self.intervals)

    @property
    def is_open(self) -> bool:
        """Say whether it has begun and not ended."""
        return self.entries > 0 and self.ended is None

    @property
    def is_fishing(self) -> bool:
        """Say whether lines are in."""
        return self.fishing_since is not None

    @property
    def in_water(self) -> Mapping[str, InWater]:
        """Give what is in the water now, by line."""
        return self.spread if self.is_fishing else {}

    @property
    def fish_on(self) -> tuple[Fish, ...]:
        """Give the fish that are on now, first hooked first."""
        return tuple(f for f in self.fish if f.is_on)

    @property
    def speed_kn(self) -> float | None:
        """Give the speed as last called."""
        return next((r.speed_kn for r in reversed(self.readings) if r.speed_kn is not None), None)

    @property
    def water_c(self) -> float | None:
        """Give the temperature of the water as last called."""
        return next((r.water_c for r in reversed(self.readings) if r.water_c is not None), None)

    @property
    def depth_m(self) -> float | None:
        """Give the depth as last called."""
        return next((r.depth_m for r in reversed(self.readings) if r.depth_m is not None), None)
