"""Turn a request for a spread into what a plan is made from: lures, positions, tackle, speed.

Every wish is used and mentioned, or refused in words; none is dropped.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from bot.answers.at_sea import is_slow, with_what_is_out
from bot.answers.set_aside import is_of, left_out, stands_by
from bot.answers.tray_talk import no_tray
from bot.answers.view import View
from bot.replies.amounts import count, number
from bot.spread.fish_rules import (
    FOR_FISH,
    FOR_SEA,
    like_words,
    nearest,
    sea_words,
    with_heads,
)
from bot.spread.positions import in_order
from bot.spread.rules import range_words, runs_at
from bot.spread.score import tone
from bot.spread.standby import TRAYS
from bot.tackle.items import Boat, Lure
from bot.tackle.line_classes import CLASS_OF_WORD
from bot.tackle.trays import named_tray, tray_key
from bot.trip.call import Call
from bot.trip.meant import SpreadWish
from bot.trip.state import InWater

SLOW: Final = "slow"
FAST: Final = "fast"
LARGEST_IN: Final = 40.0
"""Length of the largest lure: a class that carries it carries any."""
NOTHING: Final = SpreadWish()
OUT_OF_PLANS: Final = ("lost", "rework")
"""Lures that no plan has."""


@dataclass(frozen=True, slots=True)
class PlanInput:
    """The input of a plan."""

    call: Call
    """With what follows from its words."""
    wish: SpreadWish
    lures: tuple[Lure, ...]
    boat: Boat
    """With the positions that are to be filled."""
    speed_kn: float | None
    kept: tuple[InWater, ...] = ()
    """What stays as it is."""
    must: tuple[tuple[str, str], ...] = ()
    """Lures that are to be in it, each with its position or an empty text."""
    said: tuple[str, ...] = ()
    """Words for the wishes that were used."""
    refused: tuple[str, ...] = ()
    """Words for the wishes that could not be used, and why."""
    left: tuple[tuple[Lure, str], ...] = ()
    """Lures that might have gone out but for a wish, each with the words for it."""

    @property
    def fills(self) -> str:
        """Return the name of the tray that the plan goes into; empty where it goes out."""
        return self.call.tray or "" if self.wish.to_do == "filled" else ""


def plan_input(view: View, call: Call, before: Call | None = None) -> PlanInput:
    """Return the input of a plan; `before` is the request for the plan that it replaces."""
    wish = call.meaning(SpreadWish) or NOTHING
    if before is not None:
        call, wish = _again(call, wish, before)
    call, wish = _by_name(view, call, wish)
    wish = with_what_is_out(view, wish)
    every = view.box if wish.to_do == "filled" else view.ready
    sound = tuple(one for one in every if view.readiness[one.name].state not in OUT_OF_PLANS)
    lures, left = _without_aside(view, sound, call, wish)
    found = PlanInput(call, wish, lures, view.boat.in_units(view.units), _speed(view, call))
    steps = (
        _from_tray, _keeping, _placed, _slowly, _without, _only, _toned, _sized, _for_fish, _for_sea,
        _with_lures, _not_understood,
    )  # fmt: skip
    for step in steps:
        found = step(view, found)
    if left:
        found = replace(found, said=(*found.said, f"left out for the day: {', '.join(left)}"))
    usual = view.boat.usual_kn
    if found.speed_kn is None and any(runs_at(lure, usual) for lure in found.lures):
        return replace(found, speed_kn=usual)
    return found


def _without_aside(
    view: View, lures: Sequence[Lure], call: Call, wish: SpreadWish
) -> tuple[tuple[Lure, ...], tuple[str, ...]]:
    """Return lures without those that stand by or were left out, and which were left out and not said now.

    What is to come from a tray, or to go into that of the outfit, is asked for as it is.
    """
    gone, by = left_out(view), stands_by(view)
    for_outfit = any(tray_key(call.tray or "") in map(tray_key, names) for names in TRAYS.values())
    if wish.from_tray or for_outfit:
        by = {}
    kept = tuple(x for x in lures if x.name not in gone and x.name not in by)
    told = (x.name for x in lures if x.name in gone and x.name not in (*wish.without, *wish.lures))
    return kept, tuple(told)


def _again(call: Call, wish: SpreadWish, before: Call) -> tuple[Call, SpreadWish]:
    old = before.meaning(SpreadWish) or NOTHING
    slots = {name: getattr(before, name) for name in ("tackle", "speed_kn", "species", "tray")}
    missing = {k: v for k, v in slots.items() if v is not None and getattr(call, k) is None}
    if replace(wish, unused=(), without=()) == NOTHING:
        wish = replace(old, unused=wish.unused, without=(*old.without, *wish.without))
    elif call.asks("changed"):
        wish = _changed(wish, old)
    rest = tuple(one for one in call.meant if not isinstance(one, SpreadWish))
    return call.with_slots(**missing, meant=(*rest, wish)), wish


def _changed(wish: SpreadWish, old: SpreadWish) -> SpreadWish:
    """Return the wishes for a plan on offer with other lures on some of its lines."""
    lures = dict(zip(old.lures, old.lures_at or ("",) * len(old.lures), strict=False))
    new = dict(zip(wish.lures, wish.lures_at, strict=True))
    kept = {
        lure: at for lure, at in lures.items() if lure not in new and at not in (*new.values(),)
    }
    placed = {**kept, **new}
    without = (*(one for one in old.without if one not in new), *wish.without)
    return replace(
        old, without=without, lures=tuple(placed), lures_at=tuple(placed.values()), unused=()
    )


def _by_name(view: View, call: Call, wish: SpreadWish) -> tuple[Call, SpreadWish]:
    """Take "the slow spread" for slow runners where there is no tray of that name."""
    known = named_tray(view.trays, call.tray) if call.tray and wish.to_do == "filled" else None
    if known is not None:
        call = call.with_slots(
            tackle=call.tackle or known.tackle, speed_kn=call.speed_kn or known.speed_kn
        )
    key = tray_key(call.tray or "")
    if key == SLOW:
        wish = replace(wish, slow=True)
    elif key in CLASS_OF_WORD and call.tackle is None:
        call = call.with_slots(tackle=key)
    return call, wish


def _speed(view: View, call: Call) -> float | None:
    """Return the speed that was asked for, else the boat's speed as called on this trip."""
    if call.speed_kn is not None:
        return call.speed_kn
    return view.speed_kn if view.trip.speed_kn == view.speed_kn else None


