"""What the advice knows: how long which lure was where, and what bit. Plain values.

The advice never sees the log or the tackle box; `from_trip` turns those into these values. A cell is
the smallest thing that counts: lure-hours of one kind of lure at one position in one hour of one day.
"""

from dataclasses import dataclass
from datetime import datetime

from bot.messages import Advice

WORDS_FOR_COLOURS = " and "


@dataclass(frozen=True, slots=True)
class Kind:
    """What a fish can see of a lure."""

    size_in: float | None = None
    colours: tuple[str, ...] = ()
    head: str | None = None
    name: str | None = None
    """Its name in the tackle box: two of one size and colour are not quite alike."""

    @property
    def label(self) -> str:
        """Return the words for it, e.g. `purple 8-inch`."""
        size = "" if self.size_in is None else f"{self.size_in:g}-inch"
        words = (WORDS_FOR_COLOURS.join(self.colours), size)
        return " ".join(word for word in words if word) or "lure"


def full_words(name: str | None, kind: Kind) -> str:
    """Return a name with what it is, e.g. `Church Hat (purple 8-inch)`; without a name only what it is."""
    if not name:
        return kind.label
    return f"{name} ({kind.label})" if kind.colours or kind.size_in is not None else name


@dataclass(frozen=True, slots=True)
class Exposure:
    """Lure-hours of one kind of lure at one position, and the strikes that they brought."""

    position: str
    kind: Kind
    hours: float
    """Lure-hours in the water, at least 0."""
    strikes: int
    lure: str | None = None
    """Name in the tackle box."""
    hour: int = 12
    """Hour of the day, boat's own time, 0 to 23."""
    age_days: float = 0.0
    """Days between that trip and now; 0 today."""
    raises: int = 0
    """Fish that came up without biting."""
    followers: int = 0
    """Strikes of these that came within minutes of another: of one pack, they tell less."""

    def __post_init__(self) -> None:
        if min(self.hours, self.strikes, self.age_days, self.raises, self.followers) < 0:
            raise ValueError(f"an exposure cannot be negative: {self}")


@dataclass(frozen=True, slots=True)
class InWater:
    """A lure that is fishing now."""

    position: str
    kind: Kind
    lure: str | None = None
    hours: float = 0.0
    """How long it has been fishing there."""
    strikes: int = 0
    """Strikes on it since it went out there."""
    busy: bool = False
    """True while a fish is on: nobody changes that lure."""
    struck_at: datetime | None = None
    """When it was last bitten."""
    raises: int = 0
    """Fish that came up behind it without biting since it went out there."""
    raised_at: datetime | None = None
    """When a fish last came up behind it."""

    @property
    def label(self) -> str:
        """Return the name, or the words for the kind."""
        return self.lure or self.kind.label

    @property
    def words(self) -> str:
        """Return the name with size and colour."""
        return full_words(self.lure, self.kind)


@dataclass(frozen=True, slots=True)
class Spare:
    """A lure that is ready to go out."""

    kind: Kind
    name: str | None = None

    @property
    def label(self) -> str:
        """Return the name, or the words for the kind."""
        return self.name or self.kind.label

    @property
    def words(self) -> str:
        """Return the name with size and colour."""
        return full_words(self.name, self.kind)


@dataclass(frozen=True, slots=True)
class LureChange:
    """A change that was made, or proposed."""

    position: str
    put_in: str
    """Label of the lure that came in."""
    taken_out: str
    """Label of the lure that went out."""
    at: datetime
    made: bool = True
    stands: bool = False
    """True for a proposal since which nothing happened that could change it."""
    reason: str = ""
    """What was said for a proposal."""
    anew: bool = False
    """True for a proposal since which something bit: it is weighed as if it had not been made."""


@dataclass(frozen=True, slots=True)
class Hold:
    """No change is worth making now."""

    reason: str
    """One sentence with its numbers."""
    minutes: float
    """Look again after so long, unless something bites; 0 where not time ends it."""
    until: str = ""
    """What ends it, where that is not a bite or the time: `a fish is no longer on`."""


@dataclass(frozen=True, slots=True)
class Wishes:
    """How a crew wants its advice."""

    min_chance: float = 0.6
    """A change is proposed only where it is better with at least this probability; higher is quieter."""
    changes_a_day: float = 8.0
    """Changes after which another has to promise much more."""
    usual_per_10h: float = 1.5
    """Strikes in ten lure-hours to be expected before any record: one in six or seven (our estimate)."""
    day_h: float = 8.0
    """Hours of fishing in a day, for how much of it is left (common practice, no source)."""


Verdict = Advice | Hold
