"""The exact search for the best spread: which order of sizes, which gap, which items.

Wanted is the best choice of one item for each slot by these goals, each before the next: fewest
cautions, fewest inversions of size, the greatest least gap between sizes, most different sizes, most
points. Along one order of the slots sizes never rise, so a choice is a chain through the items sorted by
size (`chain`); the gap is found by bisection, the points by branch and bound (`branch`). Orders other
than that of the slots are tried only where different outfits force them, fewest inversions first.
"""

from collections.abc import Iterator, Sequence

import numpy as np
from scipy.optimize import linear_sum_assignment

from bot.spread.branch import most_points
from bot.spread.chain import Chain
from bot.spread.choice import FORBIDDEN, Choice, Ints, Problem, measured


def best_choice(problem: Problem) -> Choice | None:
    """Give the best choice, or None where the slots cannot all be filled."""
    slots = problem.cost.shape[1]
    least = least_cautions(problem.cost)
    if least is None:
        return None
    best: Choice | None = None
    for inversions in range(slots * (slots - 1) // 2 + 1):
        if best is not None and best.cautions == least and inversions > best.inversions:
            break
        for order in _orders(_alike(problem.cost), inversions):
            best = _along(problem, order, best)
    return best


def least_cautions(cost: Ints) -> int | None:
    """Give the fewest cautions with which all slots can be filled, sizes apart; None where they cannot."""
    if cost.shape[0] < cost.shape[1]:
        return None
    rows, columns = linear_sum_assignment(cost)
    least = int(cost[rows, columns].sum())
    return least if least < FORBIDDEN else None


def _along(problem: Problem, order: Sequence[int], best: Choice | None) -> Choice | None:
    """Give the best choice whose sizes never rise along this order, or `best` where that is no worse."""
    chain = Chain(problem, order)
    bound = chain.least_cautions(0.0)
    if bound is None or (best is not None and bound > best.cautions):
        return best
    gap = chain.widest_gap(bound)
    items = most_points(chain, gap)
    if items is None:
        return best
    found = measured(problem, items)
    if found.cautions > bound and (gap := chain.widest_gap(found.cautions)) > 0:
        # the bound took one item twice: what it really needs may allow a gap after all
        items = most_points(chain, gap)
        found = measured(problem, items) if items is not None else found
    return found if best is None or found.rank > best.rank else best


def _alike(cost: Ints) -> tuple[tuple[int, ...], ...]:
    """Give the slots in groups that take the same items at the same cautions.

    Two of a group never need to stand against their order: changing places would cost nothing.
    """
    groups: dict[bytes, list[int]] = {}
    for slot in range(cost.shape[1]):
        groups.setdefault(np.ascontiguousarray(cost[:, slot]).tobytes(), []).append(slot)
    return tuple(tuple(slots) for slots in groups.values())


def _orders(queues: tuple[tuple[int, ...], ...], inversions: int) -> Iterator[tuple[int, ...]]:
    """Give the orders of the slots with so many inversions, each group in its own order."""
    if not any(queues):
        if inversions == 0:
            yield ()
        return
    for which, queue in enumerate(queues):
        if not queue:
            continue
        passed = sum(slot < queue[0] for other in queues for slot in other)
        if passed <= inversions:
            rest = (*queues[:which], queue[1:], *queues[which + 1 :])
            for order in _orders(rest, inversions - passed):
                yield (queue[0], *order)
