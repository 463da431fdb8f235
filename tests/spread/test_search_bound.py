"""The search on boxes too large to try all: nothing better exists, says another method.

Outside source: mixed-integer linear programming with HiGHS (scipy.optimize.milp), which brings its own
bound. It shares no code with the search: the least gap is set as rows of lures of which one may be taken."""

import random

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from bot.spread.choice import FORBIDDEN, Problem
from bot.spread.search import best_choice

SLACK = 1e-6


def chance_box(seed: int, items: int, slots: int, step: float, colours: int) -> Problem:
    rng = random.Random(seed)
    steps = int(9 / step)
    return Problem(
        sizes=tuple(sorted((5 + step * rng.randrange(steps) for _ in range(items)), reverse=True)),
        cost=np.array(
            [[rng.choices((0, FORBIDDEN), (9, 1))[0]] * slots for _ in range(items)], dtype=np.int64
        ),
        points=np.array(
            [[rng.randrange(0, 600, 25) for _ in range(slots)] for _ in range(items)],
            dtype=np.int64,
        ),
        colour=tuple(rng.randrange(colours) for _ in range(items)),
        head=tuple(rng.randrange(-1, 4) for _ in range(items)),
        tone=tuple(rng.randrange(-1, 2) for _ in range(items)),
        colour_points=600,
        head_points=100,
        tone_points=200,
    )


def most_by_milp(problem: Problem, gap: float) -> int | None:
    """Return the most points with sizes falling by this gap at least, or None where there is no such choice.

    Unknown are: item in slot (0 or 1), kind of colour shown, kind of head shown, surplus of dark or light.
    """
    items, slots = len(problem.sizes), len(problem.points[0])
    kinds = sorted(set(problem.colour))
    heads = sorted(set(problem.head) - {-1})
    put = items * slots
    count = put + len(kinds) + len(heads) + 1
    rows: list[np.ndarray] = []
    low: list[float] = []
    high: list[float] = []

    def row(values: dict[int, float], least: float, most: float) -> None:
        line = np.zeros(count)
        for column, value in values.items():
            line[column] = value
        rows.append(line)
        low.append(least)
        high.append(most)

    def at(item: int, slot: int) -> int:
        return item * slots + slot

    for slot in range(slots):
        row({at(i, slot): 1 for i in range(items)}, 1, 1)
    for first in range(items):
        close = [
            i for i in range(items) if 0 <= problem.sizes[first] - problem.sizes[i] < gap - SLACK
        ]
        row({at(i, s): 1 for i in {first, *close} for s in range(slots)}, 0, 1)
    for slot in range(slots - 1):
        falls = {at(i, slot): problem.sizes[i] for i in range(items)}
        falls |= {at(i, slot + 1): -problem.sizes[i] for i in range(items)}
        row(falls, gap - SLACK, np.inf)
    for number, kind in enumerate(kinds):
        has = {
            at(i, s): 1.0 for i in range(items) if problem.colour[i] == kind for s in range(slots)
        }
        row(has | {put + number: -1}, 0, np.inf)
    for number, head in enumerate(heads):
        has = {at(i, s): 1.0 for i in range(items) if problem.head[i] == head for s in range(slots)}
        row(has | {put + len(kinds) + number: -1}, 0, np.inf)
    for sign in (-1, 1):
        tones = {
            at(i, s): sign * float(problem.tone[i]) for i in range(items) for s in range(slots)
        }
        row(tones | {count - 1: -1}, -np.inf, 0)

    worth = np.concatenate(
        [
            problem.points.reshape(-1).astype(float),
            np.full(len(kinds), problem.colour_points),
            np.full(len(heads), problem.head_points),
            [-problem.tone_points],
        ]
    )
    upper = np.ones(count)
    upper[:put] = (problem.cost < FORBIDDEN).reshape(-1)
    upper[-1] = slots
    found = milp(
        -worth,
        integrality=np.ones(count, dtype=np.int64),
        bounds=Bounds(np.zeros(count), upper),
        constraints=LinearConstraint(np.array(rows), np.array(low), np.array(high)),
        options={"mip_rel_gap": 0},
    )
    if found.x is None:
        return None
    return int(round(-found.fun) + problem.tone_points * slots)


@pytest.mark.parametrize(
    ("seed", "items", "slots", "step", "colours"),
    [
        (1, 80, 9, 0.5, 17),
        (2, 80, 9, 0.25, 17),
        (3, 80, 9, 1.0, 8),
        (4, 60, 7, 0.5, 5),
        (5, 40, 5, 0.1, 12),
        (6, 80, 5, 0.5, 17),
    ],
)
def test_linear_programming_finds_no_wider_spread_and_no_more_points(
    seed: int, items: int, slots: int, step: float, colours: int
) -> None:
    problem = chance_box(seed, items, slots, step, colours)

    found = best_choice(problem)

    assert found is not None
    assert (found.cautions, found.inversions) == (0, 0)
    assert found.gap > 0
    assert most_by_milp(problem, found.gap) == found.points
    assert most_by_milp(problem, found.gap + step) is None
