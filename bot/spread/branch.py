"""Branch and bound for the choice with the most points along a chain.

Begins with the bound and the choice that the prices give (`prices`), and looks only where the bound promises
more. A state that was reached before with no less is cut off. Which item comes first is decided by its
bound, then by its place in the list: never by chance.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from bot.spread.chain import NEVER, Chain, Links
from bot.spread.choice import Ints
from bot.spread.prices import Start, closest_prices


def most_points(chain: Chain, gap: float) -> tuple[int, ...] | None:
    """Give the items of the best choice with this gap, in the order of the slots, or None for none."""
    links = chain.links(gap)
    start = closest_prices(chain, links)
    if start is None:
        return None
    path = (
        start.path if start.prices.bound <= start.worth else _Branching(chain, links, start).run()
    )
    if path is None:
        return None
    by_slot = dict(zip(chain.order, path, strict=True))
    return tuple(by_slot[slot] for slot in range(len(path)))


@dataclass(frozen=True, slots=True)
class _Node:
    """A path so far, and all that decides what may follow it and what that gives."""

    path: tuple[int, ...]
    worth: int
    """Of its items and sizes alone."""
    colours: int
    heads: int
    """Kinds met so far, one bit for each."""
    tone: int
    left: int
    """Old items that may still be taken."""
    used: int
    """Items of the path, one bit for each, where sizes may repeat."""


_ROOT: Final = (0, 0, 0, 0)


class _Branching:
    """Holds the best path so far and the states already reached."""

    def __init__(self, chain: Chain, links: Links, start: Start) -> None:
        problem = chain.problem
        self.problem = problem
        self.links = links
        self.prices = start.prices
        self.tables = [table.tolist() for table in start.prices.tables]
        self.by_bound = [_by_bound(table) for table in start.prices.tables]
        self.worth = chain.worth.T.tolist()
        self.follows: list[int] = links.follows.tolist()
        self.first: list[int] = links.first.tolist()
        self.old: list[bool] = chain.old.tolist()
        self.budget = chain.budget
        self.places = len(chain.order)
        self.item_price: list[int] = start.prices.item.tolist()
        self.items_from = [*np.cumsum(start.prices.item[::-1])[::-1].tolist(), 0]
        self.best, self.path = start.worth, start.path
        self.reached: dict[tuple[int, ...], int] = {}
        self.masks: dict[tuple[int, int], int] = {}

    def run(self) -> tuple[int, ...] | None:
        """Give the best path, or None where there is none."""
        self._extend(_Node((), *_ROOT, self.budget, 0))
        return self.path

    def _extend(self, node: _Node) -> None:
        place = len(node.path)
        if place == self.places:
            worth = node.worth + self._whole(node)
            if worth > self.best:
                self.best, self.path = worth, node.path
            return
        for bound, item in self._children(node):
            if bound <= self.best:
                return
            child = self._child(node, item)
            state = self._state(child)
            if self.reached.get(state, NEVER) >= child.worth:
                continue
            self.reached[state] = child.worth
            self._extend(child)

    def _children(self, node: _Node) -> list[tuple[int, int]]:
        """Give what may come next with its bound, the most promising first."""
        place = len(node.path)
        table, last = self.tables[place], node.path[-1] if node.path else None
        start = 0 if last is None else self.first[last] if self.links.ties else self.follows[last]
        sure = node.worth + self._granted(node, start)
        found = []
        for item in self.by_bound[place]:
            row = table[item]
            if sure + row[-1] + self.links.new_size <= self.best:
                break
            if item < start or node.used >> item & 1:
                continue
            bound = sure + row[node.left] + self._fresh(last, item)
            if bound > self.best:
                found.append((bound, item))
        found.sort(key=lambda pair: (-pair[0], pair[1]))
        return found

    def _granted(self, node: _Node, start: int) -> int:
        """Give the bound on all that the tables do not hold; the next item is at or after `start`."""
        key = (node.colours, node.heads)
        if key not in self.masks:
            self.masks[key] = sum(_bits(node.colours, self.prices.colour)) + sum(
                _bits(node.heads, self.prices.head)
            )
        granted = self.prices.granted + self.masks[key] - self.prices.tone * node.tone
        if self.links.ties:
            granted += self.items_from[start]
            for item in reversed(node.path):
                if item < start:
                    break
                granted -= self.item_price[item]
        return granted

    def _child(self, node: _Node, item: int) -> _Node:
        last = node.path[-1] if node.path else None
        head = self.problem.head[item]
        return _Node(
            (*node.path, item),
            node.worth + self.worth[len(node.path)][item] + self._fresh(last, item),
            node.colours | 1 << self.problem.colour[item],
            node.heads | (1 << head if head >= 0 else 0),
            node.tone + self.problem.tone[item],
            node.left - self.old[item],
            node.used | 1 << item if self.links.ties else 0,
        )

    def _whole(self, node: _Node) -> int:
        """Give what a whole path gives beyond its items."""
        return (
            self.problem.colour_points * node.colours.bit_count()
            + self.problem.head_points * node.heads.bit_count()
            + self.problem.tone_points * (self.places - abs(node.tone))
        )

    def _fresh(self, last: int | None, item: int) -> int:
        return 0 if last is None or self.first[last] == self.first[item] else self.links.new_size

    def _state(self, node: _Node) -> tuple[int, ...]:
        last = node.path[-1]
        if self.links.ties:
            ahead, same_size = self.first[last], node.used >> self.first[last]
        else:
            ahead, same_size = self.follows[last], 0
        return (len(node.path), ahead, same_size, node.colours, node.heads, node.tone, node.left)


def _bits(mask: int, values: Ints) -> list[int]:
    return [int(value) for bit, value in enumerate(values) if mask >> bit & 1]


def _by_bound(table: Ints) -> list[int]:
    """Give the items that can lead anywhere, the most promising first."""
    top = table[:, -1]
    ranked = np.argsort(-top, kind="stable")
    return [int(item) for item in ranked if top[item] > NEVER // 2]
