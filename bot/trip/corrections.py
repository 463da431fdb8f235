"""Find the entries that an undo or an amend is about, and what an amended entry then says.

One message is one undo: a plain undo takes back the latest message that still stands, so undoing
again goes one further back. "Undo the undo" (`of_act` is `undo`) brings back what the last undo took.
Records come in the order in which they were made. Pure.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, tzinfo
from typing import Any, Final

from bot.tackle.items import LIMITS
from bot.trip.acts import AMEND, BITES, CAUGHT, ENDINGS, LAYING, ROWS, SIGHTING, TABLE, TAKES
from bot.trip.call import Call
from bot.trip.encounters import closer_species, find_fish, fish_clue, same_person, species_match
from bot.trip.entry import Entry, Record, Restored, Voided
from bot.trip.fold import fold
from bot.trip.history import standing_entries, void_ids
from bot.trip.lines import line_for
from bot.trip.lures import LURE_SLOTS
from bot.trip.meant import (
    BARE,
    CancelsReminder,
    OfFish,
    OfKind,
    OfLure,
    OfThese,
    PutsRight,
    Reminder,
    SaidAs,
    SaidUnits,
    TroubleOver,
)
from bot.trip.said_units import UNIT_OF, in_units_of, is_bare, with_units_of
from bot.trip.times import clock_gap

CLOCK_MARGIN: Final = timedelta(minutes=10)
"""Largest gap between the time said and the entry that "the strike at nine forty" means."""

JUST_NOW: Final = timedelta(minutes=5)
"""How long a number alone corrects the number that was logged last."""
_SAME: Final = 2
"""What `same_person` returns for one name."""
GAUGES: Final = (
    "speed_kn", "water_c", "depth_m", "drag_kg", "wind_kn", "sea_m", "weight_kg", "length_cm",
)  # fmt: skip
FALSE_ALARM: Final = frozenset(row.act for row in ROWS if row.form == "trouble")
"""Acts with an undo of their own ("false alarm"), which undoes the bite called last where there was none."""
NO_TROUBLE: Final = "No trouble is open."
OF_KIND: Final[Mapping[str, frozenset[str]]] = {
    "bite": frozenset(row.act for row in ROWS if row.stage in ("struck", "on")),
    "lay": LAYING,
    "raise": frozenset(row.act for row in ROWS if row.stage == "raised"),
}
"""Acts of the entries that a correction may speak of, by the name of their kind."""
NOT_AMENDED: Final = frozenset(
    {
        "ago_min", "clock", "of_act", "of_clock", "of_position", "of_species",
        "old_colours", "old_size_in", "old_lure",
    }
)  # fmt: skip
"""Slots of a correction that no entry takes: which entry is meant, when it was, what was wrong."""


@dataclass(frozen=True, slots=True)
class Refusal:
    """A call that can mean nothing; one sentence says why."""

    reason: str


@dataclass(frozen=True, slots=True)
class Undo:
    """Entries to void, and entries to restore."""

    void: tuple[str, ...]
    restore: tuple[str, ...] = ()


def correction(**slots: Any) -> Call:
    """Return a call that puts an entry right."""
    return Call("amend", **slots)


def undo_of(entry: Entry) -> Call:
    """Return a call that takes one entry back; of trouble, that of its kind."""
    kind = (OfKind(entry.call.what),) if entry.call.act in FALSE_ALARM and entry.call.what else ()
    return Call("undo", of_act=entry.call.act, of_position=entry.call.position, meant=kind)


def undo_target(
    records: Sequence[Record], call: Call | None = None, tz: tzinfo = UTC, instead: bool = False
) -> Undo | Refusal:
    """Return what an undo undoes: the latest message that stands, or the entry that is named.

    `instead` tells that another act follows in its place: what the message had put right then goes for
    good, and does not come back as it was before.
    """
    call = call or Call("undo")
    cancels = call.meaning(CancelsReminder)
    if cancels is not None:
        held = _reminders(records, cancels)
        if held or cancels.is_named:
            return Undo(held) if held else Refusal("There is no such reminder.")
    if call.of_act == "undo":
        return _undo_of_undo(records)
    if call.of_act or call.of_clock or call.of_position or call.of_species:
        named = list(_named(records, call, tz))
        if named and call.of_act in FALSE_ALARM:
            return Undo(_same_trouble(named, call))
        if call.of_act in FALSE_ALARM and not _is_bite_last(records):
            return Refusal(NO_TROUBLE)
        if call.of_act not in FALSE_ALARM and not _was_no_bite(records, named, call):
            if (which := call.meaning(OfThese)) is not None:
                return _of_these(records, named, call, which.number)
            return (
                Undo(_taken_out(records, named[0], call)) if named else Refusal(_nothing_like(call))
            )
    void = void_ids(records)
    last = next((e for e in _latest_first(records) if e.id not in void), None)
    if last is None or not last.message:
        return Undo((last.id,)) if last else Refusal("There is nothing to undo.")
    ids = tuple(
        e.id
        for e in records
        if isinstance(e, Entry) and e.message == last.message and e.id not in void
    )
    return Undo(ids, () if instead else _voided_by(records, last.message, void))


def _same_trouble(named: Sequence[Entry], call: Call) -> tuple[str, ...]:
    """Return the latest trouble, or that of the kind which is named, with all who called the same."""
    kind = call.meaning(OfKind)
    there = [entry for entry in named if kind is not None and entry.call.what == kind.kind]
    first = (there or named)[0]
    return tuple(entry.id for entry in named if entry.call.what == first.call.what)


def _of_these(
    records: Sequence[Record], named: Sequence[Entry], call: Call, number: int
) -> Undo | Refusal:
    """Return the undo of one of several alike, counted in the order of time: fish, not their entries."""
    alike = sorted(named, key=lambda entry: (entry.at, entry.id))
    if call.of_species is not None and call.of_act is None:
        held = {entry.id for entry in alike}
        fish = [one for one in fold(standing_entries(records)).fish if held & set(one.entries)]
        alike = [next(e for e in alike if e.id in one.entries) for one in fish]
    if number > len(alike):
        what = (call.of_species or call.of_act or "entry").replace("_", " ")
        return Refusal(f"The log has no {what} number {number}: it has {len(alike)}.")
    return Undo(_taken_out(records, alike[number - 1], call))


def _taken_out(records: Sequence[Record], entry: Entry, call: Call) -> tuple[str, ...]:
    """Return an entry to take out, with all of its fish where the fish is named or nothing is left of it.

    Without the strike that it began with, a fish has no miss and no hook-up.
    """
    fish = next((f for f in fold(standing_entries(records)).fish if entry.id in f.entries), None)
    if fish is None:
        return (entry.id,)
    begins = fish.id == entry.id and TABLE[entry.call.act].stage in ("struck", "on")
    whole = begins or (call.of_species is not None and call.of_act is None)
    return fish.entries if whole else (entry.id,)


def _is_bite_last(records: Sequence[Record]) -> bool:
    void = void_ids(records)
    last = next((e for e in _latest_first(records) if e.id not in void), None)
    return last is not None and last.call.act in BITES


def _was_no_bite(records: Sequence[Record], named: Sequence[Entry], call: Call) -> bool:
    """Return whether what is named was never seen by itself: "scrub that, it's weed" right after a bite."""
    return call.of_act == SIGHTING and not named and _is_bite_last(records)


def _reminders(records: Sequence[Record], cancels: CancelsReminder) -> tuple[str, ...]:
    """Return the reminders that are meant: all, or the latest that holds all words that were said."""
    void, found = void_ids(records), []
    for entry in _latest_first(records):
        held = entry.call.meaning(Reminder)
        if held is not None and entry.id not in void and cancels.is_of(held):
            found.append(entry.id)
    return tuple(found if cancels.everything else found[:1])


def amend_target(records: Sequence[Record], call: Call, tz: tzinfo = UTC) -> Entry | Refusal:
    """Return the entry that a correction is about: the last that can take what was said, or the one named.

    A position is put right where it was said: after "strike long rigger, hooked up", "no, long
    corner" is about the strike, and the hook-up follows it.
    """
    wants = frozenset(call.said()) - NOT_AMENDED
    entry = next((e for e in _named(records, call, tz) if wants <= TAKES[e.call.act]), None)
    if entry is None:
        named = call.of_act or call.of_clock or call.of_position
        return Refusal(_nothing_like(call) if named else "No entry takes that correction.")
    if other := _described(records, call):
        return other
    if call.position is not None and "position" in entry.inferred:
        return _where_said(records, entry, call)
    return entry


def resolve_bare_number(records: Sequence[Record], call: Call, said_at: datetime) -> Call:
    """Return "no, eight and a half" as the speed, the weight or whatever number was logged just now.

    A number alone is read as a size, or as a measure that it may be; the last entry says of what it is one.
    """
    void = void_ids(records)
    last = next((e for e in _latest_first(records) if e.id not in void), None)
    (slot,) = call.said() if len(call.said()) == 1 else ("",)
    if last is None or not (is_number_alone(call) or _takes_none(records, void, slot)):
        return call
    return gauge_of(last, call, said_at)


def _takes_none(records: Sequence[Record], void: frozenset[str], slot: str) -> bool:
    stood = (e for e in _latest_first(records) if e.id not in void)
    return all(slot not in TAKES[entry.call.act] for entry in stood)


def gauge_of(last: Entry, call: Call, said_at: datetime) -> Call:
    """Return a number alone as a correction of the last entry's number, where that has just one."""
    said = call.said()
    if call.act != AMEND or len(said) != 1 or said_at - last.at > JUST_NOW:
        return call
    ((slot, value),) = said.items()
    if slot != "size_in" and not is_bare(call, slot):
        return call
    known = [gauge for gauge in GAUGES if gauge in last.call.said()]
    if slot in TAKES[last.call.act] or len(known) != 1:
        return call
    meant = (SaidUnits(**{UNIT_OF[known[0]]: BARE}),) if known[0] in UNIT_OF else ()
    return correction(**{known[0]: value}, meant=meant)


