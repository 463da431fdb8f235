"""More of what the words of a call mean beyond its slots: of which fish, in which unit, when and where.

Values like those of `meant`, which keeps them in the log. Pure values.
"""

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class ExactClock:
    """A time of day that was said with its half of the day, or on the 24-hour clock."""


@dataclass(frozen=True, slots=True)
class InUnit:
    """A correction of nothing but the unit of the measure that was said last; its number stays."""

    unit: str
    """A name of the tables of `units.PER`: `pound`, `kilo`, `foot` ..."""


@dataclass(frozen=True, slots=True)
class Bearing:
    """Where a thing is seen, by the face of a clock with the bow at twelve."""

    hour: int


@dataclass(frozen=True, slots=True)
class OneMore:
    """A bite or a catch beside one that was called before: another fish."""


@dataclass(frozen=True, slots=True)
class EachOfTwo:
    """It befell both fish: "missed em both"."""


@dataclass(frozen=True, slots=True)
class CameBack:
    """A fish that was there before: "he's back, same one"."""


@dataclass(frozen=True, slots=True)
class AfterAll:
    """The fish is on although it was called missed: "nah, he's on"."""


@dataclass(frozen=True, slots=True)
class OfSpeaker:
    """The fish of whoever says it: "mine is off"."""


@dataclass(frozen=True, slots=True)
class LinesAlone:
    """Nothing was said but lines: a bite there, or where those are that were called before."""


@dataclass(frozen=True, slots=True)
class MaybeAboard:
    """Lines that are "all in": in the water, or in the boat where they were just taken out for a fish."""


@dataclass(frozen=True, slots=True)
class OfBefore:
    """It is about a bite before the last call, whose line nobody had said."""


@dataclass(frozen=True, slots=True)
class SaidAs:
    """The word for the fish of an entry, which may mean something else as well."""

    word: str
    told: bool = False
    """True where the line tells by another word which is meant."""


@dataclass(frozen=True, slots=True)
class OfFish:
    """The fish that a correction names, beside what is right of it."""

    species: str | None = None
    angler: str | None = None
    clock: str | None = None
    """`HH:MM` of the boat's own time: of its bite or of its end."""
    position: str | None = None
    lure: str | None = None
    ended: str | None = None
    """A name of the table `about_end`: `let go`, `kept`, `lost`, `missed`."""
    tagged: bool = False
    order: str | None = None
    """`first`, `second`, `third`, `last` or `other`."""
    is_now: bool = False
    """True where it was said what the fish is, so that it may be one that is on."""
    is_wrong: bool = False
    """True where it is what the fish was called and is not: "that was not a shark"."""
    fish: str | None = None
    """The id of its first entry, where the crew chose it."""


ROD_KIND: Final = "fought"
"""Kind of what is about who had the rod of a fish that was on."""


@dataclass(frozen=True, slots=True)
class OfKind:
    """The kind of entry that a correction speaks of: "it was the long rigger that got hit"."""

    kind: str
    """A name of the table `of_kind` of grammar/meanings.toml, `bite` or `lay`; or `fought`."""


@dataclass(frozen=True, slots=True)
class OfSpoken:
    """The fish that was spoken of last is meant: "what did that fish have on"."""


@dataclass(frozen=True, slots=True)
class OfLure:
    """The lure whose entry is taken back: "nothing wrong with church hat"."""

    lure: str
    """Its name in the box."""


@dataclass(frozen=True, slots=True)
class FoundLure:
    """A lure that is not lost after all: "the church hat came back"."""

    lure: str
    """Its name in the box."""
    here: bool = False
    """True where it is in the boat, and not on its line."""


@dataclass(frozen=True, slots=True)
class PutsRight:
    """The words say that something in the log is wrong: "no, a wahoo"."""


@dataclass(frozen=True, slots=True)
class SidedKind:
    """The kind of line that is named with its side and without its name: "the port rigger"."""

    kind: str


@dataclass(frozen=True, slots=True)
class MaybeOver:
    """Lines that come out with words that may end the day as well: "lines out, that's us"."""
