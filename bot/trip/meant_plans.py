"""More of what the words of a call mean beyond its slots: of plans of a spread, and of trays.

Values like those of `meant`, which keeps them in the log. Pure values.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class AnotherPlan:
    """A wish for another plan than the one on offer."""

    without: tuple[str, ...] = ()
    """What is not to be in it: names of lures, colours, heads; empty where nothing was named."""


@dataclass(frozen=True, slots=True)
class ChangesPlan:
    """A lure and its line are for the plan on offer, where one is: "the green one on the shotgun instead"."""

    without: tuple[str, ...] = ()
    """What is not to be in it: names of lures, colours, heads."""
    lures: tuple[str, ...] = ()
    """Lures that are to be in it, where the line also says what is not."""
    lures_at: tuple[str, ...] = ()
    """The line of each, or an empty text."""
    alone: bool = False
    """True where all that it says is what is left out, and why."""


@dataclass(frozen=True, slots=True)
class LeavesOut:
    """What is not to be proposed or planned for the day: names of lures and outfits, colours, heads."""

    what: tuple[str, ...]
    back: bool = False
    """True where it may be proposed again."""
    of_it: bool = False
    """True where it was said of the advice or the spread, so that it can be no lure that is to stay out."""
    of_offer: bool = False
    """True where the words mean it only as an answer to a proposal: "not the hat"."""


@dataclass(frozen=True, slots=True)
class SetsPlan:
    """A plan on offer is to go out."""

    clock: str | None = None
    """`HH:MM` of the boat's own time at which it went out, where that was said."""
    of_an_offer: bool = False
    """True where the words mean it only while a plan is on offer: "set that spread"."""


@dataclass(frozen=True, slots=True)
class DropsPlan:
    """What was offered last is not wanted: "forget it" is no undo while a plan is on offer."""

    of_an_offer: bool = False
    """True where the words name the plan itself."""


@dataclass(frozen=True, slots=True)
class OfTray:
    """What is done with a tray beyond a lure that goes into it."""

    out: bool = False
    """True where the lure comes out of it."""
    in_its_place: bool = False
    """True where the lure goes in for one that comes out in the same breath."""
    moves: bool = False
    """True where the lure comes out of the tray in which it lay: it was not only put there."""
    emptied: bool = False
    """True where it is emptied, or given up."""
    spare: bool = False
    """True where the lure is a spare."""
    tackle: str | None = None
    """`light`, `medium` or `heavy`."""
    line_class_kg: float | None = None
    speed_kn: float | None = None
    all_of_it: bool = False
    """True where what was just planned, or what is out, goes into it."""
    like: str | None = None
    """The other tray whose lures it gets; empty where it was not said."""
    renames: bool = False
    """True where that other tray is then no more: this is its new name."""
    every: bool = False
    """True where all trays are meant."""


@dataclass(frozen=True, slots=True)
class MayAskChange:
    """A line that may ask the program, or somebody else aboard, whether anything is to be changed."""

    position: str | None = None
    slow: bool = False
    """True where it is about going out with slow runners."""


@dataclass(frozen=True, slots=True)
class AnyOne:
    """Any lure of the colours said is meant: "put a red one on the shotgun"."""


@dataclass(frozen=True, slots=True)
class OfSpare:
    """The lure that goes out is a spare of the tray that is out: "the spare on the long rigger"."""


@dataclass(frozen=True, slots=True)
class SpreadWish:
    """Wishes for a spread beyond the slots of its call."""

    to_do: str = ""
    """`run`: it goes out now; `filled`: it goes into a tray; else it is only to be shown."""
    of_a_tray: bool = False
    """True where what goes out was called a tray, and not only a spread."""
    slow: bool = False
    """True where the slow runners are meant."""
    without: tuple[str, ...] = ()
    """Lures to leave aboard: names of the box, colours or heads."""
    only: tuple[str, ...] = ()
    """Colours or heads that all lures must have."""
    keep: tuple[str, ...] = ()
    """Positions whose lures stay."""
    from_tray: str = ""
    """The tray that all lures must come from."""
    lures: tuple[str, ...] = ()
    """Lures of the box that must be in the spread."""
    lures_at: tuple[str, ...] = ()
    """For each of `lures` the position where it must run; empty where any will do."""
    sea: str = ""
    """`rough` or `calm`."""
    at: tuple[str, ...] = ()
    """The only positions to plan, where any were named."""
    not_at: tuple[str, ...] = ()
    """Positions that are to stay as they are and not planned."""
    tone: str = ""
    """`dark` or `bright`."""
    most_in: float | None = None
    least_in: float | None = None
    """Greatest and least length of the lures, in inches."""
    lines: int | None = None
    """Number of lines to set."""
    bitten: str = ""
    """Of which time what bit is wanted: a name of the table `span`; empty where that was not asked for."""
    spare_at: tuple[str, ...] = ()
    """Lines on which a spare of the tray goes out; an empty text where none is said."""
    also_for: tuple[str, ...] = ()
    """Fish that were named besides the one that it is for."""
    unused: tuple[str, ...] = ()
    """Words that were not understood."""