def _from_tray(view: View, found: PlanInput) -> PlanInput:
    name = found.wish.from_tray
    if not name:
        return found
    tray = named_tray(view.trays, name)
    if tray is None:
        return _refuse(found, no_tray(view, name))
    names = {one.lure for one in tray.lures}
    lures = tuple(lure for lure in found.lures if lure.name in names)
    return _with(found, lures, f"only what is in {tray.words} ({len(lures)} ready)")


def _keeping(view: View, found: PlanInput) -> PlanInput:
    for position in found.wish.keep:
        there = [one for one in view.trip.spread.values() if one.position == position]
        if not there and view.lure(position) is not None:
            found = _refuse(found, f"{position} is not out, so it cannot stay there")
            continue
        if not there:
            found = _refuse(found, f"nothing is out on the {position}, so there is nothing to keep")
            continue
        names = {one.lure for one in there}
        rest = tuple(p for p in found.boat.positions if p != position)
        outfits = tuple(one for one in found.boat.outfits if one.position != position)
        if not rest:
            refused = "every position is to be kept: there is nothing to plan"
            return replace(_refuse(found, refused), lures=())
        found = replace(
            found,
            boat=replace(found.boat, positions=rest, outfits=outfits),
            kept=(*found.kept, *there),
            lures=tuple(lure for lure in found.lures if lure.name not in names),
        )
    if found.kept:
        kept = ", ".join(f"{one.position} {one.label}" for one in found.kept)
        return replace(found, said=(*found.said, f"kept: {kept}"))
    return found


