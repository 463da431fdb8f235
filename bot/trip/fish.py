"""One fish of the log, from the raise or strike to its end: frozen values.

Values and what follows from a single fish; which entry is about which fish is decided in `encounters`.
Everybody may read these.
"""

from dataclasses import dataclass
from datetime import datetime

from bot.trip.acts import CAUGHT, MISSED, Act
from bot.trip.call import NO_CATCH
from bot.trip.lures import label


@dataclass(frozen=True, slots=True)
class End:
    """How one fish, or several at once, of an encounter ended."""

    at: datetime
    act: Act
    entry: str
    crew: str
    count: int = 1
    species: str | None = None
    length_cm: float | None = None
    weight_kg: float | None = None
    tagged: bool = False
    tag: str | None = None
    angler: str | None = None
    weight_unit: str | None = None
    """The unit in which it was weighed, as `trip.meant.SaidUnits` names it; None for kilograms."""
    length_unit: str | None = None


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
    leader_at: datetime | None = None
    """When the leader was first touched; the fish goes on."""
    lure: str | None = None
    size_in: float | None = None
    colours: tuple[str, ...] = ()
    head: str | None = None
    angler: str | None = None
    """Who is, or was last, on its rod."""
    raise_crew: str | None = None
    strike_crew: str | None = None
    hookup_crew: str | None = None
    ends: tuple[End, ...] = ()
    closed_at: datetime | None = None
    """When it was over without an ending said: at another bite on its line, or the end of the trip."""

    @property
    def label(self) -> str:
        """Return the name of the lure that it took, or the words for it."""
        return label(self)

    @property
    def end(self) -> Act | None:
        """Return its ending, the last of several; None where nobody said."""
        return self.ends[-1].act if self.ends else None

    @property
    def ended_at(self) -> datetime | None:
        """Return when its last fish was landed, let go, lost or missed; None while one is on."""
        return self.ends[-1].at if self.ends and self.is_over else self.closed_at

    @property
    def length_cm(self) -> float | None:
        """Return the length, of the last fish measured."""
        return next((e.length_cm for e in reversed(self.ends) if e.length_cm is not None), None)

    @property
    def weight_kg(self) -> float | None:
        """Return the weight, of the last fish weighed."""
        return next((e.weight_kg for e in reversed(self.ends) if e.weight_kg is not None), None)

    @property
    def tagged(self) -> bool:
        """Return whether one of them was tagged."""
        return any(e.tagged for e in self.ends)

    @property
    def tag(self) -> str | None:
        """Return the number of the tag, the last of several."""
        return next((e.tag for e in reversed(self.ends) if e.tag), None)

    @property
    def is_catch(self) -> bool:
        """Return whether it counts as a fish: an animal that is protected never does."""
        return self.species not in NO_CATCH

    @property
    def caught(self) -> int:
        """Count the fish of it that were boated or released."""
        return sum(e.count for e in self.ends if e.act in CAUGHT)

    @property
    def was_on(self) -> bool:
        """Return whether it was ever on: hooked up and not missed, or ended as only a hooked fish can."""
        ended = [e.act not in MISSED for e in self.ends]
        hooked = self.hooked_at is not None and (any(ended) or not ended)
        return hooked or self.leader_at is not None or any(ended)

    @property
    def was_struck(self) -> bool:
        """Return whether there was a bite, called or implied by what came after."""
        return self.bite_at is not None

    @property
    def is_strike(self) -> bool:
        """Return whether it counts as a strike: a bite of a fish that counts."""
        return self.was_struck and self.is_catch

    @property
    def left(self) -> int:
        """Count the fish of it whose end nobody has said."""
        return self.count - sum(e.count for e in self.ends)

    @property
    def is_over(self) -> bool:
        """Return whether nothing of it is left to end."""
        if self.closed_at is not None or any(e.act in MISSED for e in self.ends):
            return True
        return bool(self.ends) and self.left <= 0

    @property
    def is_on(self) -> bool:
        """Return whether a fish of it is on now."""
        return self.was_on and not self.is_over

    @property
    def bite_at(self) -> datetime | None:
        """Return the time that counts as the time of the strike; None where it only rose."""
        stage = self.struck_at or self.hooked_at or self.leader_at
        return stage or (self.ends[0].at if self.ends else None)

    @property
    def bite_crew(self) -> str | None:
        """Return who called the strike, or the first thing that implies it."""
        first_end = self.ends[0].crew if self.ends else None
        return self.strike_crew or self.hookup_crew or first_end

    @property
    def off_water(self) -> tuple[datetime, datetime | None] | None:
        """Return the span in which its line did not fish; None for a fish that was on for no time."""
        start = self.struck_at or self.hooked_at or self.leader_at
        ended = self.ended_at
        if not self.was_on or start is None or (ended is not None and ended <= start):
            return None
        return start, ended
