"""What the words of a call mean beyond its slots, as values: when to remind, which lines tow weed.

Only `bot.calls` makes them, out of the words; the log keeps them beside the words, and everybody else
looks at them and never at what was said. Every field is a text, a number, a truth or a tuple of texts,
so that `as_plain` and `from_plain` are all there is to keeping them. Pure values.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, fields
from typing import Any, Final, TypeVar, get_origin

from bot.trip.meant_of import (
    ROD_KIND as ROD_KIND,
    AfterAll as AfterAll,
    Bearing as Bearing,
    CameBack as CameBack,
    EachOfTwo as EachOfTwo,
    ExactClock as ExactClock,
    FoundLure as FoundLure,
    InUnit as InUnit,
    LinesAlone as LinesAlone,
    MaybeAboard as MaybeAboard,
    MaybeOver as MaybeOver,
    OfBefore as OfBefore,
    OfFish as OfFish,
    OfKind as OfKind,
    OfLure as OfLure,
    OfSpeaker as OfSpeaker,
    OfSpoken as OfSpoken,
    OneMore as OneMore,
    PutsRight as PutsRight,
    SaidAs as SaidAs,
    SidedKind as SidedKind,
)
from bot.trip.meant_plans import (
    AnotherPlan as AnotherPlan,
    AnyOne as AnyOne,
    ChangesPlan as ChangesPlan,
    DropsPlan as DropsPlan,
    LeavesOut as LeavesOut,
    MayAskChange as MayAskChange,
    OfSpare as OfSpare,
    OfTray as OfTray,
    SetsPlan as SetsPlan,
    SpreadWish as SpreadWish,
)


@dataclass(frozen=True, slots=True)
class Reminder:
    """A request for a reminder; without a time where nobody said one."""

    about: str
    after_min: float | None = None
    """Minutes after it was said."""
    every_min: float | None = None
    clock: str | None = None
    """`HH:MM` of the boat's own time, at its next occurrence."""
    position: str | None = None
    """With `out_min`: the line whose lure is meant."""
    side: str | None = None
    """`port` or `starboard` of that line, where it was said."""
    out_min: float | None = None
    """Minutes in the water of the lure on `position`, or of `lure`, after which to remind."""
    lure: str | None = None
    """With `out_min`: the lure of the box that is meant, on whatever line."""
    is_exact: bool = False
    """True where `clock` can be no other half of the day: "5 am", "noon"."""
    tomorrow: bool = False
    """True for the next day; it is said after the end of the trip too."""
    sunset: bool = False
    fishing: bool = False
    """With `every_min`: True for what is looked after while lines are in only: weed, lures."""


@dataclass(frozen=True, slots=True)
class AsksAbout:
    """What a question is about beyond its slots: a name of the table `about` of grammar/meanings.toml."""

    what: str
    of_all_trips: bool = False


@dataclass(frozen=True, slots=True)
class CancelsReminder:
    """An undo whose words may be about a reminder."""

    about: str = ""
    """What it reminds of, in the words said; empty where nobody said."""
    is_named: bool = False
    """True where the word reminder was said, so that nothing else can be meant."""
    everything: bool = False
    """True where all are meant that remind of it."""

    def is_of(self, kept: Reminder) -> bool:
        """Return whether all words that were said are among those of a reminder, in one or in many."""
        return _stems(self.about) <= _stems(kept.about)


@dataclass(frozen=True, slots=True)
class OnWave:
    """A distance behind the boat that the crew told, and the wave on whose face it is."""

    back_m: float
    wave: int
    positions: tuple[str, ...] = ()
    """The positions that it is for."""


@dataclass(frozen=True, slots=True)
class Weedy:
    """Lines that tow weed."""

    positions: tuple[str, ...] = ()
    kinds: tuple[str, ...] = ()
    """Last words of positions, each meaning all of them: `rigger`, `corner`."""
    everywhere: bool = False


@dataclass(frozen=True, slots=True)
class FromOtherLine:
    """The lure that goes out comes off another line."""


@dataclass(frozen=True, slots=True)
class NotBiting:
    """The fish that are seen will not bite, as was said."""