def _slowly(view: View, found: PlanInput) -> PlanInput:
    if not found.wish.slow:
        return found
    usual = number(view.boat.usual_kn)
    slow = tuple(lure for lure in found.lures if is_slow(view, lure))
    if found.call.speed_kn is None and not slow:
        text = (
            f"no ready lure runs only below {usual} knots: name the speed, or give the lures"
            " their speeds in the box"
        )
        if found.kept:
            text = f"no other ready lure runs only below {usual} knots"
        return replace(_refuse(found, text), lures=())
    if found.call.speed_kn is not None:
        return found
    kept = (lure for one in found.kept if (lure := view.lure(one.lure)) and is_slow(view, lure))
    all_slow = (*slow, *kept)
    speed_kn = max(
        {lure.speed_range_kn[1] for lure in all_slow},
        key=lambda kn: (sum(runs_at(lure, kn) for lure in all_slow), kn),
    )
    return replace(_with(found, slow, "slow runners only"), speed_kn=speed_kn)


def _without(_: View, found: PlanInput) -> PlanInput:
    for name in found.wish.without:
        left = tuple(lure for lure in found.lures if not is_of(lure, name))
        if len(left) == len(found.lures):
            found = _refuse(found, f"without {name}: no lure of that is ready anyway")
        else:
            found = _with(found, left, f"without {name}")
    return found


def _only(_: View, found: PlanInput) -> PlanInput:
    names = found.wish.only
    if not names:
        return found
    left = [lure for lure in found.lures if any(is_of(lure, name) for name in names)]
    return _limited(found, left, " or ".join(names))


def _limited(found: PlanInput, left: Sequence[Lure], words: str) -> PlanInput:
    """Keep to some lures, unless none is left."""
    if not left:
        return _refuse(found, f"only {words}: no lure of that is ready")
    return _with(found, left, f"only {words} ({len(left)} ready)")


def _toned(_: View, found: PlanInput) -> PlanInput:
    if not found.wish.tone:
        return found
    wanted_tone = {"dark": -1, "bright": 1}[found.wish.tone]
    left = [lure for lure in found.lures if tone(lure) == wanted_tone]
    return _limited(found, left, f"{found.wish.tone} lures")


def _sized(_: View, found: PlanInput) -> PlanInput:
    most, least = found.wish.most_in, found.wish.least_in
    if most is None and least is None:
        return found
    left = [x for x in found.lures if (least or 0.0) <= x.size_in <= (most or LARGEST_IN)]
    words = [f"from {number(least)} inches"] if least is not None else []
    words += [f"to {number(most)} inches"] if most is not None else []
    return _limited(found, left, f"lures {' '.join(words)}")


def _placed(_: View, found: PlanInput) -> PlanInput:
    """Keep to the positions that were named, or to so many lines, the nearest first."""
    own = found.boat.positions
    at = tuple(p for p in own if p in found.wish.at)
    if not at and any(p in found.wish.not_at for p in own):
        at = tuple(p for p in own if p not in found.wish.not_at)
    many = found.wish.lines
    if not at and many is not None and many < len(found.boat.positions):
        wished = (p for p in found.wish.lures_at if p in found.boat.positions)
        first = [*dict.fromkeys((*wished, *in_order(found.boat.positions)))][:many]
        at = tuple(p for p in found.boat.positions if p in first)
    if many is not None and many > len(found.boat.positions):
        have = count(len(found.boat.positions), "line")
        found = _refuse(found, f"this boat has {have}, not {many}")
    if not at:
        return found
    outfits = tuple(one for one in found.boat.outfits if one.position in at)
    boat = replace(found.boat, positions=at, outfits=outfits)
    return replace(found, boat=boat, said=(*found.said, f"only for {', '.join(at)}"))


def _for_fish(view: View, found: PlanInput) -> PlanInput:
    species = found.call.species
    if species is None:
        return found
    liking = FOR_FISH.get(species)
    if liking is None:
        return _refuse(found, f"no practice for {species} is known here: planned as for any fish")
    at_kn = found.speed_kn or view.boat.usual_kn
    running = [lure for lure in found.lures if runs_at(lure, at_kn)] or list(found.lures)
    most = len(found.boat.positions)
    liked = nearest(running, liking, most)
    if liking.heads:
        liked = with_heads(liked, liking.heads, most)
    return _with(found, liked, like_words(species, liking))


def _for_sea(view: View, found: PlanInput) -> PlanInput:
    liking = FOR_SEA.get(found.wish.sea)
    if liking is None:
        return found
    at_kn = found.speed_kn or view.boat.usual_kn
    running = [lure for lure in found.lures if runs_at(lure, at_kn)] or list(found.lures)
    left = with_heads(running, liking.heads, len(found.boat.positions))
    return _with(found, left, sea_words(found.wish.sea, liking))


