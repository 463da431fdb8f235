"""Plan the spread to start with from the lures that are ready.

The goals, each before the next: positions filled (nearest first, but for lines on which alone all hooks suit
and no size is lost), rules kept, the largest lure nearest to the
boat and none larger behind it, hooks that suit the outfits where that costs no size, sizes spread as far as
they go (greatest least gap), most different sizes, then points for colours, tones, heads, spares and hooks
(`score`). The choice is exact (`search`); reasons and what could not be met come after it (`unmet`). Rules
that a plan cannot keep are said, never hidden.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Final

import numpy as np

from bot.findings import Finding
from bot.spread import score, unmet
from bot.spread.choice import FORBIDDEN, Choice, Ints, Problem
from bot.spread.earlier import Terms, terms
from bot.spread.matching import greatest
from bot.spread.plan import Plan, PlannedLure
from bot.spread.positions import distances_m, in_order, waves
from bot.spread.rods import Rods, costs, fills, rods_for, running_at, speed_for
from bot.spread.rules import findings
from bot.spread.score import SCALE
from bot.spread.search import best_choice
from bot.spread.unmet import ChosenLure
from bot.spread.weights import DEFAULT_WEIGHTS, Weights
from bot.tackle.box import name_key
from bot.tackle.checks import PRACTICE, Rig
from bot.tackle.crew_units import CrewUnits
from bot.tackle.items import Boat, Lure, check_number
from bot.tackle.trays import STANDBY
from bot.water.wake import WaveCount

MUST_NOT: Final = "must-not"
"""Code of what speaks against a lure that was to be in the plan."""
TOGETHER: Final = (
    "the lures that were asked for cannot all be in one spread there, so they are left out"
)
NO_LURES: Final[Mapping[str, str]] = {}


def plan(
    ready: Sequence[Lure],
    boat: Boat,
    *,
    tackle: str | float | None = None,
    speed_kn: float | None = None,
    avoid: Sequence[frozenset[str]] = (),
    weights: Weights = DEFAULT_WEIGHTS,
    calibration: WaveCount | None = None,
    layout: Sequence[str] = (),
    must: Mapping[str, str] = NO_LURES,
    others: Sequence[Lure] = (),
) -> Plan:
    """Return the best spread of the lures that are ready.

    `tackle` is `light`, `medium`, `heavy` or a line class in kg (without it the outfits of the boat
    decide); without `speed_kn` the speed nearest to the usual one at which most lures run; `avoid` holds the
    lures of earlier plans, latest last, from which this one is to differ (`earlier`). Raises ValueError for
    an unknown tackle word and for a speed that is none. `layout` are all positions of the boat where only
    some are to be filled, so that the distances stay those of the whole spread. `must` are lures that are to
    be in it, each with its position or an empty text; one that cannot go there is found (`MUST_NOT`).
    `others` may go out too, but are not what was asked for: none of them is called missing.
    """
    check_number("speed_kn", speed_kn)
    rods, rod_findings = rods_for(boat, tackle)
    lures = sorted(
        (lure for lure in ready if name_key(lure.name) not in STANDBY),
        key=lambda lure: (-lure.size_in, name_key(lure.name)),
    )
    at_kn = speed_for(lures, rods, boat.usual_kn) if speed_kn is None else speed_kn
    running = running_at(lures, at_kn)
    fits, refused = _that_fit(must, running, rods, at_kn)
    avoid = [names.difference(fits) for names in avoid]
    picked = _chosen(running, rods, at_kn, avoid, weights, fits)
    if fits and not picked.chosen:
        picked = _chosen(running, rods, at_kn, avoid, weights, NO_LURES)
        refused = (*refused, Finding("caution", TOGETHER, PRACTICE, code=MUST_NOT))
    chosen = picked.chosen
    found = (
        *refused,
        *unmet.findings(chosen, lures, rods, at_kn, avoid, others, swapped=picked.swapped),
    )
    if not picked.proven:
        found = (*found, unmet.NOT_PROVEN)
    by_position = {
        one.position: one
        for one in _planned(chosen, layout or boat.positions, at_kn, calibration, boat.crew_units)
    }
    positions = tuple(by_position[p] for p in boat.positions if p in by_position)
    return Plan(positions, at_kn, (*rod_findings, *found))


def _that_fit(
    must: Mapping[str, str], lures: Sequence[Lure], rods: Rods, speed_kn: float
) -> tuple[Mapping[str, str], tuple[Finding, ...]]:
    """Return the lures that can go where they must, and what speaks against the others."""
    fits: dict[str, str] = {}
    refused: list[Finding] = []
    by_name = {lure.name: lure for lure in lures}
    for name, position in must.items():
        lure = by_name.get(name)
        places = [position] if position else list(rods)
        against = [
            next(
                (f for f in findings(Rig(lure, outfit, speed_kn)) if f.severity == "warning"), None
            )
            for place in places
            if lure is not None and (outfit := rods.get(place)) is not None
        ]
        if lure is not None and (len(against) < len(places) or None in against):
            fits[name] = position
        elif against and against[0] is not None:
            text = f"{name} is left out: {against[0].text}"
            refused.append(replace(against[0], text=text, code=MUST_NOT))
    return fits, tuple(refused)


@dataclass(frozen=True, slots=True)
class _Picked:
    """The lures that were chosen."""

    chosen: tuple[ChosenLure, ...] = ()
    """From the nearest position."""
    proven: bool = True
    """True where no better choice is left."""
    swapped: bool = False
    """True where other lines than the nearest are filled, so that all hooks suit."""


def _chosen(
    lures: Sequence[Lure],
    rods: Rods,
    speed_kn: float,
    avoid: Sequence[frozenset[str]],
    weights: Weights,
    must: Mapping[str, str],
) -> _Picked:
    """Return the lure for every position that can be filled."""
    ordered = in_order(rods)
    cost, hooks = costs(lures, [rods[position] for position in ordered], speed_kn)
    suited = np.where(hooks == 1, cost, FORBIDDEN)
    suited[suited > 0] = FORBIDDEN
    wanted = {ordered.index(place) for place in must.values() if place}

    def best_on(keep: Terms, table: Ints) -> Choice | None:
        shares = [slot / max(1, len(ordered) - 1) for slot in keep.slots]
        points = score.own_points(lures, shares, weights)
        points = points + round(SCALE * weights.hooks) * hooks[:, keep.slots]
        problem = _problem(lures, table[:, keep.slots], points, weights, keep)
        problem = replace(problem, must=_must(must, lures, ordered, keep))
        return _best(problem, hooks[:, keep.slots])

    for keep in terms(cost, [lure.name for lure in lures], avoid):
        keep = _with_slots(keep, sorted(wanted))
        best = best_on(keep, cost)
        if best is None:
            continue
        swapped = False
        for other in _swaps(keep, best, suited, hooks, wanted):
            found = best_on(other, suited)
            if found is not None and found.different >= best.different:
                keep, best, swapped = other, found, True
                break
        spares = _spares(lures, best.items, cost[:, keep.slots])
        chosen = tuple(
            ChosenLure(
                ordered[slot], lures[item], rods[ordered[slot]], spare,
                slot / max(1, len(ordered) - 1),
            )
            for slot, item, spare in zip(keep.slots, best.items, spares, strict=True)
        )  # fmt: skip
        return _Picked(chosen, best.proven, swapped)
    return _Picked()


def _swaps(
    keep: Terms, best: Choice, suited: Ints, hooks: Ints, wanted: Collection[int]
) -> Iterator[Terms]:
    """Yield other lines for as many lures, the nearest first, on which hooks and all else may suit.

    Nothing where every line is filled, or all suits on the nearest.
    """
    many, slots = len(keep.slots), suited.shape[1]
    fits = (hooks[item, slot] for slot, item in zip(keep.slots, best.items, strict=True))
    if many == slots or (best.cautions == 0 and all(fits)):
        return
    for others in combinations(range(slots), many):
        if others != keep.slots and {*wanted} <= {*others} and fills(suited[:, others]):
            yield replace(keep, slots=others)


def _with_slots(keep: Terms, wanted: Sequence[int]) -> Terms:
    """Return terms that fill these slots as well, in the place of the farthest others."""
    others = [slot for slot in keep.slots if slot not in wanted]
    room = max(0, len(keep.slots) - len(set(wanted)))
    return replace(keep, slots=tuple(sorted({*wanted, *others[:room]})))


def _must(
    must: Mapping[str, str], lures: Sequence[Lure], ordered: Sequence[str], keep: Terms
) -> tuple[tuple[int, int], ...]:
    """Return the lures that are to be in it as items, each with its slot among those that are filled."""
    slots = {ordered[slot]: number for number, slot in enumerate(keep.slots)}
    return tuple(
        (item, slots.get(must[lure.name], -1))
        for item, lure in enumerate(lures)
        if lure.name in must
    )


def _best(problem: Problem, hooks: Ints) -> Choice | None:
    """Return the choice whose hooks suit as many outfits as they can without costing a size."""
    best = best_choice(problem)
    if best is None or all(hooks[item, slot] for slot, item in enumerate(best.items)):
        return best
    suits = np.where(problem.cost < FORBIDDEN, problem.cost + (1 - hooks), problem.cost)
    return best_choice(replace(problem, cost=suits, least_different=best.different)) or best


def _problem(
    lures: Sequence[Lure], cost: Ints, points: Ints, weights: Weights, keep: Terms
) -> Problem:
    return Problem(
        sizes=tuple(lure.size_in for lure in lures),
        cost=cost,
        points=points,
        colour=_kinds(score.leads(lures)),
        head=tuple(score.HEAD_KINDS.index(x.head) if x.head else -1 for x in lures),
        tone=tuple(score.tone(lure) for lure in lures),
        colour_points=round(SCALE * weights.colours),
        head_points=round(SCALE * weights.head_kinds),
        tone_points=round(SCALE * weights.tones),
        old=keep.old,
        most_old=keep.most_old,
        before=keep.before,
        most_shared=keep.most_shared,
    )


def _spares(lures: Sequence[Lure], items: Sequence[int], cost: Ints) -> tuple[Lure | None, ...]:
    """Return a lure that may replace each chosen one, by size and colour, no lure for two."""
    left = [item for item in range(len(lures)) if item not in items]
    if not left:
        return (None,) * len(items)
    fits = np.array(
        [[cost[other, slot] < FORBIDDEN for other in left] for slot in range(len(items))]
    )
    alike = np.where(fits, score.likenesses(lures)[np.ix_(items, left)], 0)
    rows, columns = greatest(alike)
    spares: list[Lure | None] = [None] * len(items)
    for row, column in zip(rows, columns, strict=True):
        if alike[row, column] > 0:
            spares[row] = lures[left[column]]
    return tuple(spares)


def _planned(
    chosen: Sequence[ChosenLure],
    layout: Sequence[str],
    speed_kn: float,
    calibration: WaveCount | None,
    units: CrewUnits,
) -> tuple[PlannedLure, ...]:
    on_wave = waves(layout, speed_kn, calibration)
    back_m = distances_m(layout, speed_kn, calibration)
    return tuple(
        PlannedLure(
            position=one.position,
            lure=one.lure.name,
            size_in=one.lure.size_in,
            colours=one.lure.colours,
            head=one.lure.head,
            reason=unmet.reason(chosen, number),
            spare=one.spare.name if one.spare else None,
            back_m=round(back_m[one.position], 1),
            wave=on_wave[one.position],
            rig=unmet.rig_words(one.outfit, one.lure, units),
            outfit=one.outfit,
        )
        for number, one in enumerate(chosen)
    )


def _kinds(values: Sequence[str]) -> tuple[int, ...]:
    numbers = {value: number for number, value in enumerate(dict.fromkeys(values))}
    return tuple(numbers[value] for value in values)