def no_size(call: Call) -> str:
    """Return that a size is no size of a lure, and what to say; empty where it may be one."""
    size_in, most_in = call.size_in, LIMITS["size_in"][1]
    if call.act != AMEND or size_in is None or size_in <= most_in:
        return ""
    return f"Not logged: {size_in:g} in is no size of a lure. Say what the {size_in:g} is."


def is_number_alone(call: Call) -> bool:
    """Return whether a correction says a number and not of what: it is read as a size, or as degrees."""
    slots = call.said().keys()
    degrees = slots == {"water_c"} and is_bare(call, "water_c")
    return call.act == AMEND and (degrees or slots == {"size_in"})


def _described(records: Sequence[Record], call: Call) -> Entry | None:
    """Return the catch that a weight, a length or a tag belongs to: the last of that fish and line."""
    measured = {"weight_kg", "length_cm", "tag"} & call.said().keys()
    if not measured or not (call.species or call.position or call.angler):
        return None
    stood = standing_entries(records)
    by_id = {e.id: e for e in stood}
    last = next((e for e in reversed(stood) if e.call.act in CAUGHT), None)
    known = measured & last.call.said().keys() if last is not None else measured
    is_news = call.meaning(PutsRight) is None and not known
    found: list[tuple[tuple[bool, bool, int], Entry]] = []
    for fish in fold(stood).fish:
        for end in fish.ends:
            entry = by_id.get(end.entry)
            if entry is None or end.act not in CAUGHT or not measured <= TAKES[end.act]:
                continue
            species = species_match(end.species or fish.species, call.species)
            angler = same_person(end.angler or fish.angler, call.angler)
            where = call.position is None or call.position == fish.position
            lacks = all(getattr(end, slot) is None for slot in measured)
            theirs = lacks and call.angler is not None and angler == _SAME
            if species and angler and where:
                found.append(((theirs, entry == last and is_news, species + angler), entry))
    best = max((fits for fits, _ in found), default=(False, False, 0))
    return next((entry for fits, entry in reversed(found) if fits == best), None)


