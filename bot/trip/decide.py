"""What was said, and the log so far, to what the log shall hold. Pure.

`decide` takes all calls of one message in the order said, each on top of the one before. It never
refuses what happened: odd calls are logged as said, with an oddity. Only an undo or an amend that
can mean nothing is refused.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import Final, assert_never

from bot.stamps import NO_STAMP
from bot.trip.acts import CONTROL, FISH_ACTS, QUESTIONS, TABLE, TAKES
from bot.trip.call import Call
from bot.trip.conditions import FORGOTTEN_AFTER
from bot.trip.corrections import (
    Refused,
    Undo,
    amend_target,
    amended,
    gauge_meant,
    undo_target,
)
from bot.trip.decision import Context, Decision, Resolved, Unclear
from bot.trip.edits import pairs
from bot.trip.encounters import meant, said_before, unclear, wanted
from bot.trip.entry import NOT_SAID, Entry, Record, Restored, Voided
from bot.trip.fill import Filled, fill
from bot.trip.life import after_its_bite, in_its_life
from bot.trip.lines import line_for
from bot.trip.memory import Now
from bot.trip.oddities import Oddity, already_there, oddities
from bot.trip.state import Trip
from bot.trip.times import when
from bot.trip.together import as_meant, as_placed, double_placed
from bot.trip.twice import added

START_AGAIN: Final = timedelta(hours=6)
"""After so long without a word "trip start" begins another trip, though nobody ended the last."""
AFTERWARDS: Final = timedelta(hours=12)
"""How long after its end a trip still takes notes, lures to rework and the like."""

RECOVERED_WITHIN: Final = timedelta(minutes=30)
"""How long "in the boat" means the man who was overboard, unless a fish is named."""
BACK_ABOARD: Final = "Back aboard, then: no fish was logged. Name the fish if it was one."
_DRAFT: Final = "~"
"""Begins the ids of entries that are not numbered yet; sorts after every real id."""


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
    known: list[Entry] = field(default_factory=list)
    doubts: list[Unclear] = field(default_factory=list)
    undone_at: datetime | None = None
    """When that happened which this message took back: "undo that, it was a strike on ...\""""
    made: int = 0
    edits: bool = False
    """True where the message stands for an earlier version of itself."""
    places: list[Entry | None] = field(default_factory=list)
    """The entry that each call of such a message replaces, in order."""


def decide(calls: Sequence[Call], records: Sequence[Record], context: Context) -> Decision:
    """Decide what the calls of one message mean; `records` are those of the latest trip, as made."""
    now = context.memory.now(records).copy() if context.memory else Now.after(records)
    so_far = _Progress(context, list(records), now)
    before = now.copy() if context.instead else now
    gone = _take_back(so_far, calls, context.instead) if context.instead else ()
    for second in context.seconds:
        _put_right(so_far, second.entry, second.more, second.crew)
    double = double_placed(calls, so_far.now.stood, context.said_at)
    if double is not None:
        _place_double(so_far, double, as_placed(calls, double))
        calls = ()
    for place, call in enumerate(as_meant(calls, so_far.now.trip)):
        if call.act in QUESTIONS or call.act in CONTROL - {"undo", "amend"}:
            so_far.asides.append(call)
        elif call.act == "undo":
            _undo(so_far, call, instead=any(c.is_entry for c in calls[place + 1 :]))
        elif call.act == "amend":
            _amend(so_far, call)
        else:
            _log(so_far, call, place)
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
        tuple(so_far.known),
        tuple(so_far.doubts),
    )


def needs_new_trip(trip: Trip, call: Call, at: datetime) -> bool:
    """Return whether an entry begins another trip: none is open, or the last was left open long ago."""
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


def _log(so_far: _Progress, call: Call, place: int) -> None:
    context = so_far.context
    trip = so_far.now.trip
    at = after_its_bite(trip, call, when(call, context.said_at, context.tz, trip.started))
    if call.ago_min is None and call.clock is None and call.act in FISH_ACTS and so_far.undone_at:
        at = so_far.undone_at
    old = so_far.places.pop(0) if so_far.places else None
    if _is_the_man(so_far.now.trip, call, at):
        so_far.refused.append(Refused(BACK_ABOARD))
        return
    if call.act in FISH_ACTS and not so_far.edits and _told_before(so_far, call, place, at):
        return
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
    full = fill(said, then, at, context.box)
    if not so_far.edits and (there := already_there(full.call, then)):
        so_far.refused.append(Refused(there))
        return
    so_far.oddities.extend(oddities(said, full.call, then, at))
    known = (old.place, old.stamp) if old is not None and old.at == at else (None, NO_STAMP)
    replaces = old.id if old is not None else None
    _draft(so_far, Resolved(full.call, at, full.inferred, replaces, place=known[0], stamp=known[1]))


def _place_double(so_far: _Progress, double: Entry, calls: Sequence[Call]) -> None:
    """Let the fish of a double stand each on its own line, in the place of the double."""
    _void(so_far, (double.id,))
    for n, call in enumerate(calls):
        full = fill(call, so_far.now.until(double.at), double.at, so_far.context.box)
        first = double.id if n == 0 else None
        one = Resolved(full.call, double.at, full.inferred, first, double.crew, adds=True)
        _draft(so_far, replace(one, place=double.place, stamp=double.stamp))


