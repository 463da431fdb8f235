"""Find the fish that a correction names, wherever it stands in the trip, and the entries to put right.

"Sadie's fish at 9:14 was a mahi": by its angler, its time, its line, its name, its lure, its end or its tag.
Pure.
"""

from collections.abc import Callable, Sequence
from datetime import datetime, timedelta, tzinfo
from typing import Final

from bot.tackle.box import same_name
from bot.trip.acts import BITES, CAUGHT, LOST, MISSED, TABLE, TAKES
from bot.trip.call import Call
from bot.trip.corrections import CLOCK_MARGIN, NOT_AMENDED, correction
from bot.trip.encounters import same_person, species_match
from bot.trip.entry import Entry
from bot.trip.fish import Fish
from bot.trip.lures import LURE_SLOTS
from bot.trip.meant import OfFish, PutsRight
from bot.trip.times import clock_gap

SPOKEN_OF: Final = timedelta(minutes=15)
"""How long the fish that ended last is meant before others of the same name."""
_HALF_A_DAY: Final = 12
_MEASURED: Final = frozenset({"weight_kg", "length_cm", "tag"})
_ORDER: Final = {"first": 0, "second": 1, "third": 2, "last": -1}
_KEPT: Final = frozenset(act for act in CAUGHT if TABLE[act].keeps)
_ENDED: Final = {"kept": _KEPT, "let go": CAUGHT - _KEPT, "lost": LOST, "missed": MISSED}
_NOT_MOVED: Final = frozenset({"position", "side", *LURE_SLOTS})

_NAMING: Final = frozenset({"species", "weight_kg", "length_cm", "count"})

Part = tuple[Entry, Call]


def matching_fish(
    named: OfFish,
    call: Call,
    fish: Sequence[Fish],
    stood: Sequence[Entry],
    at: datetime,
    tz: tzinfo,
) -> tuple[Fish, ...]:
    """Return the fish that fit what was named, the latest first; several where nothing decides."""
    if chosen := [one for one in fish if named.fish is not None and named.fish in one.entries]:
        return tuple(chosen)
    by_id = {entry.id: entry for entry in stood}
    found = [one for one in fish if one.was_struck or one.raised_at]
    near = _near(found, named.clock, by_id, tz) if named.clock is not None else {}
    if named.clock is not None:
        found = [one for one in found if one.id in near]
    found = _still_there(named, found)
    for fits in (_ended(named), _species(named, at), _angler(named, by_id), _place(named)):
        found = _best(found, fits)
    if near:
        least = min((near[one.id] for one in found), default=timedelta())
        found = [one for one in found if near[one.id] == least]
    if _MEASURED & call.said().keys():
        found = [one for one in found if one.caught] or found
    if named.order is not None:
        return _ordered(found, named.order)
    return _spoken_of(found, named, call, at)


def _still_there(named: OfFish, fish: list[Fish]) -> list[Fish]:
    """Return the fish that wait, where it is said what one is now and one of them can be it; else all."""
    waits = [
        one
        for one in fish
        if not one.is_over and one.was_struck and same_person(one.angler, named.angler)
    ]
    return waits if named.is_now and waits else fish


def called_on(call: Call, target: Entry, fish: Sequence[Fish]) -> tuple[Fish, ...]:
    """Return the fish on that a name is called of, and not the one in the box; none where it is that.

    "Blue!" while one is on is no news of the mahi just boated; "no, a blue" is.
    """
    own = next((one for one in fish if target.id in one.entries), None)
    told = call.said().keys()
    if call.meaning(PutsRight) or "species" not in told or not told <= _NAMING:
        return ()
    if own is None or not own.is_over or own.species is None:
        return ()
    differs = not species_match(target.call.species or own.species, call.species)
    return tuple(one for one in fish if one.is_on) if differs else ()


def parts_for(call: Call, one: Fish, stood: Sequence[Entry]) -> tuple[Part, ...]:
    """Return what each entry of a fish takes: its line and lure the bite, all else its end."""
    own = [entry for entry in stood if entry.id in one.entries]
    slots = {name: value for name, value in call.said().items() if name not in NOT_AMENDED}
    times = {name: value for name, value in call.said().items() if name in ("ago_min", "clock")}
    told: dict[str, dict[str, object]] = {}
    for name, value in slots.items():
        for entry in _takers(name, value, own):
            told.setdefault(entry.id, {})[name] = value
    if times and own:
        told.setdefault(own[-1].id, {}).update(times)
    return tuple(
        (entry, _pinned(correction(**told[entry.id], meant=call.meant), entry, one, call))
        for entry in own
        if entry.id in told
    )


def words_for(named: OfFish) -> str:
    """Return what was named in words: "mahi-mahi at 10:41 of Sadie"."""
    what = named.species or "fish"
    order = f"{named.order} " if named.order not in (None, "last") else ""
    when = f" at {named.clock}" if named.clock else ""
    where = f" on the {named.position}" if named.position else ""
    lure = f" on {named.lure}" if named.lure else ""
    whose = f" of {named.angler}" if named.angler else ""
    return f"{order}{'tagged ' if named.tagged else ''}{what}{when}{where}{lure}{whose}"


