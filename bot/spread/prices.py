"""Prices that bring what a choice gives as a whole down to its single items, and so a close bound.

That a kind of colour counts once is not a matter of single items. Given a price, every item of the kind
earns the price and the rest of the worth is granted outright: never less than the truth, so the best chain
at these prices is a bound. The same is done for kinds of head, for the balance of dark and light, and, where
sizes repeat, for taking one item twice. The prices are moved until the bound is close (Lagrangian relaxation
with subgradient steps; Held, Wolfe & Crowder, Mathematical Programming 6, 1974); the chains found on
the way are choices themselves, and the best of them is where the search begins.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from bot.spread.chain import INVERSION, NEVER, Chain, Links, Step
from bot.spread.choice import Ints

ROUNDS: Final = 40
"""Steps at most; more steps make a closer bound and a later start."""
PATIENCE: Final = 4
"""Steps without a better bound after which steps are halved."""

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Prices:
    """Prices with the tables of the chain at them."""

    colour: Ints
    head: Ints
    tone: int
    item: Ints
    tables: tuple[Ints, ...]
    granted: int
    """What is granted outright."""
    bound: int


@dataclass(frozen=True, slots=True)
class Start:
    """Where branch and bound begins: the closest prices, and the best choice met on the way."""

    prices: Prices
    worth: int
    steps: tuple[Step, ...] | None


class Kinds:
    """Colour, head and tone of the items of a chain as arrays, and the worth of a path."""

    def __init__(self, chain: Chain) -> None:
        problem = chain.problem
        self.chain = chain
        self.colour = np.array(problem.colour)
        self.head = np.array(problem.head)
        self.has_head = self.head >= 0
        self.tone = np.array(problem.tone)
        self.colours = int(self.colour.max(initial=0)) + 1
        self.heads = int(self.head.max(initial=0)) + 1
        self.places = len(chain.levels)

    def worth(self, steps: Sequence[Step], links: Links) -> int | None:
        """Give what a choice is worth in all, or None where it takes an item twice."""
        items = [item for _, item in steps]
        if not items or len(set(items)) < len(items):
            return None
        problem = self.chain.problem
        worth = links.new_size * (len({int(links.first[item]) for item in items}) - 1)
        for level, (step, item) in zip(self.chain.levels, steps, strict=True):
            worth += int(self.chain.worth[item, level.slot[step]]) - INVERSION * int(
                level.passed[step]
            )
        worth += problem.colour_points * len({problem.colour[item] for item in items})
        heads = {problem.head[item] for item in items}
        worth += problem.head_points * len(heads - {-1})
        uneven = abs(sum(problem.tone[item] for item in items))
        return worth + problem.tone_points * (self.places - uneven)


def closest_prices(chain: Chain, links: Links) -> Start | None:
    """Give where the search is to begin, or None where there is no choice."""
    kinds, problem = Kinds(chain), chain.problem
    colour = np.full(kinds.colours, problem.colour_points / 2)
    head = np.full(kinds.heads, problem.head_points / 2)
    tone, item = 0.0, np.zeros(len(chain.sizes))
    best: Prices | None = None
    found: tuple[int, tuple[Step, ...] | None] = (NEVER // 2, None)
    most = problem.colour_points * kinds.places + problem.tone_points + 1
    pace, waited = 1.0, 0
    for _ in range(ROUNDS):
        prices = _at(kinds, links, colour, head, tone, item)
        if prices is None:
            return None
        steps = chain.trace(prices.tables, links) or ()
        worth = kinds.worth(steps, links)
        if worth is not None and worth > found[0]:
            found = (worth, steps)
        waited = 0 if best is None or prices.bound < best.bound else waited + 1
        best = prices if best is None or prices.bound < best.bound else best
        if best.bound <= found[0]:
            break
        if waited >= PATIENCE:
            pace, waited = pace / 2, 0
        taken = [item for _, item in steps]
        off_colour = np.bincount(kinds.colour[taken], minlength=kinds.colours) - 1.0
        heads = kinds.head[taken]
        off_head = np.bincount(heads[heads >= 0], minlength=kinds.heads) - 1.0
        off_tone = -float(kinds.tone[taken].sum())
        off_item = 1.0 - np.bincount(taken, minlength=len(item)) if links.ties else item * 0
        off_item[(item <= 0) & (off_item > 0)] = 0
        length = (
            float(off_colour @ off_colour + off_head @ off_head + off_item @ off_item) + off_tone**2
        )
        if length == 0:
            break
        step = pace * min(most, prices.bound - found[0]) / length
        colour = np.clip(colour - step * off_colour, 0, problem.colour_points)
        head = np.clip(head - step * off_head, 0, problem.head_points)
        tone = min(problem.tone_points, max(-problem.tone_points, tone - step * off_tone))
        item = np.maximum(0, item - step * off_item)
    return None if best is None else Start(best, *found)


def _at(
    kinds: Kinds, links: Links, colour: Floats, head: Floats, tone: float, item: Floats
) -> Prices | None:
    chain, problem = kinds.chain, kinds.chain.problem
    by_colour, by_head, by_item = (np.rint(x).astype(np.int64) for x in (colour, head, item))
    by_tone = round(tone)
    own = by_colour[kinds.colour] - by_tone * kinds.tone - by_item
    own = own + np.where(kinds.has_head, by_head[kinds.head], 0)
    tables = chain.tables(
        np.where(chain.worth > NEVER // 2, chain.worth + own[:, None], NEVER), links
    )
    top = int(tables[0][:, :, -1].max(initial=NEVER))
    if top <= NEVER // 2:
        return None
    granted = int(
        (problem.colour_points - by_colour)[np.unique(kinds.colour)].sum()
        + (problem.head_points - by_head)[np.unique(kinds.head[kinds.has_head])].sum()
        + problem.tone_points * kinds.places
    )
    bound = top + granted + int(by_item.sum())
    return Prices(by_colour, by_head, by_tone, by_item, tuple(tables), granted, bound)
