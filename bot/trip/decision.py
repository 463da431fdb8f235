"""What a message means for the log, as values: what was resolved, what it needs to know, what is decided.

`number` makes records of a decision. Pure.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, tzinfo

from bot.findings import Finding
from bot.stamps import NO_STAMP, FixAt, Stamp, nothing_measured
from bot.tackle.items import Lure
from bot.trip.call import Call
from bot.trip.corrections import Refused, Undo
from bot.trip.entry import Entry, Place, Record, Restored, Voided
from bot.trip.fish import Fish
from bot.trip.memory import Memory
from bot.trip.oddities import Oddity
from bot.trip.placing import Shared, placed
from bot.trip.twice import Second


@dataclass(frozen=True, slots=True)
class Resolved:
    """One act as it goes into the log."""

    call: Call
    """Without `ago_min` and `clock`, which are in `at`."""
    at: datetime
    inferred: tuple[str, ...] = ()
    replaces: str | None = None
    crew: str | None = None
    """Whose entry it stays, where it replaces one; None: who said it."""
    text: str | None = None
    """The words, where they are not those of this message alone."""
    implied: bool = False
    """True for what nobody said: the start of a trip, an entry that follows a correction."""
    adds: bool = False
    """True where it stands for an entry that it only completes: a weight, a tag."""
    first: str | None = None
    """Who had logged it, where it is the same event called by one more."""
    place: Place | None = None
    """Where it happened, where it stands for an entry that knew."""
    stamp: Stamp = NO_STAMP
    """What was measured then, likewise."""
    moved: bool = False
    """True where it stands for an entry of another time: it happened elsewhere."""


@dataclass(frozen=True, slots=True)
class Context:
    """What a decision needs to know besides the calls and the log."""

    said_at: datetime
    tz: tzinfo = UTC
    box: Sequence[Lure] = ()
    heard: str = ""
    """The whole text."""
    memory: Memory | None = None
    """Where the same log was looked at before, so that it need not be folded again."""
    instead: Undo | None = None
    """What an earlier version of this message did, which is taken back first."""
    seconds: tuple[Second, ...] = ()
    """Events that are in the log already and were called again by somebody else."""
    told_apart: bool = False
    """True where the crew was asked: a call is about no fish that was told before."""


@dataclass(frozen=True, slots=True)
class Unclear:
    """A call that may be about one of several fish or lures, or about a fish that was logged before."""

    place: int
    """Place of the call among the calls of the message."""
    call: Call
    fish: tuple[Fish, ...] = ()
    """Between which nothing decides; empty where it is another fish or the one of `entry`."""
    entry: Entry | None = None
    """The ending that it may tell otherwise."""
    lures: tuple[str, ...] = ()
    """Names of the lures aboard between which nothing decides."""


@dataclass(frozen=True, slots=True)
class Decision:
    """What the log shall hold, and what the crew should be told."""

    entries: tuple[Resolved, ...] = ()
    voids: tuple[str, ...] = ()
    restores: tuple[str, ...] = ()
    asides: tuple[Call, ...] = ()
    """Questions, yes, no and help, in the order said: nothing of the log."""
    oddities: tuple[Oddity, ...] = ()
    refused: tuple[Refused, ...] = ()
    new_trip: bool = False
    """True where the entries begin another trip."""
    known: tuple[Entry, ...] = ()
    """Entries that were said again, with nothing new."""
    doubts: tuple[Unclear, ...] = ()
    """Calls of which only the crew can tell which fish they mean; the decision is the best guess."""

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Return the findings without what would mend them."""
        return tuple(oddity.finding for oddity in self.oddities)

    @property
    def changes_log(self) -> bool:
        """Return whether there is anything to be kept."""
        return bool(self.entries or self.voids or self.restores)


@dataclass(frozen=True, slots=True)
class Numbering:
    """What every record of one message carries, and where ids come from."""

    new_id: Callable[[], str]
    trip: str
    message: str
    crew: str
    source: str
    text: str
    said_at: datetime
    shared: Shared | None = None
    """Where somebody aboard said that the boat was."""
    fix_at: FixAt = nothing_measured
    """What the instruments said at a time."""


def number(decision: Decision, about: Numbering) -> tuple[Record, ...]:
    """Make records of a decision: what is void first, then what stands again, then the entries."""
    records: list[Record] = []
    if decision.voids:
        records.append(Voided(about.new_id(), decision.voids, about.said_at, about.message))
    if decision.restores:
        records.append(Restored(about.new_id(), decision.restores, about.said_at, about.message))
    for one in decision.entries:
        place, stamp = one.place, one.stamp
        if place is None and stamp == NO_STAMP and not one.replaces:
            place, stamp = placed(one.at, about.said_at, about.shared, about.fix_at(one.at))
        elif one.moved and (fix := about.fix_at(one.at)) is not None:
            place, stamp = placed(one.at, about.said_at, None, fix)
        records.append(
            Entry(
                about.new_id(), about.trip, one.at, one.call, one.crew or about.crew,
                about.source, one.text or about.text, about.message, one.replaces, one.inferred,
                place[0] if place else None, place[1] if place else None, stamp,
            )
        )  # fmt: skip
    return tuple(records)
