"""Branch and bound for the choice with the most points along a chain.

Begins with the bound and the choice that the prices give (`prices`), and looks only where the bound promises
more. A state that was reached before with no less is cut off. Which item comes first is decided by its
bound, then by its place in the list: never by chance.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from bot.spread.chain import INVERSION, NEVER, Chain, Links, Step
from bot.spread.choice import Ints
from bot.spread.prices import Start, closest_prices
from bot.spread.ways import Level

MOST_NODES: Final = 100_000
"""Nodes after which the search ends with the best so far; a few seconds. Only a boat with nearly as many line
classes as rods, the light ones near, comes so far."""


@dataclass(frozen=True, slots=True)
class Found:
    """The items in the order of the slots, and whether nothing better is left."""

    items: tuple[int, ...]
    proven: bool


def most_points(chain: Chain, gap: float) -> Found | None:
    """Return the best choice with this gap, or None where there is none."""
    links = chain.links(gap)
    start = closest_prices(chain, links)
    if start is None:
        return None
    if start.steps is not None and not chain.problem.stands_apart(_items(start.steps)):
        start = replace(start, worth=NEVER // 2, steps=None)
    if start.steps is not None and start.prices.bound <= start.worth:
        return Found(chain.by_slot(start.steps), proven=True)
    branching = _Branching(chain, links, start)
    steps = branching.run()
    return None if steps is None else Found(chain.by_slot(steps), branching.nodes <= MOST_NODES)


@dataclass(frozen=True, slots=True)
class _Node:
    """The steps so far, and all that decides what may follow it and what that gives."""

    steps: tuple[Step, ...]
    state: int
    """Which slots are filled, by number within the level."""
    worth: int
    """Of its items, sizes and inversions alone."""
    colours: int
    heads: int
    """Kinds met so far, one bit for each."""
    tone: int
    left: int
    """Old items that may still be taken."""
    used: int
    """Items taken, one bit for each, where sizes may repeat."""
    shared: tuple[int, ...] = ()
    """Items taken of each set of which only so many may be taken."""


class _Branching:
    """Holds the best steps so far and the states already reached."""

    def __init__(self, chain: Chain, links: Links, start: Start) -> None:
        self.problem = chain.problem
        self.links = links
        self.prices = start.prices
        self.levels = chain.levels
        self.ranked = [
            _ranked(level, table)
            for level, table in zip(chain.levels, start.prices.tables, strict=True)
        ]
        self.worth = chain.worth.tolist()
        self.follows: list[int] = links.follows.tolist()
        self.first: list[int] = links.first.tolist()
        self.old: list[bool] = chain.old.tolist()
        self.budget = chain.budget
        self.item_price: list[int] = start.prices.item.tolist()
        self.items_from = [*np.cumsum(start.prices.item[::-1])[::-1].tolist(), 0]
        self.best, self.steps = start.worth, start.steps
        self.reached: dict[tuple[int, ...], int] = {}
        self.masks: dict[tuple[int, int], int] = {}
        self.nodes = 0

    def run(self) -> tuple[Step, ...] | None:
        """Return the best steps, or None where there are none."""
        self._extend(_Node((), 0, 0, 0, 0, 0, self.budget, 0, (0,) * len(self.problem.before)))
        return self.steps

    def _extend(self, node: _Node) -> None:
        self.nodes += 1
        if len(node.steps) == len(self.levels):
            worth = node.worth + self._whole(node)
            if worth > self.best:
                self.best, self.steps = worth, node.steps
            return
        for bound, step, item in self._children(node):
            if bound <= self.best or self.nodes > MOST_NODES:
                return
            child = self._child(node, step, item)
            if max(child.shared, default=0) > self.problem.most_shared:
                continue
            state = self._state(child)
            if self.reached.get(state, NEVER) >= child.worth:
                continue
            self.reached[state] = child.worth
            self._extend(child)

    def _children(self, node: _Node) -> list[tuple[int, int, int]]:
        """Return what may come next with its bound, the most promising first."""
        last = node.steps[-1][1] if node.steps else None
        start = 0 if last is None else self.first[last] if self.links.ties else self.follows[last]
        sure = node.worth + self._granted(node, start)
        found = []
        for row, step, item in self.ranked[len(node.steps)][node.state]:
            if sure + row[-1] + self.links.new_size <= self.best:
                break
            if item < start or node.used >> item & 1:
                continue
            bound = sure + row[node.left] + self._fresh(last, item)
            if bound > self.best:
                found.append((bound, step, item))
        found.sort(key=lambda child: (-child[0], child[1], child[2]))
        return found

    def _granted(self, node: _Node, start: int) -> int:
        """Return the bound on all that the tables do not hold; the next item is at or after `start`."""
        key = (node.colours, node.heads)
        if key not in self.masks:
            self.masks[key] = sum(_bits(node.colours, self.prices.colour)) + sum(
                _bits(node.heads, self.prices.head)
            )
        granted = self.prices.granted + self.masks[key] - self.prices.tone * node.tone
        if self.links.ties:
            granted += self.items_from[start]
            for _, item in reversed(node.steps):
                if item < start:
                    break
                granted -= self.item_price[item]
        return granted

    def _child(self, node: _Node, step: int, item: int) -> _Node:
        last = node.steps[-1][1] if node.steps else None
        level, head = self.levels[len(node.steps)], self.problem.head[item]
        worth = self.worth[item][level.slot[step]] - INVERSION * int(level.passed[step])
        return _Node(
            (*node.steps, (step, item)),
            int(level.after[step]),
            node.worth + worth + self._fresh(last, item),
            node.colours | 1 << self.problem.colour[item],
            node.heads | (1 << head if head >= 0 else 0),
            node.tone + self.problem.tone[item],
            node.left - self.old[item],
            node.used | 1 << item if self.links.ties else 0,
            tuple(n + held[item] for n, held in zip(node.shared, self.problem.before, strict=True)),
        )

    def _whole(self, node: _Node) -> int:
        """Return what a whole choice gives beyond its items."""
        return (
            self.problem.colour_points * node.colours.bit_count()
            + self.problem.head_points * node.heads.bit_count()
            + self.problem.tone_points * (len(self.levels) - abs(node.tone))
        )

    def _fresh(self, last: int | None, item: int) -> int:
        return 0 if last is None or self.first[last] == self.first[item] else self.links.new_size

    def _state(self, node: _Node) -> tuple[int, ...]:
        last = node.steps[-1][1]
        if self.links.ties:
            ahead, same_size = self.first[last], node.used >> self.first[last]
        else:
            ahead, same_size = self.follows[last], 0
        filled = (len(node.steps), node.state)
        taken = (node.colours, node.heads, node.tone, node.left, *node.shared)
        return (*filled, ahead, same_size, *taken)


Ranked = list[tuple[list[int], int, int]]


def _ranked(level: Level, table: Ints) -> list[Ranked]:
    """Return for each state the steps and items that can lead anywhere, the most promising first."""
    rows = table.tolist()
    found: list[Ranked] = [[] for _ in level.first]
    for step, item in np.argwhere(table[:, :, -1] > NEVER // 2).tolist():
        found[int(level.state[step])].append((rows[step][item], step, item))
    for ranked in found:
        ranked.sort(key=lambda entry: (-entry[0][-1], entry[1], entry[2]))
    return found


def _items(steps: Sequence[Step]) -> list[int]:
    return [item for _, item in steps]


def _bits(mask: int, values: Ints) -> list[int]:
    return [int(value) for bit, value in enumerate(values) if mask >> bit & 1]
