"""What a message does to the log, as values: the resolved acts, the context and the decision.

`number` makes records of a decision. Pure.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, tzinfo

from bot.findings import Finding
from bot.stamps import NO_STAMP, FixAt, Stamp, nothing_measured
from bot.tackle.items import Lure
from bot.trip.call import Call
from bot.trip.corrections import Refusal, Undo
from bot.trip.entry import Entry, Place, Record, Restored, Voided
from bot.trip.fish import Fish
from bot.trip.measured import SharedPlace, place_event
from bot.trip.memory import Memory
from bot.trip.oddities import Oddity
from bot.trip.twice import Second


@dataclass(frozen=True, slots=True)
class ResolvedAct:
    """One act as it goes into the log."""

    call: Call
    """Without `ago_min` and `clock`, which are in `at`."""
    at: datetime
    inferred: tuple[str, ...] = ()
    replaces: str | None = None
    crew: str | None = None
    """Whose entry it stays, where it replaces one; None for the speaker."""
    text: str | None = None
    """The words, where they are not those of this message alone."""
    implied: bool = False
    """True for what nobody said: the start of a trip, an entry that follows from a correction."""
    adds: bool = False
    """True where it replaces an entry only to complete it: a weight, a tag."""
    first: str | None = None
    """Who logged it first, where somebody else has now called the same event."""
    place: Place | None = None
    """Where it happened, as known from the entry that it replaces."""
    stamp: Stamp = NO_STAMP
    """What was measured then, as known from the entry that it replaces."""
    moved: bool = False
    """True where it replaces an entry of another time, and so of another place."""


@dataclass(frozen=True, slots=True)
class Context:
    """What a decision needs to know besides the calls and the log."""

    said_at: datetime
    tz: tzinfo = UTC
    box: Sequence[Lure] = ()
    heard: str = ""
    """The whole text."""
    memory: Memory | None = None
    """Cache of the folded log."""
    instead: Undo | None = None
    """What an earlier version of this message did, to be undone first."""
    seconds: tuple[Second, ...] = ()
    """Events that are in the log already and were called again by somebody else."""
    told_apart: bool = False
    """True where the crew has said that a call is about a new fish."""
    speaker: str | None = None
    """Who said it, where that is known."""


@dataclass(frozen=True, slots=True)
class Unclear:
    """A call that may be about one of several fish or lures, or about a fish that was logged before."""

    place: int
    """Place of the call among the calls of the message."""
    call: Call
    fish: tuple[Fish, ...] = ()
    """The fish between which nothing decides; empty where it is a new fish or that of `entry`."""
    entry: Entry | None = None
    """The ending that it may correct."""
    lures: tuple[str, ...] = ()
    """Names of the lures aboard between which nothing decides."""


@dataclass(frozen=True, slots=True)
class Decision:
    """What the log shall hold, and what the crew should be told."""

    entries: tuple[ResolvedAct, ...] = ()
    voids: tuple[str, ...] = ()
    restores: tuple[str, ...] = ()
    asides: tuple[Call, ...] = ()
    """Questions, yes, no and help, in the order said; they change nothing in the log."""
    oddities: tuple[Oddity, ...] = ()
    refused: tuple[Refusal, ...] = ()
    new_trip: bool = False
    """True where the entries begin another trip."""
    known: tuple[Entry, ...] = ()
    """Entries that were said again, with nothing new."""
    doubts: tuple[Unclear, ...] = ()
    """Calls whose fish only the crew can tell; the decision is the best guess."""
    taken_back: tuple[str, ...] = ()
    """Entries that a later event shows to be wrong, whoever made them: a hook-up that never stuck."""

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Return the findings without the calls that would mend them."""
        return tuple(oddity.finding for oddity in self.oddities)

    @property
    def changes_log(self) -> bool:
        """Return whether there is anything to be kept."""
        return bool(self.entries or self.voids or self.restores)


@dataclass(frozen=True, slots=True)
class Numbering:
    """What every record of one message has in common, and the source of ids."""

    new_id: Callable[[], str]
    trip: str
    message: str
    crew: str
    source: str
    text: str
    said_at: datetime
    shared: SharedPlace | None = None
    """Where somebody aboard said that the boat was."""
    fix_at: FixAt = nothing_measured
    """What the instruments said at a time."""


def number(decision: Decision, about: Numbering) -> tuple[Record, ...]:
    """Return the records of a decision: the voided first, then the restored, then the entries."""
    records: list[Record] = []
    if decision.voids:
        records.append(Voided(about.new_id(), decision.voids, about.said_at, about.message))
    if decision.restores:
        records.append(Restored(about.new_id(), decision.restores, about.said_at, about.message))
    for one in decision.entries:
        place, stamp = one.place, one.stamp
        if place is None and stamp == NO_STAMP and not one.replaces:
            place, stamp = place_event(one.at, about.said_at, about.shared, about.fix_at(one.at))
        elif one.moved and (fix := about.fix_at(one.at)) is not None:
            place, stamp = place_event(one.at, about.said_at, None, fix)
        records.append(
            Entry(
                about.new_id(), about.trip, one.at, one.call, one.crew or about.crew,
                about.source, one.text or about.text, about.message, one.replaces, one.inferred,
                place[0] if place else None, place[1] if place else None, stamp,
            )
        )  # fmt: skip
    return tuple(records)
