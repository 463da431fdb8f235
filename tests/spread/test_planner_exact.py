"""The plan against every spread there is, for boxes small enough: nothing better is left.

The judge here shares only the rules (severities of findings) with the planner; the goals are reckoned
anew from their words."""

import random
from itertools import combinations, permutations
from math import ceil

import pytest

from bot.spread.plan import Plan
from bot.spread.planner import plan
from bot.spread.rules import findings
from bot.spread.score import HEAD_FIT, TONES
from bot.tackle.checks import Rig
from bot.tackle.items import STANDARD_POSITIONS, Boat, Lure, Outfit
from bot.tackle.line_classes import class_of

KN = 8.0
BENT = {"size-for-class", "leader-strength", "towing-load"}
Spread = dict[str, Lure]


def judged(
    spread: Spread, boat: Boat, box: list[Lure], *, hooks_first: bool
) -> tuple[float, ...] | None:
    """Return the worth of a spread, goal by goal; None where it breaks a rule.

    `hooks_first` counts hooks that do not suit the outfit like any bent rule.
    """
    bent, hooks = 0, 0
    for position, lure in spread.items():
        outfit = boat.outfit(position)
        if not (lure.speed_min_kn or 0) <= KN <= (lure.speed_max_kn or 99):
            return None
        found = findings(Rig(lure, outfit, KN)) if outfit else ()
        if any(f.severity == "warning" for f in found):
            return None
        for f in found:
            if f.severity == "caution" and f.code in BENT:
                bent += 1
            if f.code == "size-for-class" and outfit:
                bent += ceil(lure.size_in - class_of(outfit.line_class_kg).comfortable_in) - 1
        hooks += not any(f.code.startswith("hooks-too") for f in found)
    lures = [spread[p] for p in boat.positions if p in spread]
    lengths = [lure.size_in for lure in lures]
    filled = tuple(-boat.positions.index(p) for p in boat.positions if p in spread)
    return (
        len(lures),
        *filled,
        -bent - (len(lures) - hooks) * hooks_first,
        -sum(near < far for near, far in combinations(lengths, 2)),
        min((abs(a - b) for a, b in combinations(lengths, 2)), default=0),
        len(set(lengths)),
        points(spread, lures, boat, box) + 200 * hooks,
    )


def lead(lure: Lure, box: list[Lure]) -> str:
    """Return the colour by which people call a lure: as most of those with its colours are called."""
    first = [other.colours[0] for other in box if sorted(other.colours) == sorted(lure.colours)]
    return max(sorted(set(first)), key=first.count)


def points(spread: Spread, lures: list[Lure], boat: Boat, box: list[Lure]) -> int:
    """Return the points of the default weights as their docstrings have them, times a hundred."""
    shades = []
    own = 0
    last = len(lures) - 1
    for number, (position, lure) in enumerate(
        (p, spread[p]) for p in boat.positions if p in spread
    ):
        total = sum(TONES.get(colour, 0) for colour in lure.colours)
        shades.append((total > 0) - (total < 0))
        back = boat.positions.index(position) / max(1, len(boat.positions) - 1)
        near, middle, far = HEAD_FIT[lure.head]
        fit = (
            near + (middle - near) * back * 2
            if back <= 0.5
            else middle + (far - middle) * (back * 2 - 1)
        )
        spare = max(
            (
                (abs(other.size_in - lure.size_in) < 0.13) + (lead(other, box) == lead(lure, box))
                for other in box
                if other is not lure
            ),
            default=0,
        )
        worth = 3 * fit + spare
        if last > 0 and number == 0:
            worth += lure.size_in / 2
        elif last > 0 and number == last:
            worth += (40 - lure.size_in) / 2
        own += round(100 * worth)
    heads = {lure.head for lure in lures} - {None}
    return (
        own
        + 600 * len({lead(lure, box) for lure in lures})
        + 100 * len(heads)
        + 200 * (len(lures) - abs(sum(shades)))
    )


def best_by_trying(
    box: list[Lure],
    boat: Boat,
    old: frozenset[str] = frozenset(),
    *,
    hooks_first: bool,
    least_different: float = 0,
    must: str = "",
    suited: int = 0,
) -> tuple[float, ...]:
    """Try every spread; where lures are to be avoided, most new ones (up to three) come after the filling.

    Of spreads that fill as many positions with as many new lures, those count that
    have `least_different` sizes; with `suited` those of so many lures where all suits.
    """
    running = [x for x in box if (x.speed_min_kn or 0) <= KN <= (x.speed_max_kn or 99)]
    best: tuple[float, ...] = (0,)
    for count in range(1, len(boat.positions) + 1):
        for where in combinations(boat.positions, count):
            for chosen in permutations(running, count):
                spread = dict(zip(where, chosen, strict=True))
                worth = judged(spread, boat, running, hooks_first=hooks_first)
                if worth is None:
                    continue
                if worth[-2] < least_different or (must and must not in {x.name for x in chosen}):
                    continue
                if suited and (count != suited or worth[1 + count] < 0):
                    continue
                new = min(3, sum(lure.name not in old for lure in chosen)) if old else 0
                best = max(best, (worth[0], new, *worth[1:]))
    return best


