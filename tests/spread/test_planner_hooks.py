"""Fewer lures than lines: they go where every hook suits its rod, before the nearest lines are filled.

Outside reference: the lines that SciPy's `milp` (HiGHS) fills. The rule itself is common practice, no source.
"""

import random

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from bot.spread.plan import Plan
from bot.spread.planner import plan
from bot.spread.rules import findings
from bot.tackle.checks import Rig
from bot.tackle.items import Boat, Lure, Outfit

KN = 8.0
LINES = (
    "short corner", "port flat", "long corner", "short rigger", "long rigger", "shotgun", "kite",
)  # fmt: skip
"""From the nearest to the farthest."""


def suits(lure: Lure, outfit: Outfit) -> bool:
    """Return whether nothing but notes speaks against a lure there, its hooks included."""
    found = findings(Rig(lure, outfit, KN))
    return all(f.severity == "note" and not f.code.startswith("hooks-too") for f in found)


def lines_by_milp(box: tuple[Lure, ...], boat: Boat, lines: tuple[str, ...]) -> tuple[str, ...]:
    """Return the nearest lines on which all lures suit; empty where there are none.

    A nearer line is worth more than all behind it together.
    """
    outfits = {outfit.position: outfit for outfit in boat.outfits}
    may = np.array([[suits(lure, outfits[line]) for line in lines] for lure in box], float)
    lures, slots = may.shape
    each_lure = np.kron(np.eye(lures), np.ones(slots))
    each_line = np.tile(np.eye(slots), lures)
    worth = np.tile(2.0 ** -np.arange(slots), lures)
    found = milp(
        -worth,
        constraints=[LinearConstraint(each_lure, 1, 1), LinearConstraint(each_line, 0, 1)],
        integrality=np.ones(lures * slots),
        bounds=Bounds(0, may.reshape(-1)),
    )
    if found.x is None:
        return ()
    filled = np.rint(found.x).reshape(lures, slots).sum(axis=0) > 0
    return tuple(line for line, is_filled in zip(lines, filled, strict=True) if is_filled)


def chance(seed: int) -> tuple[tuple[Lure, ...], Boat]:
    """Return three to five lures and a boat of seven rods, light and heavy, by chance."""
    rng = random.Random(seed)
    box = tuple(
        Lure(f"Lure {n}", size, ("black",), None, rng.choice(("light", "medium", "heavy")))
        for n, size in enumerate(rng.sample((6, 7, 8, 9, 10), rng.choice((3, 4, 5))))
    )
    outfits = tuple(Outfit(line, rng.choice((24, 37))) for line in LINES)
    return box, Boat(positions=LINES, outfits=outfits)


def filled(found: Plan) -> tuple[str, ...]:
    return tuple(one.position for one in found.positions)


@pytest.mark.parametrize("seed", range(60))
def test_the_lines_that_are_filled_are_those_that_milp_fills(seed: int) -> None:
    box, boat = chance(seed)
    found = plan(box, boat, speed_kn=KN)

    wanted = lines_by_milp(box, boat, LINES)
    nearest = filled(found)[: len(box)] if not wanted else LINES[: len(box)]
    if len(found.positions) < len(box):  # a hook that must not go on any rod that is left
        assert not wanted
    else:
        assert filled(found) == (wanted or nearest)
        swapped = bool(wanted) and wanted != nearest
        assert any("so that every hook suits" in f.text for f in found.findings) == swapped


def test_boxes_by_chance_swap_lines_and_leave_them_too() -> None:
    wanted = [lines_by_milp(*chance(seed), LINES) for seed in range(60)]

    assert sum(not lines for lines in wanted) > 3
    assert sum(bool(x) and x == LINES[: len(x)] for x in wanted) > 5
    assert sum(bool(x) and x != LINES[: len(x)] for x in wanted) > 5


def test_light_hooks_go_on_the_light_rod_and_the_heavy_one_stays_empty() -> None:
    boat = Boat(
        positions=("short corner", "long corner", "shotgun"),
        outfits=(Outfit("short corner", 37), Outfit("long corner", 37), Outfit("shotgun", 15)),
    )
    box = (
        Lure("Big", 12, ("black",), "cupped", "heavy"),
        Lure("Small", 6, ("pink",), "slim", "light"),
    )
    found = plan(box, boat, speed_kn=KN)

    assert {one.position: one.lure for one in found.positions} == {
        "short corner": "Big", "shotgun": "Small",
    }  # fmt: skip
    assert [f.text for f in found.findings if f.code == "empty-position"] == [
        "2 ready for 3 positions: long corner stays empty, so that every hook suits its rod"
    ]


def test_a_lure_that_suits_no_rod_leaves_the_nearest_lines_filled() -> None:
    boat = Boat(positions=LINES, outfits=tuple(Outfit(line, 37) for line in LINES))
    box = (
        Lure("Big", 12, ("black",), "cupped", "heavy"),
        Lure("Small", 6, ("pink",), "slim", "light"),
    )
    found = plan(box, boat, speed_kn=KN)

    assert filled(found) == LINES[:2]
    assert not any("so that every hook suits" in f.text for f in found.findings)