def amend_call(target: Entry, call: Call) -> Call:
    """Return the call of an entry with the slots of a correction; inferred slots are left open again.

    What hung on a line that was said stays what the rest of the lure is known by; a line that was known by
    the lure goes with it.
    """
    slots: dict[str, Any] = {k: v for k, v in call.said().items() if k not in NOT_AMENDED}
    slots |= in_units_of(target.call, call)
    if slots.get("species") and len(slots) > 1 and call.meaning(OfFish) is None:
        slots["species"] = closer_species(target.call.species, slots["species"])
    about_lure = any(slot in slots for slot in LURE_SLOTS)
    kept = target.call.said()
    there = about_lure and "position" not in target.inferred
    for slot in target.inferred:
        if not (there and slot in LURE_SLOTS):
            kept.pop(slot, None)
    if about_lure:
        _drop_old_lure(kept, slots)
    if "position" in kept and slots.get("position", kept["position"]) != kept["position"]:
        kept.pop("side", None)
    if "tag" in slots:
        slots["tagged"] = True
    said = tuple(one for one in call.meant if isinstance(one, SaidAs | TroubleOver))
    meant = (*with_units_of(target.call.meant, call), *said)
    return Call(target.call.act, meant=meant, **(kept | slots))


def _drop_old_lure(kept: dict[str, Any], slots: dict[str, Any]) -> None:
    """Remove what the correction overrules: a name overrules all else, a colour the name and the head."""
    gone = {"lure"}
    if "lure" in slots:
        gone |= {"size_in", "colours", "head"}
    if "colours" in slots:
        gone.add("head")
    for slot in gone:
        kept.pop(slot, None)