def _best(fish: list[Fish], fits: Callable[[Fish], int]) -> list[Fish]:
    """Return the fish that fit best of those that fit at all."""
    ranked = [(fits(one), one) for one in fish]
    most = max((rank for rank, _ in ranked), default=0)
    return [one for rank, one in ranked if rank == most and rank > 0]


def _ended(named: OfFish) -> Callable[[Fish], int]:
    def fits(one: Fish) -> int:
        acts = {end.act for end in one.ends}
        ended = named.ended is None or bool(acts & _ENDED[named.ended])
        tagged = not named.tagged or one.tagged
        return int(ended) + int(ended and tagged) if tagged or acts & CAUGHT else 0

    return fits


def _species(named: OfFish, at: datetime) -> Callable[[Fish], int]:
    """Return how well a name fits: one that nobody named only where it is told apart, or late."""

    def fits(one: Fish) -> int:
        rank = max((species_match(name, named.species) for name in _names(one)), default=1)
        told = named.species is None or named.clock or named.angler or named.position
        lately = one.ended_at is None or at - one.ended_at <= SPOKEN_OF
        return rank if rank > 1 or told or lately else 0

    return fits


def _names(one: Fish) -> list[str | None]:
    return [
        *(end.species or one.species for end in one.ends if end.act in CAUGHT | LOST),
        one.species,
    ]


def _angler(named: OfFish, by_id: dict[str, Entry]) -> Callable[[Fish], int]:
    def fits(one: Fish) -> int:
        who = [one.angler, *(by_id[i].call.angler for i in one.entries if i in by_id)]
        if named.angler is None:
            return 1
        known = [name for name in who if name is not None]
        return max((same_person(name, named.angler) for name in known), default=1)

    return fits


def _place(named: OfFish) -> Callable[[Fish], int]:
    def fits(one: Fish) -> int:
        there = named.position is None or one.position is None or one.position == named.position
        took = named.lure is None or one.lure is None or same_name(one.lure, named.lure)
        told = (named.position, one.position), (named.lure, one.lure)
        sure = sum(said is not None and said == known for said, known in told)
        return 1 + sure if there and took else 0

    return fits


def _near(
    fish: Sequence[Fish], clock: str, by_id: dict[str, Entry], tz: tzinfo
) -> dict[str, timedelta]:
    """Return how near the entries of each fish come to a time of day, said on either half of the clock."""
    hours, _, minutes = clock.partition(":")
    later = int(hours) + _HALF_A_DAY
    for said in (clock, f"{later:02d}:{minutes}") if later < 2 * _HALF_A_DAY else (clock,):
        near: dict[str, timedelta] = {}
        for one in fish:
            gaps = [clock_gap(said, by_id[i].at, tz) for i in one.entries if i in by_id]
            known = [gap for gap in gaps if gap is not None and gap <= CLOCK_MARGIN]
            near |= {one.id: min(known)} if known else {}
        if near:
            return near
    return {}


def _ordered(fish: Sequence[Fish], order: str) -> tuple[Fish, ...]:
    """Return the first, second ... of the fish that fit; the other one is that before the last."""
    if order == "other":
        return tuple(fish[:-1])
    place = _ORDER[order]
    if order == "last" and all(one.ended_at is not None for one in fish):
        fish = sorted(fish, key=lambda one: one.ended_at or one.first_at)
    return tuple(fish[place:][:1]) if place < len(fish) else ()


def _spoken_of(fish: Sequence[Fish], named: OfFish, call: Call, at: datetime) -> tuple[Fish, ...]:
    """Return the only fish meant, where one is on and named as it is now, or ended last and not long ago."""
    if len(fish) <= 1:
        return tuple(fish)
    on = [one for one in fish if one.is_on]
    if named.is_now and on:
        return tuple(reversed(on))  # what it is now is not said of one that is off
    lately = [
        one
        for one in fish
        if one.ended_at is not None and timedelta() <= at - one.ended_at <= SPOKEN_OF
    ]
    if len(lately) == 1 and not on:
        return (lately[0],)
    if call.weight_kg is not None:
        bare = [one for one in fish if one.weight_kg is None]
        return tuple(reversed(bare or fish))
    return tuple(reversed(fish))


def _takers(name: str, value: object, own: Sequence[Entry]) -> list[Entry]:
    """Return the entries of a fish that a value goes to: the last that takes it, and all that deny it."""
    takes = [entry for entry in own if name in TAKES[entry.call.act]]
    bites = [entry for entry in takes if entry.call.act in BITES]
    if name in _NOT_MOVED:
        said = [e for e in takes if e.call.said().get(name) and name not in e.inferred]
        return said or bites[:1] or takes[:1]
    if name == "species":
        wrong = [
            e for e in takes if e.call.species and not species_match(e.call.species, str(value))
        ]
        return list(dict.fromkeys((*(e for e in wrong if name not in e.inferred), *takes[-1:])))
    if name == "angler":
        said = [entry for entry in takes if entry.call.angler]
        return said or takes[-1:]
    return takes[-1:]


def _pinned(part: Call, entry: Entry, one: Fish, call: Call) -> Call:
    """Return a correction with the line that its fish has then, where the entry only followed it there."""
    follows = "position" in entry.inferred and entry.call.position == one.position
    line = call.position or one.position
    return part.with_slots(position=line, side=call.side) if follows and line else part
