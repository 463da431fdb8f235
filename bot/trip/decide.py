"""What was said, and the log so far, to what the log shall hold. Pure.

`decide` takes all calls of one message in the order said, each on top of the one before. It never
refuses what happened: odd calls are logged as said, with an oddity. Only an undo or an amend that
can mean nothing is refused. `number` makes records of a decision.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta, tzinfo
from typing import Final

from bot.findings import Finding
from bot.stamps import NO_STAMP, FixAt, Stamp, nothing_measured
from bot.tackle.items import Lure
from bot.trip.acts import CONTROL, FISH_ACTS, QUESTIONS, TABLE
from bot.trip.call import Call
from bot.trip.conditions import FORGOTTEN_AFTER
from bot.trip.corrections import Refused, Undo, amend_target, amended, undo_target
from bot.trip.edits import pairs
from bot.trip.entry import NOT_SAID, Entry, Place, Record, Restored, Voided
from bot.trip.fill import Filled, fill
from bot.trip.memory import Memory, Now
from bot.trip.oddities import Oddity, oddities
from bot.trip.placing import Shared, placed
from bot.trip.state import Trip
from bot.trip.times import when
from bot.trip.twice import Second

START_AGAIN: Final = timedelta(hours=6)
"""After so long without a word "trip start" begins another trip, though nobody ended the last."""
AFTERWARDS: Final = timedelta(hours=12)
"""For so long after its end a trip takes notes, lures to rework and the like."""

_DRAFT: Final = "~"
"""Begins the ids of entries that are not numbered yet; sorts after every real id."""


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

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Give the findings without what would mend them."""
        return tuple(oddity.finding for oddity in self.oddities)

    @property
    def changes_log(self) -> bool:
        """Say whether there is anything to be kept."""
        return bool(self.entries or self.voids or self.restores)


@dataclass(slots=True)
class _Progress:
    """The log as it would be after the calls so far, and what has been decided."""

    context: Context
    records: list[Record]
    now: Now
    """What stands after `records`."""
    drafts: dict[str, Resolved] = field(default_factory=dict)
    voids: list[str] = field(default_factory=list)
    restores: list[str] = field(default_factory=list)
    asides: list[Call] = field(default_factory=list)
    oddities: list[Oddity] = field(default_factory=list)
    refused: list[Refused] = field(default_factory=list)
    new_trip: bool = False
    undone_at: datetime | None = None
    """When that happened which this message took back: "undo that, it was a strike on ...\""""
    made: int = 0
    edits: bool = False
    """True where the message stands for an earlier version of itself."""
    places: list[Entry | None] = field(default_factory=list)
    """For each call of such a message, in order, the entry in whose place it stands."""


def decide(calls: Sequence[Call], records: Sequence[Record], context: Context) -> Decision:
    """Decide what the calls of one message mean; `records` are those of the latest trip, as made."""
    now = context.memory.now(records).copy() if context.memory else Now.after(records)
    so_far = _Progress(context, list(records), now)
    before = now.copy() if context.instead else now
    gone = _take_back(so_far, calls, context.instead) if context.instead else ()
    for second in context.seconds:
        _put_right(so_far, second.entry, second.more, second.crew)
    for place, call in enumerate(calls):
        if call.act in QUESTIONS or call.act in CONTROL - {"undo", "amend"}:
            so_far.asides.append(call)
        elif call.act == "undo":
            _undo(so_far, call, instead=any(c.is_entry for c in calls[place + 1 :]))
        elif call.act == "amend":
            _amend(so_far, call)
        else:
            _log(so_far, call)
    if gone and so_far.drafts:
        _follow(so_far, before, min(entry.at for entry in gone))
    return Decision(
        tuple(so_far.drafts.values()),
        tuple(so_far.voids),
        tuple(so_far.restores),
        tuple(so_far.asides),
        tuple(so_far.oddities),
        tuple(so_far.refused),
        so_far.new_trip,
    )


def needs_new_trip(trip: Trip, call: Call, at: datetime) -> bool:
    """Say whether an entry begins another trip: none is open, or the last was left open long ago."""
    if trip.last_at is None:
        return True
    if trip.ended is not None:
        late = at > trip.ended
        belongs = TABLE[call.act].afterwards and at - trip.ended <= AFTERWARDS
        return late and not belongs
    idle = at - trip.last_at
    if call.act == "trip_start" and trip.intervals:
        return idle > START_AGAIN
    return idle > FORGOTTEN_AFTER


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


def _take_back(so_far: _Progress, calls: Sequence[Call], did: Undo) -> tuple[Entry, ...]:
    """Take back what an earlier version of the message did; gives the entries that go."""
    gone = tuple(r for r in so_far.records if isinstance(r, Entry) and r.id in did.void)
    new = [call for call in calls if call.is_entry]
    so_far.edits, so_far.places = True, list(pairs(gone, new))
    if did.void:
        _void(so_far, did.void)
    if did.restore:
        so_far.restores.extend(did.restore)
        _add(so_far, Restored(_DRAFT, did.restore, so_far.context.said_at, _DRAFT))
    return gone