def _latest_first(records: Sequence[Record]) -> Iterator[Entry]:
    return (r for r in reversed(records) if isinstance(r, Entry))


def _named(records: Sequence[Record], call: Call, tz: tzinfo) -> Iterator[Entry]:
    """Return the standing entries that may be meant, the likeliest first."""
    void = void_ids(records)
    kind, lure = call.meaning(OfKind), call.meaning(OfLure)
    acts = OF_KIND.get(kind.kind) if kind is not None else None
    fits = [
        e
        for e in _latest_first(records)
        if e.id not in void
        and call.of_act in (None, e.call.act)
        and (acts is None or e.call.act in acts)
        and (lure is None or e.call.lure == lure.lure)
        and call.of_position in (None, e.call.position)
        and (call.of_species is None or species_match(e.call.species, call.of_species) > 1)
    ]
    if call.of_clock is None:
        return iter(fits)
    near = [(clock_gap(call.of_clock, e.at, tz), e) for e in fits]
    close = [(gap, e) for gap, e in near if gap is not None and gap <= CLOCK_MARGIN]
    return iter([e for _, e in sorted(close, key=lambda pair: pair[0])])


def _where_said(records: Sequence[Record], entry: Entry, call: Call) -> Entry:
    """Return the entry that said the position, unless another open fish is at the right one."""
    stood = standing_entries(records)
    follows = entry.call.act in ENDINGS or TABLE[entry.call.act].stage == "on"
    if follows and another_is_there(stood, entry, call):
        return entry
    by_id = {e.id: e for e in stood}
    for fish in fold(stood).fish:
        if entry.id in fish.entries:
            said = [by_id[i] for i in fish.entries if "position" not in by_id[i].inferred]
            placed = [e for e in said if e.call.position is not None]
            return placed[0] if placed else entry
    return entry


def another_is_there(stood: Sequence[Entry], entry: Entry, call: Call) -> bool:
    """Return whether another fish waited, when an entry was made, on the line that a correction names."""
    if call.position is None:
        return False
    before = fold(stood[: stood.index(entry)])
    line = line_for(before.spread, call.position, call.side)
    other = find_fish(before.fish, fish_clue(entry.call, entry.at, line))
    return other is not None and other.line == line


def _undo_of_undo(records: Sequence[Record]) -> Undo | Refusal:
    void = void_ids(records)
    made = {r.message for r in records if isinstance(r, Entry) and r.message}
    for record in reversed(records):
        if isinstance(record, Voided) and not (record.message and record.message in made):
            gone = tuple(i for i in record.entries if i in void)
            if gone:
                return Undo(_restored_by(records, record.message, void), gone)
    return Refusal("There is no undo to take back.")


def _voided_by(records: Sequence[Record], message: str, void: frozenset[str]) -> tuple[str, ...]:
    own = [r.entries for r in records if isinstance(r, Voided) and r.message == message]
    mine = {r.id for r in records if isinstance(r, Entry) and r.message == message}
    return tuple(i for ids in own for i in ids if i in void and i not in mine)


def _restored_by(records: Sequence[Record], message: str, void: frozenset[str]) -> tuple[str, ...]:
    """Return the entries that an undo of a correction restored and that still stand."""
    if not message:
        return ()
    back = [r.entries for r in records if isinstance(r, Restored) and r.message == message]
    return tuple(i for ids in back for i in ids if i not in void)


def _nothing_like(call: Call) -> str:
    act = (call.of_act or call.of_species or "entry").replace("_", " ")
    where = f" on {call.of_position}" if call.of_position else ""
    clock = f" at {call.of_clock}" if call.of_clock else ""
    return f"The log has no {act}{where}{clock}."