def _is_the_man(trip: Trip, call: Call, at: datetime) -> bool:
    """Return whether "he's back in the boat" tells of somebody who fell in, and of no fish."""
    fell = next((one for one in reversed(trip.trouble) if one.what == "man overboard"), None)
    said = call.said().keys() - {"ago_min", "clock", "side"}
    return (
        TABLE[call.act].stage == "caught"
        and not said
        and fell is not None
        and timedelta() <= at - fell.at <= RECOVERED_WITHIN
    )


def _told_before(so_far: _Progress, call: Call, place: int, at: datetime) -> bool:
    """Take a call about a fish that was told of before; return whether nothing is left to log."""
    then = so_far.now.trip
    if then.last_at is not None and at < then.last_at:
        then = so_far.now.until(at)
    line = line_for(then.spread, call.position, call.side) if call.position else None
    wants = wanted(call, at, line)
    if meant(then.fish, wants) is not None:
        if fish := unclear(then.fish, wants):
            so_far.doubts.append(Unclear(place, call, fish))
        return False
    found = None if so_far.context.told_apart else said_before(then.fish, wants)
    entry = next((e for e in so_far.now.stood if found and e.id == found[0].entry), None)
    if found is None or entry is None:
        return False
    match found[1]:
        case "again":
            _add_to(so_far, entry, call)
            return True
        case "instead":
            _tell_otherwise(so_far, entry, call)
            return True
        case "ask":
            so_far.doubts.append(Unclear(place, call, entry=entry))
            return False
        case "goes on":
            return False
        case then_:
            assert_never(then_)


def _add_to(so_far: _Progress, entry: Entry, call: Call) -> None:
    """Complete an ending by what was said of it later."""
    more = added(entry.call, entry.inferred, call)
    if more.said():
        _put_right(so_far, entry, more, adds=True)
    else:
        so_far.known.append(entry)


def _tell_otherwise(so_far: _Progress, entry: Entry, call: Call) -> None:
    """Let a closer word for an ending stand in the place of the first: landed, then let go."""
    context, before = so_far.context, so_far.now.copy()
    kept = {k: v for k, v in entry.call.said().items() if k not in entry.inferred}
    said = {k: v for k, v in call.said().items() if k not in ("ago_min", "clock")}
    takes = TAKES[call.act]
    both = Call(call.act, **{k: v for k, v in (kept | said).items() if k in takes})
    full = fill(both, before.until(entry.at, but=entry.id), entry.at, context.box)
    changed = replace(entry, call=full.call, inferred=full.inferred)
    _replace(so_far, entry, changed, heard=context.heard, adds=True)
    _follow(so_far, before, entry.at)


def _begins(so_far: _Progress, call: Call, at: datetime) -> bool:
    """Return whether a trip begins here; an edited message stays in the trip that it was part of."""
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
    call = gauge_meant(so_far.records, call, so_far.context.said_at)
    target = amend_target(so_far.records, call, so_far.context.tz)
    if isinstance(target, Refused):
        so_far.refused.append(target)
        return
    _put_right(so_far, target, call)


def _put_right(
    so_far: _Progress, target: Entry, call: Call, crew: str | None = None, adds: bool = False
) -> None:
    """Put an entry right by what was said; `crew` joins it where it is a second call of the same.

    `adds` says that nothing of it was wrong.
    """
    context, before = so_far.context, so_far.now.copy()
    at = target.at
    if (call.ago_min is not None or call.clock is not None) and not _is_of_the_angler(target, call):
        at = when(call, context.said_at, context.tz, so_far.now.trip.started)
        at = in_its_life(so_far.now, target, at)
    said = amended(target, call)
    then = before.until(at, but=target.id)
    full = fill(said, then, at, context.box)
    if crew is None:
        so_far.oddities.extend(oddities(said, full.call, then, at))
    changed = replace(target, at=at, call=full.call, inferred=full.inferred)
    if crew is not None:
        changed = replace(changed, crew=f"{target.crew}, {crew}")
    first = target.crew if crew is not None else None
    _replace(so_far, target, changed, heard=context.heard, first=first, adds=adds)
    _follow(so_far, before, min(at, target.at))


def _is_of_the_angler(target: Entry, call: Call) -> bool:
    """Return whether a time is when somebody took the rod, and not when the fish bit."""
    others = call.said().keys() - {"angler", "ago_min", "clock", "position", "side"}
    return target.call.act in FISH_ACTS and call.angler is not None and not others


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
                meant=entry.call.meant,
            )
            new = fill(bare, folding.trip(), entry.at, context.box)
            found[entry.id] = (entry, new)
            after = replace(entry, call=new.call, inferred=new.inferred)
        folding.add(after)
    return found


def _replace(
    so_far: _Progress,
    old: Entry,
    new: Entry,
    heard: str | None = None,
    first: str | None = None,
    adds: bool = False,
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
        adds=adds,
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