def _log(so_far: _Progress, call: Call) -> None:
    context = so_far.context
    trip = so_far.now.trip
    at = when(call, context.said_at, context.tz, trip.started)
    if call.ago_min is None and call.clock is None and call.act in FISH_ACTS and so_far.undone_at:
        at = so_far.undone_at
    old = so_far.places.pop(0) if so_far.places else None
    if not so_far.drafts and _begins(so_far, call, at):
        if not so_far.edits:
            so_far.new_trip = True
            so_far.records, so_far.now = [], Now()
        if call.act != "trip_start":
            _draft(so_far, Resolved(Call("trip_start"), at, NOT_SAID, implied=True))
    then = so_far.now.trip
    if then.last_at is not None and at < then.last_at:
        then = so_far.now.until(at)
    said = call.with_slots(ago_min=None, clock=None)
    full = fill(said, then, at, context.box, context.heard)
    so_far.oddities.extend(oddities(said, full.call, then, at))
    known = (old.place, old.stamp) if old is not None and old.at == at else (None, NO_STAMP)
    replaces = old.id if old is not None else None
    _draft(so_far, Resolved(full.call, at, full.inferred, replaces, place=known[0], stamp=known[1]))


def _begins(so_far: _Progress, call: Call, at: datetime) -> bool:
    """Say whether a trip begins here; an edited message stays in the trip that it was part of."""
    trip = so_far.now.trip
    if so_far.edits and so_far.records:
        return trip.last_at is None
    return needs_new_trip(trip, call, at)


def _undo(so_far: _Progress, call: Call, instead: bool) -> None:
    target = undo_target(so_far.records, call, so_far.context.tz, instead)
    if isinstance(target, Refused):
        so_far.refused.append(target)
        return
    gone = [e for e in so_far.records if isinstance(e, Entry) and e.id in target.void]
    fish = [e.at for e in gone if e.call.act in FISH_ACTS]
    so_far.undone_at = max(fish) if fish else None
    _void(so_far, target.void)
    if target.restore:
        for one in target.restore:
            if one in so_far.voids:
                so_far.voids.remove(one)
            else:
                so_far.restores.append(one)
        _add(so_far, Restored(_DRAFT, target.restore, so_far.context.said_at, _DRAFT))


def _void(so_far: _Progress, ids: Iterable[str]) -> None:
    for one in ids:
        if so_far.drafts.pop(one, None) is None:
            so_far.voids.append(one)
    _add(so_far, Voided(_DRAFT, tuple(ids), so_far.context.said_at, _DRAFT))


def _add(so_far: _Progress, record: Record) -> None:
    so_far.records.append(record)
    if not so_far.now.take(record):
        so_far.now = so_far.now.anew(so_far.records)


def _amend(so_far: _Progress, call: Call) -> None:
    target = amend_target(so_far.records, call, so_far.context.tz)
    if isinstance(target, Refused):
        so_far.refused.append(target)
        return
    _put_right(so_far, target, call)


def _put_right(so_far: _Progress, target: Entry, call: Call, crew: str | None = None) -> None:
    """Put an entry right by what was said; `crew` joins it where it is a second call of the same."""
    context, before = so_far.context, so_far.now.copy()
    at = target.at
    if call.ago_min is not None or call.clock is not None:
        at = when(call, context.said_at, context.tz, so_far.now.trip.started)
    said = amended(target, call)
    then = before.until(at, but=target.id)
    full = fill(said, then, at, context.box, target.text)
    if crew is None:
        so_far.oddities.extend(oddities(said, full.call, then, at))
    changed = replace(target, at=at, call=full.call, inferred=full.inferred)
    if crew is not None:
        changed = replace(changed, crew=f"{target.crew}, {crew}")
    first = target.crew if crew is not None else None
    _replace(so_far, target, changed, heard=context.heard, first=first)
    _follow(so_far, before, min(at, target.at))


def _follow(so_far: _Progress, before: Now, since: datetime) -> None:
    """Find anew what nobody said, from a time on, and put right what follows otherwise now."""
    context = so_far.context
    old = _derived(before, since, context)
    for entry, new in _derived(so_far.now, since, context).values():
        known = old.get(entry.id)
        if known is not None and known[1] != new:
            _replace(so_far, entry, replace(entry, call=new.call, inferred=new.inferred))


def _derived(now: Now, since: datetime, context: Context) -> dict[str, tuple[Entry, Filled]]:
    """Find anew what nobody said, in all entries from a time on that hold such."""
    folding, entries = now.before(since)
    found: dict[str, tuple[Entry, Filled]] = {}
    for entry in entries:
        after = entry
        if entry.at >= since and entry.inferred and entry.call.act in FISH_ACTS:
            bare = Call(
                entry.call.act,
                **{k: v for k, v in entry.call.said().items() if k not in entry.inferred},
            )
            new = fill(bare, folding.trip(), entry.at, context.box, entry.text)
            found[entry.id] = (entry, new)
            after = replace(entry, call=new.call, inferred=new.inferred)
        folding.add(after)
    return found


def _replace(
    so_far: _Progress, old: Entry, new: Entry, heard: str | None = None, first: str | None = None
) -> None:
    draft = so_far.drafts.get(old.id)
    made = Resolved(
        new.call,
        new.at,
        new.inferred,
        draft.replaces if draft else old.id,
        new.crew or None,
        new.text if heard is None else f"{new.text}; {heard}",
        implied=heard is None,
        first=first,
        place=new.place,
        stamp=new.stamp,
        moved=new.at != old.at,
    )
    if draft is None:
        _void(so_far, (old.id,))
        _draft(so_far, made)
    else:
        so_far.drafts[old.id] = replace(made, text=draft.text, implied=draft.implied)
        so_far.records[so_far.records.index(old)] = replace(new, text=old.text)
        so_far.now = so_far.now.anew(so_far.records)


def _draft(so_far: _Progress, one: Resolved) -> None:
    so_far.made += 1
    name = f"{_DRAFT}{so_far.made:06d}"
    so_far.drafts[name] = one
    heard = one.text or so_far.context.heard
    entry = Entry(
        name, "", one.at, one.call, one.crew or "", "", heard, _DRAFT, one.replaces, one.inferred
    )
    _add(so_far, entry)
