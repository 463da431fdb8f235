"""Branch and bound for the choice with the most points along a chain.

What an item gives by itself is bounded by the tables of the chain; what a choice gives as a whole (kinds of
colour and head, balance of dark and light) by what is still to be had. A state that was reached before
with no less is cut off. Which item comes first is decided by its bound, then by its place: never by chance.
"""

from collections.abc import Sequence

import numpy as np

from bot.spread.chain import NEVER, NEW_SIZE, Chain
from bot.spread.choice import Ints


def most_points(chain: Chain, gap: float) -> tuple[int, ...] | None:
    """Give the items of the best choice with this gap, in the order of the slots, or None for none."""
    path = _Branching(chain, gap).run()
    if path is None:
        return None
    by_slot = dict(zip(chain.order, path, strict=True))
    return tuple(by_slot[slot] for slot in range(len(path)))


class _Branching:
    """Branch and bound along a chain: holds the best path so far and the states already reached."""

    def __init__(self, chain: Chain, gap: float) -> None:
        problem = chain.problem
        new_size = 0 if gap > 0 else NEW_SIZE
        tables = chain.tables(chain.worth, gap, new_size)
        self.places = len(tables)
        self.tables = [table.tolist() for table in tables]
        self.worth = chain.worth.T.tolist()
        self.follows = chain.next_from(gap).tolist()
        self.first = np.searchsorted(chain.falling, chain.falling, side="left").tolist()
        self.ties = gap <= 0
        self.new_size = new_size
        self.problem = problem
        self.old = chain.old.tolist()
        self.colour = [1 << kind for kind in problem.colour]
        self.head = [1 << kind if kind >= 0 else 0 for kind in problem.head]
        self.by_bound = [_by_bound(table) for table in tables]
        self.colours_ahead = self._ahead(self.colour)
        self.heads_ahead = self._ahead(self.head)
        self.most_whole = (
            problem.colour_points * min(self.places, len(set(problem.colour)))
            + problem.head_points * min(self.places, len(set(self.head) - {0}))
            + problem.tone_points * self.places
        )
        self.best = NEVER // 2
        self.path: tuple[int, ...] | None = None
        self.reached: dict[tuple[int, ...], int] = {}
        self.budget = chain.budget

    def run(self) -> tuple[int, ...] | None:
        """Give the best path, or None where there is none."""
        self._extend((), 0, 0, 0, 0, self.budget, 0)
        return self.path

    def _extend(
        self,
        path: tuple[int, ...],
        worth: int,
        colours: int,
        heads: int,
        tone: int,
        left: int,
        used: int,
    ) -> None:
        place = len(path)
        if place == self.places:
            whole = self._whole(colours, heads, tone, 0, 0, 0)
            if worth + whole > self.best:
                self.best, self.path = worth + whole, path
            return
        for bound, item in self._children(path, worth, colours, heads, tone, left, used):
            if bound <= self.best:
                return
            now = worth + self.worth[place][item] + self._fresh(path, item)
            state = self._state(place, item, colours, heads, tone, left, used)
            if self.reached.get(state, NEVER) >= now:
                continue
            self.reached[state] = now
            self._extend(
                (*path, item),
                now,
                colours | self.colour[item],
                heads | self.head[item],
                tone + self.problem.tone[item],
                left - self.old[item],
                used | 1 << item if self.ties else 0,
            )

    def _children(
        self,
        path: tuple[int, ...],
        worth: int,
        colours: int,
        heads: int,
        tone: int,
        left: int,
        used: int,
    ) -> list[tuple[int, int]]:
        """Give what may come next with its bound, the most promising first."""
        place, rest = len(path), self.places - len(path) - 1
        table = self.tables[place]
        start = 0 if not path else self.first[path[-1]] if self.ties else self.follows[path[-1]]
        found = []
        for item in self.by_bound[place]:
            bound = worth + table[item][left] + self.new_size
            if bound + self.most_whole <= self.best:
                if worth + table[item][-1] + self.new_size + self.most_whole <= self.best:
                    break
                continue
            if item < start or used >> item & 1:
                continue
            bound += self._fresh(path, item) - self.new_size
            bound += self._whole(
                colours | self.colour[item],
                heads | self.head[item],
                tone + self.problem.tone[item],
                rest,
                self.colours_ahead[place][item],
                self.heads_ahead[place][item],
            )
            if bound > self.best:
                found.append((bound, item))
        found.sort(key=lambda pair: (-pair[0], pair[1]))
        return found

    def _whole(
        self, colours: int, heads: int, tone: int, rest: int, colours_ahead: int, heads_ahead: int
    ) -> int:
        """Give the most that the choice as a whole can give when `rest` items are still to come."""
        problem = self.problem
        kinds = colours.bit_count() + min(rest, (colours_ahead & ~colours).bit_count())
        shapes = heads.bit_count() + min(rest, (heads_ahead & ~heads).bit_count())
        uneven = max(0, abs(tone) - rest)
        return (
            problem.colour_points * kinds
            + problem.head_points * shapes
            + problem.tone_points * (self.places - uneven)
        )

    def _fresh(self, path: tuple[int, ...], item: int) -> int:
        return self.new_size if path and self.first[path[-1]] != self.first[item] else 0

    def _state(
        self, place: int, item: int, colours: int, heads: int, tone: int, left: int, used: int
    ) -> tuple[int, ...]:
        """Give all that decides what may follow from here and what it gives."""
        if self.ties:
            ahead, same_size = self.first[item], (used | 1 << item) >> self.first[item]
        else:
            ahead, same_size = self.follows[item], 0
        return (
            place,
            ahead,
            colours | self.colour[item],
            heads | self.head[item],
            tone + self.problem.tone[item],
            left - self.old[item],
            same_size,
        )

    def _ahead(self, bits: Sequence[int]) -> list[list[int]]:
        """Give for each place and item the kinds that can still come after it."""
        count = len(bits)
        after = [0] * (count + 1)
        found = []
        for place in reversed(range(self.places)):
            start = self.first if self.ties else self.follows
            found.append([after[min(start[item], count)] for item in range(count)])
            here = [0] * (count + 1)
            for item in reversed(range(count)):
                can = self.worth[place][item] > NEVER // 2
                here[item] = here[item + 1] | (bits[item] if can else 0)
            after = [one | other for one, other in zip(here, after, strict=True)]
        return found[::-1]


def _by_bound(table: Ints) -> list[int]:
    """Give the items that can lead anywhere, the most promising first."""
    top = table[:, -1]
    ranked = np.argsort(-top, kind="stable")
    return [int(item) for item in ranked if top[item] > NEVER // 2]