def _with_lures(view: View, found: PlanInput) -> PlanInput:
    """Take the lures in that are to be there, whatever else was wished."""
    at_kn = found.speed_kn or view.boat.usual_kn
    for there in found.kept:
        kept = view.lure(there.lure)
        if kept is not None and not runs_at(kept, at_kn):
            runs = range_words(*kept.speed_range_kn)
            found = _refuse(found, f"{kept.name} is kept, but runs {runs}, not at {at_kn:g}")
    places = found.wish.lures_at or ("",) * len(found.wish.lures)
    for name, position in zip(found.wish.lures, places, strict=False):
        lure = view.lure(name) or _described(view, name)
        if lure is not None and any(is_of(lure, other) for other in found.wish.without):
            continue  # it was wished first, and then taken out
        where = f" on the {position}" if position else ""
        if lure is None:
            found = _refuse(found, f"no {name} is in the box")
        elif lure not in view.ready and found.wish.to_do != "filled":
            found = _refuse(found, f"{lure.name} is not ready, so it is not planned{where}")
        elif not runs_at(lure, at_kn):
            runs = range_words(*lure.speed_range_kn)
            found = _refuse(found, f"{name} runs {runs}, not at {at_kn:g}, so it is not planned")
        elif position and position not in found.boat.positions:
            found = _refuse(found, f"{name}: no line of this plan is the {position}")
        else:
            lures = tuple(dict.fromkeys((*found.lures, lure)))
            left = tuple(one for one in found.left if one[0] != lure)
            must = (*found.must, (lure.name, position))
            found = replace(found, lures=lures, left=left, must=must)
    return found


def _described(view: View, words: str) -> Lure | None:
    """Return the lure of colours and a size, e.g. `purple 8`: ready, and in just these first."""
    *colours, size = words.split()
    fits = [
        lure
        for lure in view.box
        if f"{lure.size_in:g}" == size and set(colours) <= set(lure.colours)
    ]
    ready = {lure.name for lure in view.ready}
    return min(
        fits,
        key=lambda x: (x.name not in ready, len(x.colours) != len(colours), x.name),
        default=None,
    )


def _not_understood(_: View, found: PlanInput) -> PlanInput:
    if also := found.wish.also_for:
        planned = f"for one fish at a time: {found.call.species}, not {' or '.join(also)}"
        found = _refuse(found, planned)
    if not found.wish.unused:
        return found
    return _refuse(found, f"not used, because it was not understood: {' '.join(found.wish.unused)}")


def _with(found: PlanInput, lures: Sequence[Lure], said: str) -> PlanInput:
    gone = tuple((lure, said) for lure in found.lures if lure not in lures)
    return replace(found, lures=tuple(lures), said=(*found.said, said), left=(*found.left, *gone))


def _refuse(found: PlanInput, why: str) -> PlanInput:
    return replace(found, refused=(*found.refused, why))


def class_words(view: View, tackle: str | float | None) -> str:
    """Return the limits of a class of tackle on this boat, in words."""
    from bot.spread.rods import boat_class_kg
    from bot.tackle.line_classes import class_of, default_gauge

    if tackle is None:
        return ""
    kg = boat_class_kg(view.boat, tackle)
    line = class_of(kg)
    own = next((o for o in view.boat.outfits if class_of(o.line_class_kg).kg == kg), None)
    drag_kg = own.drag_kg if own else 0.3 * kg
    gauge = own.gauge if own else default_gauge(kg)
    rigged = ", the heaviest rigged" if tackle == "heavy" and own else ""
    rigged = ", the lightest rigged" if tackle == "light" and own else rigged
    most = f" (to {line.practised_in:g} with a practised crew)"
    if line.practised_in <= line.comfortable_in:
        most = ""
    elif line.practised_in >= LARGEST_IN:
        most = " (larger with a practised crew)"
    return (
        f"{view.units.line(kg)}{rigged}: lures to {line.comfortable_in:g} in{most}, {gauge} hooks,"
        f" strike drag {view.units.weight(round(drag_kg, 1))}"
    )
