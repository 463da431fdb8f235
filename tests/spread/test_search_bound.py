"""The search on boxes too large to try all: nothing better exists, says another method.

Outside method: a dynamic programme (R. Bellman, 1957) over the items from the largest to the smallest, which
keeps the best of all choices with the same number of items and the same colours, heads and tones. It shares
neither code nor idea with the linear programming of the search."""

import random

import numpy as np
import pytest

from bot.spread.choice import FORBIDDEN, Problem
from bot.spread.search import best_choice

SLACK = 1e-6
NEVER = -(10**9)


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


def most_by_stages(problem: Problem, gap: float) -> int | None:
    """Return the most points with sizes falling by this gap, or None where there is no such choice."""
    items, slots = problem.points.shape
    colours, heads = 1 << max(problem.colour) + 1, 1 << max(problem.head) + 1
    shape = (slots + 1, colours, heads, 2 * slots + 1)
    """Items taken, colours and heads shown (a bit for each), light less dark and so many above nought."""
    nothing = np.full(shape, NEVER)
    nothing[0, 0, 0, slots] = 0
    upto = [nothing]
    """After so many items: the most points of every such choice among them."""
    for item in range(items):
        before = sum(problem.sizes[item] + gap - SLACK <= size for size in problem.sizes)
        best = upto[-1].copy()
        if problem.cost[item].max() < FORBIDDEN:
            taken = np.roll(upto[before], (1, problem.tone[item]), axis=(0, 3))
            taken[0] = NEVER
            taken[1:] += problem.points[item][:, None, None, None]
            head = 1 << problem.head[item] if problem.head[item] >= 0 else 0
            for colour_mask in range(colours):
                for head_mask in range(heads):
                    there = (slice(None), colour_mask | 1 << problem.colour[item], head_mask | head)
                    best[there] = np.maximum(best[there], taken[:, colour_mask, head_mask])
        upto.append(best)
    shown = np.array([n.bit_count() for n in range(max(colours, heads))])
    whole = (
        upto[-1][slots]
        + problem.colour_points * shown[:colours, None, None]
        + problem.head_points * shown[None, :heads, None]
        + problem.tone_points * (slots - np.abs(np.arange(2 * slots + 1) - slots))
    )
    return None if whole.max() < 0 else int(whole.max())


@pytest.mark.parametrize(
    ("seed", "items", "slots", "step", "colours"),
    [
        (1, 80, 9, 0.5, 6),
        (2, 80, 9, 0.25, 6),
        (3, 80, 9, 1.0, 7),
        (4, 60, 7, 0.5, 5),
        (5, 40, 5, 0.1, 7),
        (6, 80, 5, 0.5, 6),
    ],
)
def test_a_dynamic_programme_finds_no_wider_spread_and_no_more_points(
    seed: int, items: int, slots: int, step: float, colours: int
) -> None:
    problem = chance_box(seed, items, slots, step, colours)

    found = best_choice(problem)

    assert found is not None
    assert (found.cautions, found.inversions) == (0, 0)
    assert found.gap > 0
    assert most_by_stages(problem, found.gap) == found.points
    assert most_by_stages(problem, found.gap + step) is None
