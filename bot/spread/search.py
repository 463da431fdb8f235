"""The exact search for the best spread.

Wanted is the best choice of one item for each slot by these goals, each before the next: fewest
cautions, fewest inversions of size, the greatest least gap between sizes, most different sizes, most
points. Taken in falling order of size a choice is a way through the slots (`ways`) and a path through the
sorted items (`chain`). The gap is found by bisection, each step decided by a dynamic programme; the points by
branch and bound (`branch`), with prices for what counts only as a whole (`prices`).
"""

from bot.spread.branch import most_points
from bot.spread.chain import CAUTION, INVERSION, Chain
from bot.spread.choice import Choice, Problem, measured


def best_choice(problem: Problem) -> Choice | None:
    """Give the best choice, or None where the slots cannot all be filled."""
    if len(problem.sizes) < problem.cost.shape[1] or problem.cost.size == 0:
        return None
    chain = Chain(problem)
    bound = chain.least_burden(0.0)
    if bound is None:
        return None
    best = most_points(chain, chain.widest_gap(bound))
    if best is None:
        return None
    found = measured(problem, best.items, proven=best.proven)
    burden = CAUTION * found.cautions + INVERSION * found.inversions
    if burden > bound and (gap := chain.widest_gap(burden)) > 0:
        # the bound took one item twice: what is really needed may allow a gap after all
        wider = most_points(chain, gap)
        if wider is not None:
            found = measured(problem, wider.items, proven=best.proven and wider.proven)
    return found
