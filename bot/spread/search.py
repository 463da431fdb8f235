"""The exact search for the best spread.

Wanted is the best choice of one item for each slot by these goals, each before the next: fewest
cautions, fewest inversions of size, the greatest least gap between sizes, most different sizes, most
points. Taken in falling order of size a choice is a way through the slots (`ways`) and a path through the
sorted items (`chain`). The gap is found by bisection, each step decided by a dynamic programme; the points by
branch and bound (`branch`), with prices for what counts only as a whole (`prices`).
"""

from dataclasses import replace

from bot.spread.branch import Found, most_points
from bot.spread.chain import CAUTION, INVERSION, Chain
from bot.spread.choice import Choice, Problem, measured


def best_choice(problem: Problem) -> Choice | None:
    """Return the best choice, or None where the slots cannot all be filled."""
    if len(problem.sizes) < problem.cost.shape[1] or problem.cost.size == 0:
        return None
    chain = Chain(problem)
    if problem.before:
        return _best_apart(chain)
    bound = chain.least_burden(0.0)
    if bound is None:
        return None
    best = most_points(chain, chain.widest_gap(bound))
    if best is None:
        return None
    found = measured(problem, best.items, proven=best.proven)
    burden = _burden(found)
    if burden > bound and (gap := chain.widest_gap(burden)) > 0:
        # the bound took one item twice: what is really needed may allow a gap after all
        wider = most_points(chain, gap)
        if wider is not None:
            found = measured(problem, wider.items, proven=best.proven and wider.proven)
    return found


def _best_apart(chain: Chain) -> Choice | None:
    """Return the best choice that stands apart from others: what that costs shows in whole choices only."""
    first = _measured(chain, most_points(chain, 0.0))
    if first is None:
        return None
    most = _burden(first)
    gaps = [gap for gap in chain.gaps() if gap <= chain.widest_gap(most)]
    best, low, high = first, -1, len(gaps)
    while high - low > 1:
        middle = (low + high) // 2
        found = _measured(chain, most_points(chain, gaps[middle]))
        if found is not None and _burden(found) <= most:
            best, low = found, middle
        else:
            high = middle
    return replace(best, proven=best.proven and first.proven)


def _measured(chain: Chain, found: Found | None) -> Choice | None:
    return None if found is None else measured(chain.problem, found.items, proven=found.proven)


def _burden(choice: Choice) -> int:
    return CAUTION * choice.cautions + INVERSION * choice.inversions