@dataclass(frozen=True, slots=True)
class Concerns:
    """Tackle that a note, or work to be done, speaks of: `leader`, `hooks`, `drag`, `casting outfit`."""

    topics: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LostLure:
    """The lure is lost and will not come back for work."""


@dataclass(frozen=True, slots=True)
class Asks:
    """What a question or a "yes" also asks for: names of the table `asks` of grammar/meanings.toml."""

    what: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TallyQuestion:
    """What a tally is asked for beyond the slots of its call."""

    keys: tuple[str, ...] = ()
    """What it is counted by, in the order said: `colour`, `position`, `hour` ..."""
    span: str = ""
    """Which trips: a name of the table `span`; empty where none were named."""
    month: str | None = None
    """Its English name."""
    lights: tuple[str, ...] = ()
    water_c: float | None = None


@dataclass(frozen=True, slots=True)
class TackleQuestion:
    """A question about tackle that is no call, and what it names."""

    kinds: tuple[str, ...]
    """What may be asked, likeliest first: `spooled`, `lengths`, `hooks`, `heavy hooks`, `back`, `fits`."""
    position: str | None = None
    lure: str | None = None
    """A name of the tackle box."""
    colours: tuple[str, ...] = ()
    size_in: float | None = None
    class_kg: float | None = None
    metres: float | None = None
    wave: int | None = None
    speed_kn: float | None = None


@dataclass(frozen=True, slots=True)
class Choice:
    """One of the readings that were offered, counted from 1."""

    number: int


@dataclass(frozen=True, slots=True)
class NamesReading:
    """A few words that may name one of the readings that were offered, and nothing else."""

    words: str
    """Lower case, without punctuation."""
    position: str | None = None
    """Where the words are a position."""
    species: str | None = None


@dataclass(frozen=True, slots=True)
class OfThese:
    """Which of several alike is meant, counted from 1 in the order of time: "the second sailfish"."""

    number: int


@dataclass(frozen=True, slots=True)
class OfYesterday:
    """The trip of the day before is meant."""


@dataclass(frozen=True, slots=True)
class NothingOn:
    """No fish is on, as was said."""

    just_now: bool = False
    """True where it can only be of a fish that was called on just now: at any other time it is talk."""


@dataclass(frozen=True, slots=True)
class OutSince:
    """A line whose lure has been in the water since a time, as was said."""

    position: str
    """Empty where the lure is named instead."""
    clock: str
    """`HH:MM` of the boat's own time."""
    lure: str = ""


BARE: Final = "bare"


@dataclass(frozen=True, slots=True)
class SaidUnits:
    """The units in which the measures of a call were said; None for a metric unit or none.

    A unit is a name of the table `unit` of grammar/meanings.toml: `pound`, `inch`, `foot`, `fathom`; of the
    water `fahrenheit`. `BARE` is a number alone: in a correction it counts in the unit of what it corrects,
    and the weight of a fish in the unit in which weights were said on the trip.
    """

    weight: str | None = None
    length: str | None = None
    depth: str | None = None
    drag: str | None = None
    sea: str | None = None
    water: str | None = None


@dataclass(frozen=True, slots=True)
class ToldLate:
    """A bite that was told of well after it happened."""

    after_min: float
    """Minutes from when it happened to when it was said."""


@dataclass(frozen=True, slots=True)
class Cares:
    """Something is spoken of by which a hand may come to harm, or a fish against the law."""

    topic: str
    """A name of the table `care` of grammar/meanings.toml."""
    asked: bool = False
    """True where it is asked about, and not just said."""


@dataclass(frozen=True, slots=True)
class TroubleOver:
    """The trouble of an entry is over: somebody is back aboard, a fire is out."""


Meaning = (
    Reminder | AsksAbout | CancelsReminder | OnWave | Weedy | FromOtherLine | Concerns | LostLure
    | NotBiting | Asks | TallyQuestion | TackleQuestion | Choice | NamesReading | AnotherPlan | OfTray
    | SpreadWish | SaidUnits | ToldLate | ExactClock | InUnit | Bearing | OneMore | EachOfTwo | MaybeAboard
    | OfBefore | SaidAs | NothingOn | OutSince | OfThese | OfYesterday | OfFish | OfKind | SidedKind
    | MaybeOver | CameBack | OfLure | FoundLure | OfSpoken | PutsRight | SetsPlan | ChangesPlan
    | DropsPlan | LeavesOut | OfSpare | MayAskChange | AnyOne | TroubleOver | Cares | AfterAll
    | OfSpeaker | LinesAlone
)  # fmt: skip

