"""Decide what the log shall hold, from what was said and the log so far. Pure.

`decide` takes all calls of one message in the order said, each on top of the one before. It never
refuses what happened: odd calls are logged as said, with an oddity. Only an undo or an amend that
can mean nothing is refused.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Final, assert_never

from bot.stamps import NO_STAMP
from bot.trip.acts import (
    AMEND,
    ANGLER,
    BITES,
    CLEAR,
    CONTROL,
    FISH_ACTS,
    LINES_IN,
    QUESTIONS,
    SET,
    TABLE,
    TAKES,
)
from bot.trip.amending import amendments, bite_without_line
from bot.trip.call import Call
from bot.trip.conditions import FORGOTTEN_AFTER
from bot.trip.corrections import Refusal, Undo, correction, undo_target
from bot.trip.decision import Context, Decision, ResolvedAct, Unclear
from bot.trip.edits import pairs
from bot.trip.encounters import (
    find_fish,
    fish_clue,
    repeated_ending,
    said_again,
    same_person,
    took_already,
    unclear,
)
from bot.trip.entry import NOT_SAID, Entry, Record, Restored
from bot.trip.exchanged import told_of_another
from bot.trip.fill import fill, is_the_man, line_of_lure, lost_lures
from bot.trip.fish import Fish
from bot.trip.life import (
    after_its_bite,
    before_the_end,
    time_of_late_bite,
    told_late,
    trip_at,
    with_its_angler,
)
from bot.trip.lines import line_for
from bot.trip.lures import from_box
from bot.trip.meant import OfBefore
from bot.trip.memory import Now
from bot.trip.oddities import already_so, oddities
from bot.trip.other_units import without_bare
from bot.trip.progress import DRAFT, Progress, take_back_stage, without_bite
from bot.trip.put_back import as_put_back
from bot.trip.said_units import with_units_of
from bot.trip.state import Trip
from bot.trip.times import when, without_time
from bot.trip.together import calls_beyond, place_double, placed_double, resolve_together
from bot.trip.twice import addition, find_completion, rod_said_wrong

START_AGAIN: Final = timedelta(hours=6)
"""Silence after which "trip start" begins another trip, though nobody ended the last."""
AFTERWARDS: Final = timedelta(hours=12)
"""How long after its end a trip still takes notes, lures to rework and the like."""

SAID_OF_ALL: Final = timedelta(minutes=5)
"""How long after the last hook-up "both on" is about the fish that are on; common practice, no source."""
BACK_ABOARD: Final = "Back aboard, then: no fish was logged. Name the fish if it was one."


def decide(calls: Sequence[Call], records: Sequence[Record], context: Context) -> Decision:
    """Return what the calls of one message do to the log; `records` are those of the latest trip, as made."""
    now = context.memory.now(records).copy() if context.memory else Now.after(records)
    so_far = Progress(context, list(records), now)
    before = now.copy() if context.instead else now
    gone = _take_back(so_far, calls, context.instead) if context.instead else ()
    for second in context.seconds:
        so_far.put_right(second.entry, second.more, second.crew)
    double = placed_double(calls, so_far.now.stood, context.said_at)
    if double is not None:
        _place_double(so_far, double, place_double(calls, double))
        calls = calls_beyond(calls, double)
    told: list[str] = []
    said_at = context.said_at
    calls = as_put_back(
        calls, so_far.records, so_far.now.stood, so_far.now.trip, said_at, context.tz
    )
    so_far.corrects = any(call.act == AMEND for call in calls)
    for place, call in enumerate(resolve_together(calls, so_far.now.trip, said_at)):
        if call.act in QUESTIONS or call.act in CONTROL - {"undo", "amend"}:
            so_far.asides.append(call)
        elif call.act == "undo":
            _undo(so_far, call, [c for c in calls[place + 1 :] if c.is_entry])
        elif call.act == "amend":
            _amend(so_far, call, place, told)
        else:
            _log(so_far, call, place)
    if gone and so_far.drafts:
        so_far.follow(before, min(entry.at for entry in gone))
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
        tuple(so_far.taken_back),
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


def _take_back(so_far: Progress, calls: Sequence[Call], did: Undo) -> tuple[Entry, ...]:
    """Undo what an earlier version of the message did; return the entries that go."""
    gone = tuple(r for r in so_far.records if isinstance(r, Entry) and r.id in did.void)
    new = [call for call in calls if call.is_entry]
    so_far.edits, so_far.places = True, list(pairs(gone, new))
    if did.void:
        so_far.void(did.void)
    if did.restore:
        so_far.restores.extend(did.restore)
        so_far.add(Restored(DRAFT, did.restore, so_far.context.said_at, DRAFT))
    return gone


def _log(so_far: Progress, call: Call, place: int) -> None:
    context = so_far.context
    trip = so_far.now.trip
    at = after_its_bite(trip, call, when(call, context.said_at, context.tz, trip.started))
    if call.ago_min is None and call.clock is None and not so_far.edits:
        at = time_of_late_bite(so_far.now, call, at)
    at = before_the_end(trip, call, at)
    if call.ago_min is None and call.clock is None and call.act in FISH_ACTS and so_far.undone_at:
        at = so_far.undone_at
    if _puts_right(so_far, call, at):
        return
    call = take_back_stage(so_far, call, at)
    if so_far.corrects and (
        ends := told_of_another(call, at, so_far.now.trip.fish, so_far.now.stood)
    ):
        for entry, part in ends:
            so_far.put_right(so_far.entry_now(entry), part)
        return
    old = so_far.places.pop(0) if so_far.places else None
    if is_the_man(so_far.now.trip, call, at):
        so_far.refused.append(Refusal(BACK_ABOARD))
        return
    if not so_far.edits and _told_before(so_far, call, place, at):
        return
    if not so_far.drafts and _begins(so_far, call, at):
        if not so_far.edits:
            so_far.new_trip = True
            so_far.records, so_far.now = [], Now()
        if call.act != "trip_start":
            so_far.keep(ResolvedAct(Call("trip_start"), at, NOT_SAID, implied=True))
    then = trip_at(so_far.now, at)
    if call.act == LINES_IN and not so_far.edits and (back := _brought_in(so_far.now, then)):
        for one in back:
            _log(so_far, one.with_slots(ago_min=call.ago_min, clock=call.clock), place)
        return
    said = told_late(without_time(without_bare(call)), at, context.said_at)
    full = with_its_angler(fill(said, then, at, context.box), so_far.now, at)
    if not so_far.edits and (so := already_so(full.call, then, context.tz)):
        so_far.refused.append(Refusal(so))
        return
    if lures := lost_lures(said, then, context.box):
        so_far.doubts.append(Unclear(place, call, lures=lures))
    so_far.oddities.extend(oddities(said, full.call, then, at))
    known = (old.place, old.stamp) if old is not None and old.at == at else (None, NO_STAMP)
    replaces = old.id if old is not None else None
    so_far.keep(ResolvedAct(full.call, at, full.inferred, replaces, place=known[0], stamp=known[1]))
    if call.act == LINES_IN and not so_far.edits:
        _lay_before(so_far, call, then, at)


def _puts_right(so_far: Progress, call: Call, at: datetime) -> bool:
    """Correct an entry where a call says of it what it lacks or what was wrong; return whether it does."""
    now, speaker = so_far.now, so_far.context.speaker
    if wrong := rod_said_wrong(now.stood, now.trip.fish_on, call, at, speaker):
        so_far.put_right(wrong, correction(angler=call.angler))
    elif call.meaning(OfBefore) is not None and (wrong := bite_without_line(now.stood, call, at)):
        so_far.put_right(wrong, correction(**call.said()))
    return wrong is not None


def _brought_in(now: Now, then: Trip) -> list[Call]:
    """Return the lines that "lines back out" lays again while others fish: those cleared since lines in.

    A lure that was called in need of work since stays in the boat.
    """
    if not then.is_fishing or then.fishing_since is None or not then.spread:
        return []
    since = then.fishing_since
    cleared = {
        line_for(then.previous, e.call.position, e.call.side)
        for e in now.stood
        if e.call.act == CLEAR and e.call.position and e.at >= since
    }
    worked_on = {one.lure for one in then.rigging if not one.ready and one.at >= since and one.lure}
    return [
        Call(SET, position=lure.position, side=lure.side)
        for line, lure in then.previous.items()
        if line in cleared and line not in then.spread and lure.lure not in worked_on
    ]


def _lay_before(so_far: Progress, call: Call, then: Trip, at: datetime) -> None:
    """Move the lures that were named before "lines went in at six" was said to that time.

    Only the first lure of a line is moved, where none was out there then.
    """
    if (call.ago_min, call.clock) == (None, None) or then.spread:
        return
    first: dict[str, Entry] = {}
    for entry in so_far.now.stood:
        if entry.call.act == SET and entry.at > at and entry.call.position:
            line = line_for(so_far.now.trip.spread, entry.call.position, entry.call.side)
            first.setdefault(line, entry)
    for entry in first.values():
        so_far.stand_for(entry, replace(entry, at=at))


def _place_double(so_far: Progress, double: Entry, calls: Sequence[Call]) -> None:
    """Replace a double by its fish, each on its own line."""
    so_far.void((double.id,))
    for n, call in enumerate(calls):
        full = fill(call, so_far.now.until(double.at), double.at, so_far.context.box)
        first = double.id if n == 0 else None
        one = ResolvedAct(full.call, double.at, full.inferred, first, double.crew, adds=True)
        so_far.keep(replace(one, place=double.place, stamp=double.stamp))


def _told_before(so_far: Progress, call: Call, place: int, at: datetime) -> bool:
    """Handle a call about what was called before; return whether nothing is left to log."""
    if same := find_completion(call, so_far.now.stood, at, so_far.drafts):
        so_far.put_right(*same)
        return True
    if call.act not in FISH_ACTS:
        return False
    then = trip_at(so_far.now, at)
    if (known := _all_on(so_far, call, at)) is not None:
        so_far.known.append(known)
        return True
    if TABLE[call.act].stage == "struck" and call.names_lure and call.position is None:
        took = took_already(then.fish, from_box(call, so_far.context.box), at)
        bit = [e for e in so_far.now.stood if took and e.id in took.entries and e.call.act in BITES]
        if bit:
            _add_to(so_far, bit[0], call.with_slots(lure=None, colours=(), size_in=None, head=None))
            return True
    line = line_for(then.spread, call.position, call.side) if call.position else None
    wants = fish_clue(call, at, line)
    by_lure = line_of_lure(call, then, so_far.context.box) if call.act in BITES else None
    there = replace(wants, line=line or by_lure)  # the pink one is on the line that tows it
    goes_on = find_fish(then.fish, there)
    again = said_again(then.fish, wants)
    if again and goes_on in (None, again) and len({by_lure, again.line} - {None}) < 2:
        own = [e for e in so_far.now.stood if e.id in again.entries and e.call.act == call.act]
        if own:
            _say_again(so_far, again, own[-1], call, at)
            return True
    if goes_on is not None:
        if fish := unclear(then.fish, there):
            so_far.doubts.append(Unclear(place, call, fish))
        return False
    found = None if so_far.context.told_apart else repeated_ending(then.fish, wants)
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
        case "still on":
            so_far.void((entry.id,))
            return True
        case "ask":
            so_far.doubts.append(Unclear(place, call, entry=entry))
            return False
        case "goes on":
            return False
        case then_:
            assert_never(then_)


def _all_on(so_far: Progress, call: Call, at: datetime) -> Entry | None:
    """Return the last hook-up where "both on" says again what was said: as many are on, and no bite waits."""
    on = so_far.now.trip.fish_on
    waits = any(f.was_struck and not f.is_over and not f.was_on for f in so_far.now.trip.fish)
    many = sum(fish.count for fish in on)
    alone = call.said().keys() == {"count"} and TABLE[call.act].stage == "on"
    if not alone or waits or call.count != many:
        return None
    ids = {one for fish in on for one in fish.entries}
    hooked = [e for e in so_far.now.stood if e.id in ids and TABLE[e.call.act].stage == "on"]
    last = max(hooked, key=lambda e: e.id, default=None)
    return last if last is not None and timedelta() <= at - last.at <= SAID_OF_ALL else None


def _say_again(so_far: Progress, fish: Fish, entry: Entry, call: Call, at: datetime) -> None:
    """Complete a stage of a fish that was called again; somebody else on its rod has taken it over."""
    if not same_person(fish.angler, call.angler):
        rod = Call(ANGLER, position=call.position, side=call.side, angler=call.angler)
        so_far.keep(ResolvedAct(rod, at))
        call = call.with_slots(angler=None)
        if not addition(entry.call, entry.inferred, call).said():
            return
    _add_to(so_far, entry, call)


def _add_to(so_far: Progress, entry: Entry, call: Call) -> None:
    """Complete an ending with what was said of it later."""
    more = addition(entry.call, entry.inferred, call)
    if more.said():
        so_far.put_right(entry, more, adds=True)
    else:
        so_far.known.append(entry)


def _tell_otherwise(so_far: Progress, entry: Entry, call: Call) -> None:
    """Replace an ending by a more exact word for it: landed, then let go."""
    context, before = so_far.context, so_far.now.copy()
    kept = {k: v for k, v in entry.call.said().items() if k not in entry.inferred}
    said = {k: v for k, v in call.said().items() if k not in ("ago_min", "clock")}
    takes = TAKES[call.act]
    units = with_units_of(entry.call.meant, call)
    both = Call(call.act, meant=units, **{k: v for k, v in (kept | said).items() if k in takes})
    full = fill(both, before.until(entry.at, but=entry.id), entry.at, context.box)
    changed = replace(entry, call=full.call, inferred=full.inferred)
    so_far.stand_for(entry, changed, heard=context.heard, adds=True)
    so_far.follow(before, entry.at)


def _begins(so_far: Progress, call: Call, at: datetime) -> bool:
    """Return whether a trip begins here; an edited message stays in its trip."""
    trip = so_far.now.trip
    if so_far.edits and so_far.records:
        return trip.last_at is None
    return needs_new_trip(trip, call, at)


def _undo(so_far: Progress, call: Call, instead: Sequence[Call]) -> None:
    """Take back what a call undoes; `instead` are the entries called in its place."""
    target = undo_target(so_far.records, call, so_far.context.tz, bool(instead))
    if isinstance(target, Refusal):
        so_far.refused.append(target)
        return
    if instead:
        target = without_bite(target, so_far.records, instead[0])
    gone = [e for e in so_far.records if isinstance(e, Entry) and e.id in target.void]
    fish = [e.at for e in gone if e.call.act in FISH_ACTS]
    so_far.undone_at = max(fish) if fish else None
    so_far.void(target.void)
    if target.restore:
        for one in target.restore:
            if one in so_far.voids:
                so_far.voids.remove(one)
            else:
                so_far.restores.append(one)
        so_far.add(Restored(DRAFT, target.restore, so_far.context.said_at, DRAFT))


def _amend(so_far: Progress, call: Call, place: int, told: list[str]) -> None:
    """Apply a correction; `told` are the lines of fish named by corrections before it."""
    context = so_far.context
    found = amendments(so_far.records, call, context.said_at, context.tz, told)
    if isinstance(found, Refusal):
        so_far.refused.append(found)
        return
    if found.unclear:
        so_far.doubts.append(Unclear(place, call, found.unclear))
    if found.lost:
        so_far.refused.append(Refusal(found.lost))
    for target, part in sorted(found.parts, key=lambda one: one[0].at):
        so_far.put_right(so_far.entry_now(target), part)
    told.extend(found.lines)
