"""The log as it would be after the calls of one message so far, and how entries come into it and out of it.

What `decide` works on: an entry that is put right is void and another stands in its place, and what nobody
said of those that follow is found anew.
A fish that was called hooked up and is a miss after all never stuck: a strike is left of it. Pure.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import Final

from bot.trip.acts import BITES, ENDINGS, FISH_ACTS, MISSED, STRIKE, TABLE
from bot.trip.call import Call
from bot.trip.corrections import Refusal, Undo, amend_call
from bot.trip.decision import Context, ResolvedAct, Unclear
from bot.trip.entry import Entry, Record, Voided
from bot.trip.fill import FilledCall, fill, fish_of_call
from bot.trip.life import in_its_life, told_late
from bot.trip.lines import line_for
from bot.trip.lures import agrees, is_known
from bot.trip.meant import AfterAll
from bot.trip.memory import Now
from bot.trip.oddities import Oddity, held_by, oddities
from bot.trip.state import Trip
from bot.trip.times import when

NOT_OVER: Final = timedelta(minutes=3)
"""How long after its end was called a fish can be on after all; later it has come back (common practice)."""
DRAFT: Final = "~"
"""Prefix of the ids of entries without a number; it sorts after every real id."""


@dataclass(slots=True)
class Progress:
    """The log as it would be after the calls so far, and what has been decided."""

    context: Context
    records: list[Record]
    now: Now
    """What stands after `records`."""
    drafts: dict[str, ResolvedAct] = field(default_factory=dict)
    voids: list[str] = field(default_factory=list)
    restores: list[str] = field(default_factory=list)
    asides: list[Call] = field(default_factory=list)
    oddities: list[Oddity] = field(default_factory=list)
    refused: list[Refusal] = field(default_factory=list)
    new_trip: bool = False
    known: list[Entry] = field(default_factory=list)
    doubts: list[Unclear] = field(default_factory=list)
    taken_back: list[str] = field(default_factory=list)
    """Entries that a later event shows to be wrong, whoever made them."""
    undone_at: datetime | None = None
    """When that happened which this message took back: "undo that, it was a strike on ...\""""
    corrects: bool = False
    """True where the message puts something right, and may tell an ending that was called of another fish."""
    made: int = 0
    edits: bool = False
    """True where the message replaces an earlier version of itself."""
    places: list[Entry | None] = field(default_factory=list)
    """The entry that each call of such a message replaces, in order."""

    def void(self, ids: Iterable[str]) -> None:
        """Void entries."""
        for one in ids:
            if self.drafts.pop(one, None) is None:
                self.voids.append(one)
        self.add(Voided(DRAFT, tuple(ids), self.context.said_at, DRAFT))

    def add(self, record: Record) -> None:
        """Add a record at the end."""
        self.records.append(record)
        if not self.now.take(record):
            self.now = self.now.anew(self.records)

    def entry_now(self, entry: Entry) -> Entry:
        """Return an entry as it is now, or the one that has replaced it."""
        stands = {one.id: one for one in self.now.stood}
        later = {r.replaces: r for r in self.records if isinstance(r, Entry) and r.replaces}
        while entry.id not in stands and entry.id in later:
            entry = later[entry.id]
        return stands.get(entry.id, entry)

    def put_right(
        self, target: Entry, call: Call, crew: str | None = None, adds: bool = False
    ) -> None:
        """Correct an entry by what was said; `crew` is added to its callers where it is a second call.

        `adds` says that nothing of it was wrong.
        """
        context, before = self.context, self.now.copy()
        at, is_timed = target.at, call.ago_min is not None or call.clock is not None
        if is_timed and not _is_of_the_angler(target, call):
            at = when(call, context.said_at, context.tz, self.now.trip.started)
            at, kept_by = in_its_life(self.now, target, at)
            if kept_by is not None:
                self.oddities.append(held_by(kept_by, at, context.tz))
        then = before.until(at, but=target.id)
        said = amend_call(_without_its_lure(target, call, then), call)
        if at != target.at:
            said = told_late(said, at, context.said_at)
        full = fill(said, then, at, context.box)
        if crew is None:
            self.oddities.extend(oddities(said, full.call, then, at))
        changed = replace(target, at=at, call=full.call, inferred=full.inferred)
        if crew is not None and crew not in target.callers:
            changed = replace(changed, crew=f"{target.crew}, {crew}")
        first = target.crew if crew is not None else None
        self.stand_for(target, changed, heard=context.heard, first=first, adds=adds)
        self.follow(before, min(at, target.at))

    def follow(self, before: Now, since: datetime) -> None:
        """Infer again, from a time on, what nobody said, and correct the entries that change by it."""
        context = self.context
        old = _derived(before, since, context)
        for entry, new in _derived(self.now, since, context).values():
            known = old.get(entry.id)
            if known is not None and known[1] != new:
                self.stand_for(entry, replace(entry, call=new.call, inferred=new.inferred))

    def stand_for(
        self,
        old: Entry,
        new: Entry,
        heard: str | None = None,
        first: str | None = None,
        adds: bool = False,
    ) -> None:
        """Replace an entry by another; `heard` are the correcting words, where there are any."""
        draft = self.drafts.get(old.id)
        made = ResolvedAct(
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
            self.void((old.id,))
            self.keep(made)
        else:
            told = draft.implied and heard is not None  # what only followed is now said as well
            text, implied = (made.text, False) if told else (draft.text, draft.implied)
            self.drafts[old.id] = replace(made, text=text, implied=implied)
            self.records[self.records.index(old)] = replace(new, text=text or old.text)
            self.now = self.now.anew(self.records)

    def keep(self, one: ResolvedAct) -> None:
        """Add an act to the log."""
        self.made += 1
        name = f"{DRAFT}{self.made:06d}"
        self.drafts[name] = one
        heard = one.text or self.context.heard
        entry = Entry(
            name, "", one.at, one.call, one.crew or "", "", heard, DRAFT, one.replaces, one.inferred
        )
        self.add(entry)


def _without_its_lure(target: Entry, call: Call, then: Trip) -> Entry:
    """Return a bite without the lure said with it, where that hangs on the line that was wrong.

    "Strike shotgun, the hat", "no, long rigger": the hat is on the shotgun, so it went with the wrong line.
    """
    was, right = target.call, call.position
    moves = was.position is not None and right not in (None, was.position)
    if was.act not in BITES or not moves or not was.names_lure or call.names_lure:
        return target
    there = then.spread.get(line_for(then.spread, was.position or "", was.side))
    if there is None or not is_known(there) or not agrees(was, there):
        return target
    return replace(target, call=was.with_slots(lure=None, colours=(), size_in=None, head=None))


def _is_of_the_angler(target: Entry, call: Call) -> bool:
    """Return whether a time says when somebody took the rod, not when the fish bit."""
    others = call.said().keys() - {"angler", "ago_min", "clock", "position", "side"}
    return target.call.act in FISH_ACTS and call.angler is not None and not others


def _derived(now: Now, since: datetime, context: Context) -> dict[str, tuple[Entry, FilledCall]]:
    """Infer again what nobody said, in all entries from a time on."""
    folding, entries = now.before(since)
    found: dict[str, tuple[Entry, FilledCall]] = {}
    for entry in entries:
        after = entry
        if entry.at >= since and entry.inferred and entry.call.act in FISH_ACTS:
            bare = Call(
                entry.call.act,
                **{k: v for k, v in entry.call.said().items() if k not in entry.inferred},
                meant=entry.call.meant,
            )
            new = _as_was(entry, fill(bare, folding.trip(), entry.at, context.box))
            found[entry.id] = (entry, new)
            after = replace(entry, call=new.call, inferred=new.inferred)
        folding.add(after)
    return found


def _as_was(entry: Entry, new: FilledCall) -> FilledCall:
    """Return an ending with who had the rod by what was said only after it, where nothing tells now."""
    if new.call.angler or "angler" not in entry.inferred:
        return new
    return FilledCall(
        new.call.with_slots(angler=entry.call.angler), tuple(sorted((*new.inferred, "angler")))
    )


def take_back_stage(so_far: Progress, call: Call, at: datetime) -> Call:
    """Take back the hook-up of a fish that was missed, or the miss of one that is on after all.

    Return the call, on the line of that fish where nothing else tells it.
    """
    stage = TABLE[call.act].stage
    if stage == "missed":
        _take_back_hookup(so_far, call, at)
    elif stage == "on":
        if call.meaning(AfterAll) is not None:
            _take_back_miss(so_far, call, at)
        return _on_line_of_miss(so_far, call)
    return call


def _take_back_miss(so_far: Progress, call: Call, at: datetime) -> None:
    """Void the miss that was called just now, where no other fish has come since: its fish is on."""
    told = [e for e in so_far.now.stood if e.call.act in FISH_ACTS]
    last = told[-1] if told else None
    if last is None or last.call.act not in MISSED or not timedelta() <= at - last.at <= NOT_OVER:
        return
    if call.position in (None, last.call.position):
        so_far.taken_back.append(last.id)
        so_far.void((last.id,))


def _on_line_of_miss(so_far: Progress, call: Call) -> Call:
    """Return a hook-up on the line of the miss that was taken back just before it, where no bite tells it."""
    last = so_far.records[-1] if so_far.records else None
    waits = any(fish.was_struck and not fish.is_over for fish in so_far.now.trip.fish)
    if call.position or waits or not isinstance(last, Voided) or last.id != DRAFT:
        return call
    gone = [e.call for e in so_far.records if isinstance(e, Entry) and e.id in last.entries]
    missed = len(gone) == 1 and gone[0].act in MISSED
    return call.with_slots(position=gone[0].position, side=gone[0].side) if missed else call


def _take_back_hookup(so_far: Progress, call: Call, at: datetime) -> None:
    """Turn the hook-up of a fish that is said now not to have stuck into a strike."""
    then = so_far.now.trip
    if then.last_at is not None and at < then.last_at:
        then = so_far.now.until(at)
    fish = fish_of_call(call, then, at)
    if fish is None or not fish.is_on or fish.leader_at or fish.ends or fish.count > 1:
        return
    own = [e for e in so_far.now.stood if e.id in fish.entries]
    hooked = [e for e in own if TABLE[e.call.act].stage == "on"]
    so_far.taken_back.extend(e.id for e in hooked)
    if hooked and fish.struck_at is None:
        so_far.stand_for(hooked[0], replace(hooked[0], call=replace(hooked[0].call, act=STRIKE)))
        hooked = hooked[1:]
    if hooked:
        so_far.void(tuple(e.id for e in hooked))


def without_bite(undo: Undo, records: Sequence[Record], instead: Call) -> Undo:
    """Return an undo that leaves the bite standing where what is called instead goes on with it.

    "Strike long corner, missed", then "scratch that, he is on": the miss goes, the strike stays. Where only
    its ending was another, the fish was on all the same: "hooked, pulled the hook" - "no, the line's cut".
    """
    gone = [e for e in records if isinstance(e, Entry) and e.id in undo.void]
    bites = [e for e in gone if TABLE[e.call.act].stage == "struck"]
    stage = TABLE[instead.act].stage
    if stage in (None, "raised", "struck") or len(bites) != 1 or len(gone) < 2:
        return undo
    if instead.position not in (None, bites[0].call.position):
        return undo
    over = stage in ("lost", "caught") and any(e.call.act in ENDINGS for e in gone)
    stages = ("struck", "on") if over else ("struck",)
    stay = {e.id for e in gone if TABLE[e.call.act].stage in stages}
    return Undo(tuple(one for one in undo.void if one not in stay), undo.restore)