_KINDS: Final[Mapping[str, type[Meaning]]] = {
    "reminder": Reminder, "asks_about": AsksAbout, "cancels_reminder": CancelsReminder,
    "on_wave": OnWave, "weedy": Weedy, "moved": FromOtherLine, "concerns": Concerns, "lost_lure": LostLure,
    "not_biting": NotBiting, "asks": Asks, "tally": TallyQuestion, "tackle": TackleQuestion, "choice": Choice,
    "named": NamesReading, "another_plan": AnotherPlan, "of_tray": OfTray, "spread_wish": SpreadWish,
    "measured": SaidUnits, "told_late": ToldLate, "exact_clock": ExactClock, "in_unit": InUnit,
    "bearing": Bearing, "one_more": OneMore, "each_of_two": EachOfTwo, "came_back": CameBack,
    "maybe_aboard": MaybeAboard, "of_before": OfBefore, "said_as": SaidAs,
    "nothing_on": NothingOn, "out_since": OutSince, "of_these": OfThese, "of_yesterday": OfYesterday,
    "of_fish": OfFish, "of_kind": OfKind, "of_lure": OfLure, "found_lure": FoundLure, "of_spoken": OfSpoken,
    "puts_right": PutsRight,
    "sets_plan": SetsPlan, "changes_plan": ChangesPlan, "sided_kind": SidedKind,
    "maybe_over": MaybeOver, "drops_plan": DropsPlan, "leaves_out": LeavesOut,
    "of_spare": OfSpare, "may_ask_change": MayAskChange, "any_one": AnyOne,
    "trouble_over": TroubleOver, "cares": Cares, "after_all": AfterAll,
    "of_speaker": OfSpeaker, "lines_alone": LinesAlone,
}  # fmt: skip
"""The names under which the log keeps them; a name never changes."""
_NAMES: Final = {kind: name for name, kind in _KINDS.items()}


def _stems(words: str) -> set[str]:
    return {word.removesuffix("s") for word in words.casefold().split()}


M = TypeVar("M", bound=Meaning)


def meaning(meant: Iterable[Meaning], kind: type[M]) -> M | None:
    """Return the meaning of a kind, or None where there is none."""
    return next((one for one in meant if isinstance(one, kind)), None)


def as_plain(meant: Iterable[Meaning]) -> list[dict[str, Any]]:
    """Return meanings as plain values for the log, without fields that say nothing."""
    return [{"kind": _NAMES[type(one)]} | _said(one) for one in meant]


def from_plain(held: Iterable[Mapping[str, Any]]) -> tuple[Meaning, ...]:
    """Read meanings back; leave out kinds that only a newer program knows.

    Raises TypeError for a field that its kind does not have.
    """
    return tuple(_made(one) for one in held if one["kind"] in _KINDS)


def _said(one: Meaning) -> dict[str, Any]:
    values = ((field.name, getattr(one, field.name)) for field in fields(one))
    return {
        name: list(value) if isinstance(value, tuple) else value
        for name, value in values
        if value is not None and value is not False and value != ()
    }


def _made(held: Mapping[str, Any]) -> Meaning:
    values: dict[str, Any] = {
        name: tuple(value) if isinstance(value, list) else value
        for name, value in held.items()
        if name != "kind"
    }
    kind: Callable[..., Meaning] = _KINDS[held["kind"]]
    return kind(**values)


def wrong_field(one: Meaning) -> str | None:
    """Return the name of a field whose value is of another type than it should be, or None."""
    names = (f.name for f in fields(one) if not _fits(getattr(one, f.name), f.type))
    return next(names, None)


def _fits(value: object, kind: Any) -> bool:
    if get_origin(kind) is tuple:
        return isinstance(value, tuple) and all(isinstance(part, str) for part in value)
    if isinstance(value, bool):
        return kind is bool
    whole = isinstance(value, int) and isinstance(float(value), kind)
    return whole or isinstance(value, kind)
