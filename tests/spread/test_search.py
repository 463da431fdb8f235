"""The exact search against every choice there is; large boxes: `test_search_bound`.

Outside sources: scipy's documented example of linear_sum_assignment and its published test matrices; the
spread of sizes by p-dispersion (worked by hand); brute force over all permutations."""

import random
from dataclasses import replace
from itertools import combinations, permutations

import numpy as np
import pytest
from highspy import HighsLp
from scipy.optimize import linear_sum_assignment

from bot.spread import search
from bot.spread.choice import FORBIDDEN, Choice, Problem
from bot.spread.search import best_choice, solve

Rank = tuple[int, int, float, int, int]


def by_hand(problem: Problem) -> Rank | None:
    """Try every choice, and reckon its worth from the words of the goals alone."""
    best: Rank | None = None
    items, slots = problem.cost.shape
    for choice in permutations(range(items), slots):
        cost = [int(problem.cost[item, slot]) for slot, item in enumerate(choice)]
        if max(cost) >= FORBIDDEN:
            continue
        if problem.old and sum(problem.old[item] for item in choice) > problem.most_old:
            continue
        if any(sum(held[i] for i in choice) > problem.most_shared for held in problem.before):
            continue
        sizes = [problem.sizes[item] for item in choice]
        dark = sum(problem.tone[item] == -1 for item in choice)
        light = sum(problem.tone[item] == 1 for item in choice)
        rank = (
            -sum(cost),
            -sum(sizes[a] < sizes[b] for a in range(slots) for b in range(a + 1, slots)),
            min((abs(a - b) for a, b in combinations(sizes, 2)), default=0.0),
            len(set(sizes)),
            sum(int(problem.points[item, slot]) for slot, item in enumerate(choice))
            + problem.colour_points * len({problem.colour[item] for item in choice})
            + problem.head_points * len({problem.head[i] for i in choice if problem.head[i] >= 0})
            + problem.tone_points * (slots - abs(dark - light)),
        )
        best = rank if best is None or rank > best else best
    return best


def made_up(rng: random.Random, items: int, slots: int, *, outfits: int, sizes: int) -> Problem:
    """Return a problem by chance: few sizes mean ties, many outfits mean orders of another kind."""
    lengths = sorted((rng.randrange(12, 12 + sizes) / 2 for _ in range(items)), reverse=True)
    columns = [
        [rng.choices((0, 1, 2, FORBIDDEN), (6, 2, 1, 2))[0] for _ in range(items)]
        for _ in range(outfits)
    ]
    which = [rng.randrange(outfits) for _ in range(slots)]
    old = tuple(rng.random() < 0.5 for _ in range(items)) if rng.random() < 0.4 else ()
    return Problem(
        sizes=tuple(lengths),
        cost=np.array([columns[w] for w in which], dtype=np.int64).T,
        points=np.array(
            [[rng.randrange(30) for _ in range(slots)] for _ in range(items)], dtype=np.int64
        ),
        colour=tuple(rng.randrange(4) for _ in range(items)),
        head=tuple(rng.randrange(-1, 4) for _ in range(items)),
        tone=tuple(rng.randrange(-1, 2) for _ in range(items)),
        colour_points=rng.randrange(40),
        head_points=rng.randrange(15),
        tone_points=rng.randrange(15),
        old=old,
        most_old=rng.randrange(slots) if old else 0,
    )


def apart(rng: random.Random, problem: Problem) -> Problem:
    """Return a problem that is to stand apart from two or three earlier choices."""
    items, slots = problem.cost.shape
    sets = [frozenset(rng.sample(range(items), slots)) for _ in range(rng.choice((2, 3)))]
    masks = tuple(tuple(item in one for item in range(items)) for one in sets)
    return replace(problem, before=masks, most_shared=rng.randrange(slots))


def rank_of(choice: Choice | None) -> Rank | None:
    return None if choice is None else choice.rank


@pytest.mark.parametrize("seed", range(250))
def test_no_choice_of_all_is_better_than_the_one_found(seed: int) -> None:
    rng = random.Random(seed)
    problem = made_up(
        rng,
        rng.randrange(3, 8),
        rng.randrange(1, 5),
        outfits=rng.randrange(1, 4),
        sizes=rng.choice((2, 4, 14)),
    )

    assert rank_of(best_choice(problem)) == by_hand(problem)


@pytest.mark.parametrize("seed", range(400, 520))
def test_no_choice_that_stands_apart_from_others_is_better_than_the_one_found(seed: int) -> None:
    rng = random.Random(seed)
    many = made_up(
        rng, rng.randrange(4, 8), rng.randrange(2, 5), outfits=rng.randrange(1, 3),
        sizes=rng.choice((2, 4, 14)),
    )  # fmt: skip
    problem = apart(rng, many)

    assert rank_of(best_choice(problem)) == by_hand(problem)


