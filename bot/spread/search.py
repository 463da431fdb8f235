"""The exact search for the best spread, by mixed-integer linear programming (HiGHS).

Wanted is the best choice of one item for each slot by these goals, each before the next: fewest
cautions, fewest inversions of size, the greatest least gap between sizes, most different sizes, most
points. Each goal is one programme, the gap a bisection; what is reached becomes a row of the next. Knows
plain numbers only.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any, Final

import highspy
import numpy as np
import numpy.typing as npt

from bot.spread.choice import FORBIDDEN, Choice, Ints, Problem, measure_choice

MOST_NODES: Final = 5000
"""Nodes after which a programme ends with the best so far; ordinary boxes are done at the first."""
_SLACK: Final = 1e-6
_LATER: Final = 1e-4
"""Points that a place further down the list costs, so that of equal choices always the same is taken."""

Values = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class _Row:
    """A sum of columns, each times its value, that lies between two bounds."""

    columns: Ints
    values: Values
    least: float
    most: float


def best_choice(problem: Problem) -> Choice | None:
    """Return the best choice, or None where the slots cannot all be filled."""
    if len(problem.sizes) < problem.cost.shape[1] or problem.cost.size == 0:
        return None
    return _Programme(problem).best()


class _Columns:
    """Numbers of the unknowns, all of them whole numbers from 0 to `most`."""

    def __init__(self) -> None:
        self.most: list[float] = []

    def add(self, *shape: int, most: float = 1) -> Ints:
        """Return the numbers of new columns, in an array of this shape."""
        first = len(self.most)
        count = int(np.prod(shape))
        self.most += [most] * count
        return np.arange(first, first + count).reshape(shape)


class _Programme:
    """The unknowns of a choice and the rows that tie them together."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        items, slots = problem.cost.shape
        self.sizes, size_of = np.unique(problem.sizes, return_inverse=True)
        columns = _Columns()
        self.put = columns.add(items, slots)
        """1 where an item stands in a slot."""
        self.up_to = columns.add(slots, len(self.sizes))
        """1 where a slot holds an item of this size or a smaller one."""
        self.inverted = columns.add(slots, slots)
        """1 where a nearer slot (row) holds a smaller item than a farther one."""
        self.taken = columns.add(len(self.sizes), most=slots)
        """Items taken of each size."""
        self.sized = columns.add(len(self.sizes))
        self.coloured = columns.add(max(problem.colour) + 1)
        self.headed = columns.add(max(max(problem.head) + 1, 0))
        """1 for each size, kind of colour and kind of head that is shown."""
        self.uneven = columns.add(1, most=slots)
        """Surplus of dark or light."""
        self.most = np.array(columns.most)
        self.most[self.put[problem.cost >= FORBIDDEN]] = 0
        self.rows: list[_Row] = []
        self.proven = True
        self.latest: Ints | None = None
        """The last choice that was found: what there is where a programme is broken off."""
        self._fill_slots()
        self._order_sizes(size_of)
        self._show_kinds()

    def row(
        self, columns: Ints, values: Values | float, *, least: float = -np.inf, most: float = np.inf
    ) -> None:
        """Add a row."""
        flat = columns.reshape(-1)
        self.rows.append(_Row(flat, np.broadcast_to(values, flat.shape), least, most))

    def _fill_slots(self) -> None:
        problem = self.problem
        for slot in self.put.T:
            self.row(slot, 1, least=1, most=1)
        for item in self.put:
            self.row(item, 1, most=1)
        if problem.old:
            self.row(self.put[np.array(problem.old)], 1, most=problem.most_old)
        for number, place in problem.must:
            there = self.put[number] if place < 0 else self.put[number, place : place + 1]
            self.row(there, 1, least=1)
        for held in problem.before:
            self.row(self.put[np.array(held)], 1, most=problem.most_shared)

    def _order_sizes(self, size_of: Ints) -> None:
        for place in range(len(self.sizes)):
            alike = self.put[size_of == place]
            self._sum_up(self.taken[place], alike)
            for slot, column in enumerate(self.up_to[:, place]):
                smaller = self.up_to[slot, place - 1 : place] if place else self.up_to[:0, 0]
                self._sum_up(column, np.concatenate([alike[:, slot], smaller]))

    def _show_kinds(self) -> None:
        problem = self.problem
        for column, taken in zip(self.sized, self.taken, strict=True):
            self._shown(column, taken)
        for columns, kinds in ((self.coloured, problem.colour), (self.headed, problem.head)):
            for kind, column in enumerate(columns):
                self._shown(column, self.put[np.array(kinds) == kind])
        if problem.least_different:
            self.row(self.sized, 1, least=problem.least_different)
        tones = np.repeat(np.array(problem.tone, float), self.put.shape[1])
        for sign in (-1.0, 1.0):
            both = np.append(self.put.reshape(-1), self.uneven)
            self.row(both, np.append(sign * tones, -1.0), most=0)

    def _sum_up(self, column: int, parts: Ints) -> None:
        """Make a column the sum of others."""
        both = np.append(parts.reshape(-1), column)
        self.row(both, np.append(np.ones(parts.size), -1.0), least=0, most=0)

    def _shown(self, column: int, parts: Ints) -> None:
        """Let a column be 1 only where one of others is."""
        both = np.append(parts.reshape(-1), column)
        self.row(both, np.append(np.ones(parts.size), -1.0), least=0)

    # The goals

    def best(self) -> Choice | None:
        """Return the best choice by all goals, or None where the slots cannot all be filled."""
        if not self._meet(self._goal(self.put, self.problem.cost)):
            return None
        cheapest = len(self.rows)
        self._order([(slot, slot + 1) for slot in range(self.put.shape[1] - 1)], inverted=False)
        if (falling := self._spread_out()) is not None:
            return falling
        del self.rows[cheapest:]
        self._order(list(combinations(range(self.put.shape[1]), 2)), inverted=True)
        if not self._meet(self._goal(self.inverted, 1)):
            return self._latest_choice()
        return self._spread_out()

    def _order(self, pairs: Sequence[tuple[int, int]], *, inverted: bool) -> None:
        """Let no farther slot hold a larger item than a nearer one, unless it is `inverted`."""
        for near, far in pairs:
            for smaller, there in zip(self.up_to[near], self.up_to[far], strict=True):
                both = [smaller, there, *([self.inverted[near, far]] if inverted else [])]
                self.row(np.array(both), np.array([1.0, -1.0, -1.0][: len(both)]), most=0)

    def _spread_out(self) -> Choice | None:
        """Return the choice with the widest gap, the most sizes and the most points, or None."""
        gap = self._widest_gap()
        if gap > 0:
            self.rows += self._apart(gap)
        elif not self._meet(self._goal(self.sized, -1)):
            return None
        self._least(self._points())
        return self._latest_choice()

    def _latest_choice(self) -> Choice | None:
        if self.latest is None:
            return None
        items = self.latest[self.put].argmax(axis=0)
        return measure_choice(self.problem, items.tolist(), proven=self.proven)

    def _meet(self, goal: Values) -> bool:
        """Reach the least sum of a goal, and hold it from now on; False where no choice is left."""
        found = self._least(goal)
        if found is None:
            return False
        used = np.flatnonzero(goal)
        if len(used):
            self.row(used, goal[used], most=float(goal @ found))
        return True

    def _widest_gap(self) -> float:
        """Return the greatest least gap between sizes; 0 where sizes must repeat."""
        gaps = self._gaps()
        low, high = -1, len(gaps)
        while high - low > 1:
            middle = (low + high) // 2
            if self._least(np.zeros(len(self.most)), self._apart(gaps[middle])) is None:
                high = middle
            else:
                low = middle
        return gaps[low] if low >= 0 else 0.0

    def _gaps(self) -> list[float]:
        """Return the least gaps above nought that a choice may have, rising."""
        between = self.put.shape[1] - 1
        gaps = np.unique(np.round(np.subtract.outer(self.sizes, self.sizes), 9))
        room = self.sizes[-1] - self.sizes[0] + _SLACK
        return [float(gap) for gap in gaps if between and gap > 0 and gap * between <= room]

    def _apart(self, gap: float) -> list[_Row]:
        """Return the rows of a least gap: of sizes that lie closer one item at most is taken."""
        ends = np.searchsorted(self.sizes, self.sizes + gap - _SLACK)
        return [
            _Row(self.taken[start:end], np.ones(end - start), 0, 1)
            for start, end in enumerate(ends.tolist())
        ]

    def _points(self) -> Values:
        problem = self.problem
        later = _LATER * np.arange(len(self.put))[:, None]
        goal = self._goal(self.put, later - problem.points.astype(np.float64))
        goal += self._goal(self.coloured, -problem.colour_points)
        goal += self._goal(self.headed, -problem.head_points)
        return goal + self._goal(self.uneven, problem.tone_points)

    def _goal(self, columns: Ints, values: npt.NDArray[Any] | float) -> Values:
        goal = np.zeros(len(self.most))
        goal[columns] = values
        return goal

    def _least(self, goal: Values, extra: Sequence[_Row] = ()) -> Ints | None:
        """Return a value for every column with the least sum of the goal, or None where there is none."""
        rows = [*self.rows, *extra]
        model = highspy.HighsLp()
        model.num_col_, model.num_row_ = len(goal), len(rows)
        model.col_cost_, model.col_upper_ = goal, self.most
        model.col_lower_ = np.zeros(len(goal))
        model.row_lower_ = [row.least for row in rows]
        model.row_upper_ = [row.most for row in rows]
        model.integrality_ = [highspy.HighsVarType.kInteger] * len(goal)
        matrix = model.a_matrix_
        matrix.format_ = highspy.MatrixFormat.kRowwise
        matrix.start_ = np.cumsum([0, *(len(row.columns) for row in rows)])
        matrix.index_ = np.concatenate([row.columns for row in rows])
        matrix.value_ = np.concatenate([row.values for row in rows])
        values, proven = solve(model)
        self.proven = self.proven and proven
        if values is None:
            return None
        self.latest = np.rint(values).astype(np.int64)
        return self.latest


def solve(model: highspy.HighsLp) -> tuple[Values | None, bool]:
    """Return a value for every column, None where there is none, and whether that is proven.

    HiGHS fails on one in some thousand programmes after presolve; these are solved again without it.
    """
    for presolve in ("choose", "off"):
        solver = highspy.Highs()  # type: ignore[no-untyped-call]
        options = {"threads": 1, "mip_rel_gap": 0.0, "mip_max_nodes": MOST_NODES}
        for name, value in {"output_flag": False, "presolve": presolve, **options}.items():
            solver.setOptionValue(name, value)
        solver.passModel(model)
        solver.run()
        ended = solver.getModelStatus()
        if ended != highspy.HighsModelStatus.kSolveError:
            break
    found = (
        solver.getInfo().primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
    )
    proven = ended in (highspy.HighsModelStatus.kOptimal, highspy.HighsModelStatus.kInfeasible)
    return (np.array(solver.getSolution().col_value) if found else None), proven
