"""Tables of many trips joined column by column, with one set of labels for all. Pure.

A question looks at a few of the columns; each is put together when it is first looked at, and its labels
with it. Half a million rows are a few milliseconds a column.
"""

from abc import ABC, abstractmethod
from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np
import numpy.typing as npt

from bot.trip.packed import PackedTable
from bot.trip.summary import LABELS, Summary

Column = npt.NDArray[np.int32]
Rows = npt.NDArray[np.bool_] | npt.NDArray[np.int32]
"""Rows to take: a mask, or their indices."""

TRIP: Final = "trip"
"""The column that every table has beside its own: the place of the trip."""


class Labels:
    """The labels of all trips: by kind (`LABELS`), in the order in which they come."""

    def __init__(self, held: Sequence[Summary]) -> None:
        self._held = [one.labels for one in held]
        self._known: dict[str, tuple[tuple[str, ...], Column, Column]] = {}

    def __getitem__(self, kind: str) -> tuple[str, ...]:
        return self._made(kind)[0]

    def numbers(self, kind: str) -> tuple[Column, Column]:
        """Return where the labels of each trip begin in a list, and the list: their numbers among all.

        Before the numbers of each trip stands -1, which is the number of what was not said.
        """
        return self._made(kind)[1:]

    def _made(self, kind: str) -> tuple[tuple[str, ...], Column, Column]:
        if kind not in self._known:
            which, known = LABELS.index(kind), dict[str, int]()
            new: list[int] = []
            starts: list[int] = []
            for labels in self._held:
                new.append(-1)
                starts.append(len(new))
                new += [known.setdefault(word, len(known)) for word in labels[which]]
            self._known[kind] = (
                tuple(known), np.array(starts, np.int32), np.array(new, np.int32),
            )  # fmt: skip
        return self._known[kind]


class Columns(ABC):
    """A table of which columns are looked at by name."""

    names: tuple[str, ...]

    @abstractmethod
    def __len__(self) -> int: ...

    @abstractmethod
    def __getitem__(self, name: str) -> Column: ...

    def only(self, rows: Rows) -> "Columns":
        """Return some of the rows."""
        return PickedRows(self, rows)


class Stack(Columns):
    """Tables of many trips, in the order of the trips; a label that was not said is -1."""

    def __init__(
        self, tables: Sequence[PackedTable], names: tuple[str, ...], labels: Labels,
        shifts: Mapping[str, Column] | None = None,
    ) -> None:  # fmt: skip
        """Stack tables; `shifts` says by trip what is added to a column that counts within the trip."""
        self.names = (*names, TRIP)
        self._tables = tables
        self._lengths = [len(table) for table in tables]
        self._labels = labels
        self._shifts = shifts or {}
        self._made: dict[str, Column] = {}

    def __len__(self) -> int:
        return sum(self._lengths)

    def __getitem__(self, name: str) -> Column:
        if name not in self._made:
            self._made[name] = self._column(name)
        return self._made[name]

    def _column(self, name: str) -> Column:
        if name == TRIP:
            return np.repeat(np.arange(len(self._lengths), dtype=np.int32), self._lengths)
        place = self.names.index(name)
        parts = (table.column(place) for table in self._tables)
        column: Column = np.concatenate([np.empty(0, np.int32), *parts])
        if name in LABELS:
            starts, new = self._labels.numbers(name)
            column += np.repeat(starts, self._lengths)
            column = new[column]
        if name in self._shifts:
            column += np.repeat(self._shifts[name], self._lengths)
        return column


class PickedRows(Columns):
    """Some rows of a table, and columns that stand in the place of its own or beside them."""

    def __init__(
        self, table: Columns, rows: Rows, instead: Mapping[str, Column] | None = None
    ) -> None:
        self._table, self._rows, self._instead = table, rows, instead or {}
        self.names = tuple(dict.fromkeys((*table.names, *self._instead)))
        self._made: dict[str, Column] = {}

    def __len__(self) -> int:
        rows = self._rows
        return int(np.count_nonzero(rows)) if rows.dtype == np.bool_ else len(rows)

    def __getitem__(self, name: str) -> Column:
        if name in self._instead:
            return self._instead[name]
        if name not in self._made:
            self._made[name] = self._table[name][self._rows]
        return self._made[name]
