"""What lies in which tray now, and what it takes to put one out.

Begins with the trays as they were imported or planned, and takes the entries of the log that came after,
by whom and on which trip whatever. Pure.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from bot.spread.positions import in_order
from bot.spread.readiness import Readiness, made_at
from bot.spread.weights import DEFAULT_WEIGHTS, Weights
from bot.tackle.items import Boat, Lure
from bot.tackle.trays import Tray, TrayLure, tray_key
from bot.trip.acts import CLEAR, SET
from bot.trip.call import Call
from bot.trip.entry import Entry
from bot.trip.lures import agrees, from_box, same_lure
from bot.trip.meant import OfTray, meaning
from bot.trip.state import InWater, Trip


def trays_after(
    made: Iterable[tuple[Tray, datetime]], told: Iterable[Entry], box: Sequence[Lure] = ()
) -> tuple[Tray, ...]:
    """Return the trays after the calls about them, by name; `made` says when each was imported or planned.

    What was called before a tray was made anew counts no more.
    """
    since = {tray_key(tray.name): at for tray, at in made}
    trays = {tray_key(tray.name): tray for tray, _ in made}
    for entry in sorted(told, key=lambda one: one.id):
        key = tray_key(entry.call.tray or "")
        when = made_at(entry.id)
        if not key or (key in since and when is not None and when < since[key]):
            continue
        changed = _told(trays.get(key), entry.call, box)
        if changed is None:
            trays.pop(key, None)
        else:
            trays[key] = changed
    return tuple(trays[key] for key in sorted(trays) if trays[key].lures)


def _told(tray: Tray | None, call: Call, box: Sequence[Lure]) -> Tray | None:
    """Return a tray after one call about it, or None where it is given up."""
    of = meaning(call.meant, OfTray) or OfTray()
    if of.emptied:
        return None
    tray = tray or Tray((call.tray or "").strip().casefold())
    tackle = of.tackle or of.line_class_kg or tray.tackle
    tray = replace(tray, tackle=tackle, speed_kn=of.speed_kn or tray.speed_kn)
    if not call.names_lure:
        return tray
    full = from_box(call, box)
    one = TrayLure(full.lure, full.size_in, full.colours, full.head, call.position, of.spare)
    if of.out:
        gone = next((held for held in tray.lures if _is(one, held)), None)
        return replace(tray, lures=tuple(held for held in tray.lures if held is not gone))
    kept = (
        held
        for held in tray.lures
        if not same_lure(held, one) and not (one.position and held.position == one.position)
    )
    return replace(tray, lures=(*kept, one))


def _is(said: TrayLure, held: TrayLure) -> bool:
    return agrees(said, held)


def not_ready(tray: Tray, states: Mapping[str, Readiness]) -> tuple[tuple[TrayLure, str], ...]:
    """Return the lures of a tray that may not go out, each with why."""
    found = []
    for one in tray.lures:
        stands = states.get(one.lure or "")
        if stands is None:
            found.append((one, "not in the box"))
        elif stands.state not in ("ready", "in water"):
            found.append((one, stands.state + (f", {stands.reason}" if stands.reason else "")))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class Exchange:
    """What it takes to put a tray out."""

    calls: tuple[Call, ...] = ()
    """For the log: lures that go out, positions that stay empty."""
    comes_in: tuple[InWater, ...] = ()
    """What comes in, in order: the nearest line first, so that no line crosses one that is still out."""
    goes_out: tuple[TrayLure, ...] = ()
    """What goes out, in order: the farthest first."""
    held: tuple[str, ...] = ()
    """Lines that stay as they are: a fish is on."""
    same: tuple[str, ...] = ()
    """Lines that have their lure already."""


def exchange(laid: Sequence[TrayLure], trip: Trip, boat: Boat) -> Exchange:
    """Return the changes that make these lures, each with its position, the spread.

    The order of lines is common practice without a source: in from the nearest, out from the farthest.
    """
    order = {p: n for n, p in enumerate(in_order(_all_positions(laid, trip, boat)))}
    busy = {fish.line for fish in trip.fish_on}
    lines = sorted(trip.spread.values(), key=lambda one: order.get(one.position, len(order)))
    wanted = {one.position: one for one in laid if one.position}
    held = tuple(one.line for one in lines if one.line in busy)
    free = [one for one in lines if one.line not in busy]
    same = [one for one in free if one.position in wanted and same_lure(one, wanted[one.position])]
    comes_in = [one for one in free if one not in same]
    stays = {one.position for one in same} | {one.position for one in lines if one.line in busy}
    goes_out = sorted(
        (one for position, one in wanted.items() if position not in stays),
        key=lambda one: -order.get(one.position or "", 0),
    )
    clears = [
        Call(CLEAR, position=one.position, side=one.side)
        for one in comes_in
        if one.position not in wanted
    ]
    sets = [
        Call(SET, position=one.position, side=_side(one.position, comes_in), lure=one.lure,
             size_in=one.size_in, colours=one.colours, head=one.head)
        for one in goes_out
    ]  # fmt: skip
    names = tuple(one.line or one.position for one in same)
    return Exchange((*clears, *sets), tuple(comes_in), tuple(goes_out), held, names)


def _side(position: str | None, comes_in: Sequence[InWater]) -> str | None:
    return next((one.side for one in comes_in if one.position == position), None)


def _all_positions(laid: Sequence[TrayLure], trip: Trip, boat: Boat) -> list[str]:
    found = [*boat.positions, *(one.position or "" for one in laid)]
    found += [one.position for one in trip.spread.values()]
    return list(dict.fromkeys(position for position in found if position))


def laid_out(
    tray: Tray, box: Sequence[Lure], boat: Boat, weights: Weights = DEFAULT_WEIGHTS
) -> tuple[tuple[TrayLure, ...], tuple[TrayLure, ...]]:
    """Return the lures of a tray that go out, each with its position, and those that find no place.

    A lure that nobody gave a position goes where the planner would have it.
    """
    fixed = [one for one in tray.runners if one.position]
    loose = [one for one in tray.runners if not one.position]
    taken = {one.position for one in fixed}
    free = tuple(p for p in boat.positions if p not in taken)
    if not loose or not free:
        return tuple(fixed), tuple(loose)
    placed_ = _placed(
        tray,
        loose,
        [x for x in box if x.name in {o.lure for o in loose}],
        _part(boat, free),
        weights,
    )
    found = [replace(one, position=placed_[one.label]) for one in loose if one.label in placed_]
    left = tuple(one for one in loose if one.label not in placed_)
    return (*fixed, *found), left


def _part(boat: Boat, positions: tuple[str, ...]) -> Boat:
    """Return the boat with some of its positions only."""
    outfits = tuple(outfit for outfit in boat.outfits if outfit.position in positions)
    return replace(boat, positions=positions, outfits=outfits)


def _placed(
    tray: Tray, loose: Sequence[TrayLure], boxed: Sequence[Lure], boat: Boat, weights: Weights
) -> dict[str, str]:
    """Return the position of each lure by its label: as planned, the others by size where there is room."""
    from bot.spread.planner import plan

    made = plan(boxed, boat, speed_kn=tray.speed_kn, weights=weights)
    found = {one.lure: one.position for one in made.positions}
    rest = [position for position in boat.positions if position not in found.values()]
    others = sorted((o for o in loose if o.label not in found), key=lambda o: -(o.size_in or 0.0))
    return found | {one.label: position for one, position in zip(others, rest, strict=False)}