def test_what_was_found_is_measured_as_it_stands() -> None:
    problem = made_up(random.Random(3), 7, 4, outfits=1, sizes=14)

    found = best_choice(problem)

    assert found is not None
    assert len(set(found.items)) == 4
    assert found.gap == min(
        abs(problem.sizes[a] - problem.sizes[b]) for a, b in combinations(found.items, 2)
    )


def sizes_only(*sizes: float, slots: int) -> Problem:
    falling = tuple(sorted(sizes, reverse=True))
    nothing = np.zeros((len(falling), slots), dtype=np.int64)
    return Problem(
        falling, nothing, nothing, (0,) * len(falling), (-1,) * len(falling), (0,) * len(falling)
    )


@pytest.mark.parametrize(
    ("sizes", "slots", "gap"),
    [
        # greatest least distance, worked by hand
        ((6, 8, 10, 12, 14), 3, 4),
        ((6, 7, 8, 10, 12, 14), 4, 2),
        ((6, 7, 8, 9, 10, 12, 14), 5, 2),
        ((8, 8, 8), 2, 0),
    ],
)
def test_sizes_are_spread_and_not_piled_up_at_the_ends(
    sizes: tuple[float, ...], slots: int, gap: float
) -> None:
    found = best_choice(sizes_only(*sizes, slots=slots))

    assert found is not None
    assert found.gap == gap


@pytest.mark.parametrize(
    ("sizes", "slots", "chosen"),
    [((6, 8, 10, 12, 14), 3, [14, 10, 6]), ((6, 7, 8, 9, 10, 12, 14), 5, [14, 12, 10, 8, 6])],
)
def test_where_one_spread_alone_is_best_it_is_the_one(
    sizes: tuple[float, ...], slots: int, chosen: list[float]
) -> None:
    problem = sizes_only(*sizes, slots=slots)
    found = best_choice(problem)

    assert found is not None
    assert [problem.sizes[item] for item in found.items] == chosen


@pytest.mark.parametrize(
    ("cost", "least"),
    [
        ([[4, 1, 3], [2, 0, 5], [3, 2, 2]], 5),  # the example of scipy's own documentation
        ([[400, 150, 400], [400, 450, 600], [300, 225, 300]], 850),  # scipy's tests (from memory)
        ([[10, 10, 8], [9, 8, 1], [9, 7, 4]], 18),
    ],
)
def test_the_fewest_cautions_are_those_of_the_assignment_problem(
    cost: list[list[int]], least: int
) -> None:
    rows, columns = linear_sum_assignment(np.array(cost))
    assert np.array(cost)[rows, columns].sum() == least

    found = best_choice(replace(sizes_only(12, 10, 8, slots=3), cost=np.array(cost)))

    assert found is not None
    assert found.cautions == least


def test_fewer_items_than_slots_or_a_slot_that_nothing_fits_is_no_choice() -> None:
    problem = sizes_only(8, 10, slots=3)
    barred = sizes_only(8, 10, slots=2)
    barred.cost[:, 1] = FORBIDDEN

    assert best_choice(problem) is None
    assert best_choice(barred) is None


def test_the_same_problem_gives_the_same_choice() -> None:
    problem = made_up(random.Random(11), 30, 6, outfits=2, sizes=14)

    assert best_choice(problem) == best_choice(problem)


@pytest.mark.parametrize("last", ["a choice", "nothing"])
def test_a_search_that_is_broken_off_says_so_and_still_gives_a_choice(
    monkeypatch: pytest.MonkeyPatch, last: str
) -> None:
    problem = made_up(random.Random(5), 60, 6, outfits=3, sizes=4)
    whole = best_choice(problem)

    def broken_off(model: HighsLp) -> tuple[np.ndarray | None, bool]:
        """Solve, and end at the points as the solver does where it comes to its limit."""
        values, proven = solve(model)
        if min(model.col_cost_) >= -1:
            return values, proven
        return (values if last == "a choice" else None), False

    monkeypatch.setattr(search, "solve", broken_off)
    found = best_choice(problem)

    assert whole is not None
    assert whole.proven
    assert found is not None
    assert not found.proven
    assert len(set(found.items)) == 6
    assert found.rank[:4] == whole.rank[:4]
    assert found.points <= whole.points


def test_the_solver_writes_nothing(capfd: pytest.CaptureFixture[str]) -> None:
    best_choice(made_up(random.Random(5), 60, 6, outfits=3, sizes=4))

    assert capfd.readouterr() == ("", "")
