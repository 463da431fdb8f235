"""Another plan, and another after that: each differs as far as the box allows, and says where it cannot."""

from collections.abc import Sequence
from itertools import combinations

import pytest

from bot.spread.plan import Plan
from bot.spread.planner import plan
from bot.tackle.items import Boat, Lure

BOAT = Boat()


def box(*sizes: float) -> list[Lure]:
    """Return lures of these sizes; colours go round, so that no two plans are worth the same."""
    colours = ("black", "blue", "red", "green", "pink", "silver", "white")
    return [Lure(f"L{n}", size, (colours[n % 7],)) for n, size in enumerate(sizes)]


def chain(lures: Sequence[Lure], plans: int) -> list[Plan]:
    """Return so many plans, each told of all before it."""
    found: list[Plan] = []
    for _ in range(plans):
        found.append(plan(lures, BOAT, avoid=[one.lures for one in found]))
    return found


def least_difference(plans: Sequence[Plan]) -> int:
    return min(len(b.lures - a.lures) for a, b in combinations(plans, 2))


def said(one: Plan) -> list[str]:
    return [f.text for f in one.findings if f.code == "same-lures"]


def test_four_plans_of_a_large_box_have_three_lures_each_that_none_before_had() -> None:
    plans = chain(box(*(6 + n % 9 for n in range(24))), 4)

    for number, one in enumerate(plans):
        seen = frozenset[str]().union(*(p.lures for p in plans[:number]))
        assert len(one.lures - seen) >= 3
        assert said(one) == []


@pytest.mark.parametrize("sizes", [(6, 7, 8, 9, 10, 11, 12, 13, 14), (6, 6, 7, 8, 8, 9, 10, 12)])
def test_a_plan_differs_from_all_before_as_far_as_any_choice_of_the_lures_could(
    sizes: tuple[float, ...],
) -> None:
    lures = box(*sizes)
    plans = chain(lures, 6)

    for number in range(1, 6):
        earlier = [one.lures for one in plans[:number]]
        choices = [frozenset(c) for c in combinations([lure.name for lure in lures], 5)]
        possible = max(min(len(c - one) for one in earlier) for c in choices)
        assert min(len(plans[number].lures - one) for one in earlier) >= min(3, possible)
        assert bool(said(plans[number])) is (possible < 3)


def test_six_lures_make_six_plans_of_five_and_no_seventh() -> None:
    plans = chain(box(6, 7, 8, 10, 12, 14), 7)

    assert len({one.lures for one in plans}) == 6  # six choose five
    assert least_difference(plans[:6]) == 1
    assert said(plans[1]) == [
        "differs from the plan before in one lure only; no more lures are ready that fit"
    ]
    assert said(plans[5]) == [
        "differs from a plan before in one lure only; no more lures are ready that fit"
    ]
    assert said(plans[6]) == [
        "no other plan: this is a plan before; no more lures are ready that fit"
    ]
