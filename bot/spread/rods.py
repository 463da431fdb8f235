"""Which outfit fishes each position of a plan, at which speed, and which positions can be filled.

The word of the crew ("light", "thirty-seven kilos") goes before the outfits of the settings; without a
word they decide, and a position without an outfit has no tackle rules.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import combinations
from math import ceil
from typing import Final

import numpy as np

from bot.findings import Finding
from bot.spread.choice import FORBIDDEN, Ints
from bot.spread.matching import least
from bot.spread.rules import BENT_RULES, findings, runs_at
from bot.tackle.checks import Rig
from bot.tackle.items import USUAL_KN, Boat, Lure, Outfit
from bot.tackle.line_classes import class_of, tackle_class_kg

Rods = Mapping[str, Outfit | None]
"""Position to outfit; None where no tackle rule applies."""

NEW_LURES: Final = 3
"""Lures by which another plan differs."""
OTHER_HOOKS: Final = frozenset({"hooks-too-light", "hooks-too-heavy"})
_EMPTY: Final = 10**6


def rods_for(boat: Boat, tackle: str | float | None) -> tuple[Rods, tuple[Finding, ...]]:
    """Return the outfit for every position, and a note where the boat's own outfits are of another class.

    `tackle` is `light`, `medium`, `heavy` or a line class in kg; raises ValueError for another word.
    """
    own = {position: boat.outfit(position) for position in boat.positions}
    if tackle is None:
        return own, ()
    class_kg = boat_class_kg(boat, tackle)
    other = [o for o in own.values() if o is not None and class_of(o.line_class_kg).kg != class_kg]
    rods = {
        position: outfit
        if outfit and class_of(outfit.line_class_kg).kg == class_kg
        else Outfit(position, class_kg, units=boat.crew_units)
        for position, outfit in own.items()
    }
    if not other:
        return rods, ()
    there = (f"{o.units.line(class_of(o.line_class_kg).kg)} on the {o.position}" for o in other)
    text = f"planned for {boat.crew_units.line(class_kg)}; the settings have {', '.join(there)}"
    return rods, (Finding("note", text, "settings of the boat", code="other-outfits"),)


def boat_class_kg(boat: Boat, tackle: str | float) -> float:
    """Return the line class that a word or number means on this boat; raises ValueError for another word."""
    return tackle_class_kg(tackle, (outfit.line_class_kg for outfit in boat.outfits))


def speed_for(lures: Sequence[Lure], rods: Rods, usual_kn: float = USUAL_KN) -> float:
    """Return the speed at which most positions can be filled, of these the nearest to the usual one."""
    speeds = {usual_kn}
    for lure in lures:
        speeds |= {speed for speed in lure.speed_range_kn if 0 < speed < float("inf")}
    best, most = usual_kn, -1
    tried: dict[frozenset[str], int] = {}
    for speed_kn in sorted(speeds, key=lambda speed: (abs(speed - usual_kn), speed)):
        running = running_at(lures, speed_kn)
        if min(len(running), len(rods)) <= most:
            continue
        key = frozenset(lure.name for lure in running)
        if key not in tried:
            tried[key] = _filled(costs(running, tuple(rods.values()), speed_kn)[0])
        if tried[key] > most:
            best, most = speed_kn, tried[key]
        if most == len(rods):
            break
    return best


def running_at(lures: Sequence[Lure], speed_kn: float) -> list[Lure]:
    """Return the lures that run well at this speed."""
    return [lure for lure in lures if runs_at(lure, speed_kn)]


def costs(
    lures: Sequence[Lure], outfits: Sequence[Outfit | None], speed_kn: float
) -> tuple[Ints, Ints]:
    """Return two tables, lure (row) by outfit (column): cautions, and 1 where the hooks suit the outfit."""
    cost = np.zeros((len(lures), len(outfits)), dtype=np.int64)
    hooks = np.ones_like(cost)
    columns: dict[Outfit, int] = {}
    for column, outfit in enumerate(outfits):
        if outfit is None:
            continue
        same = replace(outfit, position="")
        if same in columns:
            cost[:, column], hooks[:, column] = cost[:, columns[same]], hooks[:, columns[same]]
            continue
        columns[same] = column
        for row, lure in enumerate(lures):
            found = findings(Rig(lure, outfit, speed_kn))
            if any(f.severity == "warning" for f in found):
                cost[row, column] = FORBIDDEN
            else:
                cost[row, column] = _bent(Rig(lure, outfit, speed_kn), found)
            hooks[row, column] = all(f.code not in OTHER_HOOKS for f in found)
    return cost, hooks


def _bent(rig: Rig, found: Sequence[Finding]) -> int:
    """Return how much a lure bends the rules: each caution, and every inch that it is too large."""
    codes = [f.code for f in found if f.severity == "caution" and f.code in BENT_RULES]
    inches = ceil(rig.lure.size_in - rig.line_class.comfortable_in)
    return len(codes) + (inches - 1 if "size-for-class" in codes else 0)


def fillable(cost: Ints, old: Sequence[bool] = ()) -> tuple[tuple[int, ...], int]:
    """Return the slots to fill, as many as can be and the nearest first, and how many old lures may be used.

    Where lures of a plan are to be avoided (`old`) at least three others are used if there are so many.
    """
    tagged = np.where(cost >= FORBIDDEN, _EMPTY, 0)
    if any(old):
        tagged = np.where(tagged == 0, np.array(old, dtype=np.int64)[:, None], tagged)
    filled, fewest_old = _matched(tagged)
    most_old = filled - min(NEW_LURES, filled - fewest_old)
    slots = cost.shape[1]
    for chosen in combinations(range(slots), filled):
        if filled == slots or _fits(tagged[:, chosen], filled, most_old):
            return chosen, most_old
    return (), 0


def fills(cost: Ints) -> bool:
    """Return whether every slot of a table can have a lure of its own."""
    return bool(_filled(cost) == cost.shape[1])


def _fits(tagged: Ints, filled: int, most_old: int) -> bool:
    found, used = _matched(tagged)
    return found == filled and used <= most_old


def _filled(cost: Ints) -> int:
    return _matched(np.where(cost >= FORBIDDEN, _EMPTY, 0))[0]


def _matched(tagged: Ints) -> tuple[int, int]:
    """Return how many slots an assignment can fill, and how many old lures it then needs at least."""
    rows, columns = least(tagged)
    taken = tagged[rows, columns]
    return int((taken < _EMPTY).sum()), int(taken[taken < _EMPTY].sum())
