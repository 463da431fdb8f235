"""Prices that bring what a choice gives as a whole down to its single items, and so a close bound.

That a kind of colour counts once is not a matter of single items. Given a price, every item of the kind
earns the price and the rest of the worth is granted outright: never less than the truth, so the best chain
at these prices is a bound. The same is done for kinds of head, for the balance of dark and light, and, where
sizes repeat, for taking one item twice. The prices are moved until the bound is close (Lagrangian relaxation
with subgradient steps; Held, Wolfe & Crowder, Mathematical Programming 6, 1974); the chains found on
the way are choices themselves, and the best of them is where the search begins.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
import numpy.typing as npt

from bot.spread.chain import INVERSION, NEVER, NEW_SIZE, Chain, Links, Step
from bot.spread.choice import Ints

ROUNDS: Final = 40
"""Steps at most; more steps make a closer bound and a later start."""
COARSE: Final = NEW_SIZE // 2
"""Bound and choice are this far apart where they differ in sizes, inversions or cautions."""
COARSE_ROUNDS: Final = 40
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


@dataclass(frozen=True, slots=True)
class _Level:
    """Prices while they are moved."""

    colour: Floats
    head: Floats
    tone: float
    item: Floats


class Kinds:
    """Colour, head and tone of the items of a chain as arrays, and the worth of a path."""

    def __init__(self, chain: Chain, links: Links) -> None:
        problem = chain.problem
        self.chain = chain
        self.ties = links.ties
        self.colour = np.array(problem.colour)
        self.head = np.array(problem.head)
        self.has_head = self.head >= 0
        self.tone = np.array(problem.tone)
        self.colours = int(self.colour.max(initial=0)) + 1
        self.heads = int(self.head.max(initial=0)) + 1
        self.places = len(chain.levels)

    def worth(self, steps: Sequence[Step], links: Links) -> int | None:
        """Return what a choice is worth in all, or None where it takes an item twice."""
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
    """Return where the search is to begin, or None where there is no choice."""
    kinds, problem = Kinds(chain, links), chain.problem
    level = _Level(
        np.full(kinds.colours, problem.colour_points / 2),
        np.full(kinds.heads, problem.head_points / 2),
        0.0,
        np.zeros(len(chain.sizes)),
    )
    descent = _Descent(kinds, links, level)
    descent.run(ROUNDS)
    if links.ties and descent.best is not None and descent.best.bound - descent.worth > COARSE:
        descent.run(COARSE_ROUNDS, coarse=True)
        descent.run(ROUNDS)
    return None if descent.best is None else Start(descent.best, descent.worth, descent.steps)


class _Descent:
    """Moves the prices down; holds the closest so far and the best choice met on the way."""

    def __init__(self, kinds: Kinds, links: Links, level: _Level) -> None:
        self.kinds = kinds
        self.links = links
        self.level = level
        self.best: Prices | None = None
        self.worth = NEVER // 2
        self.steps: tuple[Step, ...] | None = None

    def run(self, rounds: int, *, coarse: bool = False) -> None:
        """Take so many steps from the closest prices, or fewer where no more is to be won."""
        level, pace, waited = self.level, 1.0, 0
        for _ in range(rounds):
            prices = _at(self.kinds, self.links, level)
            if prices is None:
                return
            steps = self.kinds.chain.trace(prices.tables, self.links)
            self._keep_choice(steps, prices)
            if self.best is None or prices.bound < self.best.bound:
                self.best, self.level, waited = prices, level, 0
            else:
                waited += 1
            if self.best.bound <= self.worth:
                return
            if waited >= PATIENCE:
                pace, waited = pace / 2, 0
            taken = [item for _, item in steps]
            level = _moved(self.kinds, level, taken, pace, prices.bound - self.worth, coarse=coarse)

    def _keep_choice(self, steps: tuple[Step, ...], prices: Prices) -> None:
        choices = [steps]
        if self.links.ties:
            choices.append(self.kinds.chain.trace(prices.tables, self.links, once=True))
        for choice in choices:
            worth = self.kinds.worth(choice, self.links)
            if worth is not None and worth > self.worth:
                self.worth, self.steps = worth, choice


def _moved(
    kinds: Kinds, level: _Level, taken: list[int], pace: float, gap: int, *, coarse: bool
) -> _Level:
    """Return the prices after a step against what was taken too often or not at all.

    While whole sizes, inversions or cautions are between bound and choice only the items are priced.
    """
    problem = kinds.chain.problem
    off_colour = np.bincount(kinds.colour[taken], minlength=kinds.colours) - 1.0
    heads = kinds.head[taken]
    off_head = np.bincount(heads[heads >= 0], minlength=kinds.heads) - 1.0
    off_tone = -float(kinds.tone[taken].sum())
    off_item = 1.0 - np.bincount(taken, minlength=len(level.item))
    off_item[(level.item <= 0) & (off_item > 0)] = 0
    if coarse:
        length = float(off_item @ off_item)
        return replace(
            level, item=np.maximum(0, level.item - pace * gap / max(length, 1.0) * off_item)
        )
    length = (
        float(off_colour @ off_colour + off_head @ off_head + off_item @ off_item) + off_tone**2
    )
    step = (
        pace
        * min(gap, problem.colour_points * kinds.places + problem.tone_points + 1)
        / max(length, 1.0)
    )
    return _Level(
        np.clip(level.colour - step * off_colour, 0, problem.colour_points),
        np.clip(level.head - step * off_head, 0, problem.head_points),
        min(problem.tone_points, max(-problem.tone_points, level.tone - step * off_tone)),
        np.maximum(0, level.item - step * off_item) if kinds.ties else level.item,
    )


def _at(kinds: Kinds, links: Links, at: _Level) -> Prices | None:
    chain, problem = kinds.chain, kinds.chain.problem
    by_colour, by_head, by_item = (
        np.rint(x).astype(np.int64) for x in (at.colour, at.head, at.item)
    )
    by_tone = round(at.tone)
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