def worth_of(
    found: Plan,
    box: list[Lure],
    boat: Boat,
    old: frozenset[str] = frozenset(),
    *,
    hooks_first: bool,
) -> tuple[float, ...]:
    running = [x for x in box if (x.speed_min_kn or 0) <= KN <= (x.speed_max_kn or 99)]
    spread = {p.position: next(x for x in box if x.name == p.lure) for p in found.positions}
    worth = judged(spread, boat, running, hooks_first=hooks_first)
    assert worth is not None
    new = min(3, len(found.lures - old)) if old else 0
    return (worth[0], new, *worth[1:]) if found.positions else (0,)


def assert_best(
    found: Plan, box: list[Lure], boat: Boat, old: frozenset[str] = frozenset()
) -> None:
    """Hold that nothing is better: as many hooks that suit as there can be without costing a size."""
    different = ([0.0, 0.0, *best_by_trying(box, boat, old, hooks_first=False)])[-2]
    best = best_by_trying(box, boat, old, hooks_first=True, least_different=different)

    assert worth_of(found, box, boat, old, hooks_first=True) == or_swapped(best, box, boat, old)


def or_swapped(
    best: tuple[float, ...],
    box: list[Lure],
    boat: Boat,
    old: frozenset[str] = frozenset(),
    must: str = "",
) -> tuple[float, ...]:
    """Return the best spread, or one on other lines: fewer lures than lines go where every hook suits.

    Only where not all suits on the nearest lines, and no size and no new lure is lost by it.
    """
    many = int(best[0])
    if not many or many == len(boat.positions) or best[2 + many] == 0:
        return best
    other = best_by_trying(
        box, boat, old, hooks_first=True, least_different=best[-2], must=must, suited=many
    )
    return other if other[:2] == best[:2] else best


def chance(seed: int) -> tuple[list[Lure], Boat]:
    rng = random.Random(seed)
    box = [
        Lure(
            f"Lure {number}",
            rng.choice((5, 6, 7, 8, 8, 9, 10, 12, 14)),
            tuple(
                rng.sample(
                    ("black", "purple", "blue", "white", "pink", "green"), rng.choice((1, 2))
                )
            ),
            rng.choice((None, "blunt", "cupped", "slanted", "slim")),
            rng.choice((None, "light", "medium", "heavy")),
            leader_kg=rng.choice((20, 100, 200)),
            speed_max_kn=rng.choice((None, 9, 9, 7)),
        )
        for number in range(rng.randrange(2, 8))
    ]
    positions = STANDARD_POSITIONS[: rng.randrange(2, 5)]
    outfits = tuple(
        Outfit(position, rng.choice((8, 15, 24, 37)))
        for position in positions
        if rng.random() < 0.8
    )
    return box, Boat(positions=positions, outfits=outfits)


@pytest.mark.parametrize("seed", range(60))
def test_no_spread_of_all_is_better_than_the_plan(seed: int) -> None:
    box, boat = chance(seed)

    found = plan(box, boat, speed_kn=KN)

    assert_best(found, box, boat)


@pytest.mark.parametrize("seed", range(100, 120))
def test_no_other_spread_of_all_is_better_than_another_plan(seed: int) -> None:
    box, boat = chance(seed)
    first = plan(box, boat, speed_kn=KN)

    second = plan(box, boat, speed_kn=KN, avoid=[first.lures])

    assert_best(second, box, boat, first.lures)


@pytest.mark.parametrize("seed", range(200, 220))
def test_no_other_spread_with_a_lure_that_must_be_in_it_is_better(seed: int) -> None:
    box, boat = chance(seed)
    name = box[seed % len(box)].name
    free = best_by_trying(box, boat, hooks_first=False)
    different = ([0.0, 0.0, *best_by_trying(box, boat, hooks_first=False, must=name)])[-2]
    best = best_by_trying(box, boat, hooks_first=True, least_different=different, must=name)

    found = plan(box, boat, speed_kn=KN, must={name: ""})

    if name in found.lures:
        assert worth_of(found, box, boat, hooks_first=True) == or_swapped(
            best, box, boat, must=name
        )
    else:  # no spread that fills as many positions has it
        assert best[0] < free[0]
