"""Many trips in figures at once: the same tally as of the trips themselves, from their summaries.

Tables of whole numbers with one set of labels for all trips; counting is array arithmetic, so a thousand
trips take a fraction of a second. What is cut by the clock within a day needs the trip itself. Pure.
"""

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from typing import Final

import numpy as np
import numpy.typing as npt

from bot.trip.conditions import MONTHS, UNKNOWN
from bot.trip.exposure import ALL, By, Only, lure_fits, lure_keys
from bot.trip.summary import FISH, LABELS, STAGES, WATER, Described, Summary, Table, described
from bot.trip.tally import Counted, Keys, is_a, split_by

Codes = npt.NDArray[np.intp]
Mask = npt.NDArray[np.bool_]
Sums = npt.NDArray[np.float64]
_LURE_KEYS: Final = frozenset({"colour", "size", "lure", "head"})
_HOURS: Final = tuple((f"{hour:02d}:00",) for hour in range(24))
_MONTHS: Final = tuple((month,) for month in MONTHS)
_BITE: Final = FISH[: FISH.index("species") + 1]
"""What is known of a bite, whoever called it."""
_FISH_COUNTS: Final = slice(FISH.index("strikes"), len(FISH))
_STAGE_COUNTS: Final = slice(STAGES.index("strikes"), len(STAGES))


@dataclass(frozen=True, slots=True)
class Header:
    """What a trip is, beside its figures."""

    trip: str
    first_at: datetime
    last_at: datetime
    started: datetime
    ended: datetime | None
    entries: int


@dataclass(frozen=True, eq=False, slots=True)
class Cells:
    """What every position brought on every trip under some keys: columns of equal length."""

    keys: tuple[tuple[Keys, ...], ...]
    """Pairs, the second empty by `none`; several where a lure counts for all of its colours."""
    positions: tuple[str, ...]
    headers: tuple[Header, ...]
    key: Codes
    """Which of `keys`, which of `positions`, which of `headers`."""
    position: Codes
    trip: Codes
    seconds: Sums
    """Of lures in the water; above 0."""
    strikes: Sums


@dataclass(frozen=True, eq=False)
class Ledger:
    """The tables of many trips; the last column of each is the place of its trip in `headers`."""

    headers: tuple[Header, ...]
    labels: tuple[tuple[str, ...], ...]
    water: Table
    fish: Table
    load_stages: Callable[[], Table]
    """Gives the stages of all fish; only a tally by crew needs them."""

    @cached_property
    def stages(self) -> Table:
        """Give the stages of all fish."""
        return self.load_stages()

    def counted(
        self, by: By, only: Only = ALL, also: By = "none", trips: Collection[str] | None = None
    ) -> Counted:
        """Give the sums of a tally of all trips, or of these; `since` and `before` are not looked at."""
        found = Counted(by, also)
        among = None if trips is None else np.array([h.trip in trips for h in self.headers], bool)
        water, bites, fish = self.water, None, self.fish
        if among is not None or only is not ALL:
            water = water[self._fits(water, WATER, only, among)]
            bites = self._fits(fish, FISH, only, among)
            fish = fish[bites]
        seconds = water[:, WATER.index("seconds")]
        found.all_hours = float(seconds.sum(dtype=np.int64)) / 3600
        found.whole = [
            int(fish[:, place].sum()) for place in range(*_FISH_COUNTS.indices(len(FISH)))
        ]
        if by == also == "none":
            return found
        for keys, spent in self._grouped(
            water, WATER, split_by(by, also), seconds[:, None]
        ).items():
            found.hours[keys] = spent[0] / 3600
        columns: tuple[str, ...] = FISH
        counts = fish[:, _FISH_COUNTS]
        if "crew" in (by, also):
            stages = self.stages if bites is None else self._of(bites)
            fish, columns = self._staged(stages), (*_BITE, "crew")
            counts = stages[:, _STAGE_COUNTS]
        for keys, sums in self._grouped(fish, columns, (by, also), counts).items():
            found.sums[keys] = [int(total) for total in sums]
        return found

    def cells(
        self, by: By, only: Only = ALL, also: By = "none", trips: Collection[str] | None = None
    ) -> Cells:
        """Give lure-hours and strikes by two keys, position and trip; what has no lure-hours is left out."""
        among = None if trips is None else np.array([h.trip in trips for h in self.headers], bool)
        positions = (*self.labels[LABELS.index("position")], UNKNOWN)

        def placed(table: Table, columns: tuple[str, ...]) -> tuple[Codes, list[tuple[Keys, ...]]]:
            group, keys = self._paired(table, columns, (by, also))
            where = table[:, columns.index("position")]
            where = np.where(where < 0, len(positions) - 1, where)
            return (group * len(positions) + where) * len(self.headers) + table[:, -1], keys

        water = self.water[self._fits(self.water, WATER, only, among)]
        fish = self.fish[self._fits(self.fish, FISH, only, among)]
        spent, keys = placed(water, WATER)
        codes, place = np.unique(spent, return_inverse=True)
        seconds = np.bincount(place, water[:, WATER.index("seconds")], minlength=len(codes))
        bitten, _ = placed(fish, FISH)
        at = np.minimum(np.searchsorted(codes, bitten), max(0, len(codes) - 1))
        counted = codes[at] == bitten if len(codes) else np.zeros(len(bitten), bool)
        bites = fish[counted, FISH.index("strikes")]
        strikes = np.bincount(at[counted], bites, minlength=len(codes))
        rest, trip = np.divmod(codes, max(1, len(self.headers)))
        of, where = np.divmod(rest, len(positions))
        used, key = np.unique(of, return_inverse=True)
        kept = tuple(tuple(keys[code]) for code in used.tolist())
        return Cells(
            kept, positions, self.headers, key, where, trip,
            np.asarray(seconds, np.float64), np.asarray(strikes, np.float64),
        )  # fmt: skip

    # Which rows

    def _fits(self, table: Table, columns: tuple[str, ...], only: Only, among: Mask | None) -> Mask:
        fits = np.ones(len(table), bool)
        if among is not None:
            fits &= among[table[:, -1]]
        if only is ALL:
            return fits
        position, side = columns.index("position"), columns.index("side")
        if only.position is not None or only.positions:
            fits &= self._among("position", table[:, position], lambda said: _is_there(said, only))
        if only.side is not None:
            fits &= self._among("side", table[:, side], lambda said: said == only.side)
        if only.colours or only.lure or only.head or only.size_in is not None:
            lure_only = Only(colours=only.colours, size_in=only.size_in, lure=only.lure,
                             head=only.head)  # fmt: skip
            good = [lure_fits(lure, None, None, lure_only) for lure in self._lures]
            fits &= np.array([*good, False], bool)[table[:, columns.index("lure")]]
        if only.month is not None:
            fits &= table[:, columns.index("month")] == MONTHS.index(only.month)
        for kind, keys in (("light", only.light), ("water", only.water), ("place", only.cells)):
            if keys:
                fits &= self._among(kind, table[:, columns.index(kind)], keys.__contains__)
        if "species" in columns:
            if only.species is not None:
                asked = only.species
                fits &= self._among("species", table[:, columns.index("species")],
                                    lambda said: is_a(said, asked))  # fmt: skip
            if only.crew is not None:
                fits &= self._called_by(only.crew)
        return fits

    def _among(self, kind: str, column: npt.NDArray[np.int32], good: Callable[[str], bool]) -> Mask:
        labels = self.labels[LABELS.index(kind)]
        return np.array([*(good(label) for label in labels), False], bool)[column]

    def _called_by(self, crew: str) -> Mask:
        """Give the fish of which somebody called a stage."""
        crews = self.labels[LABELS.index("crew")]
        found = np.zeros(len(self.fish), bool)
        if crew in crews:
            found[self.stages[self.stages[:, 1] == crews.index(crew), 0]] = True
        return found

    def _of(self, bites: Mask) -> Table:
        """Give the stages of some fish."""
        return self.stages[bites[self.stages[:, 0]]]

    def _staged(self, stages: Table) -> Table:
        """Give for every stage the place, lure and time of its fish, who called it, and its trip."""
        of = self.fish[stages[:, 0]]
        return np.column_stack([of[:, : len(_BITE)], stages[:, 1], stages[:, -1]]).astype(np.int32)

    # Under which keys

    def _grouped(
        self, table: Table, columns: tuple[str, ...], bys: tuple[By, By], values: Table
    ) -> dict[Keys, list[float]]:
        """Add columns of values up by two keys: by what stands in the tables, then by what that is."""
        group, keys = self._paired(table, columns, bys)
        present = np.flatnonzero(np.bincount(group, minlength=len(keys)))
        sums = np.array([
            np.bincount(group, weights=values[:, place], minlength=len(keys))[present]
            for place in range(values.shape[1])
        ]).T.tolist()  # fmt: skip
        found: dict[Keys, list[float]] = {}
        for code, parts in zip(present.tolist(), sums, strict=True):
            for key in keys[code]:
                held = found.setdefault(key, [0.0] * len(parts))
                held[:] = [one + other for one, other in zip(held, parts, strict=True)]
        return found

    def _paired(
        self, table: Table, columns: tuple[str, ...], bys: tuple[By, By]
    ) -> tuple[Codes, list[tuple[Keys, ...]]]:
        """Give a number for every row, and for every number the pairs of keys under which it counts."""
        by, also = bys
        ones, one_keys = self._coded(table, columns, by)
        if by in _LURE_KEYS and also in _LURE_KEYS:
            return ones, [
                tuple((x, y) for x in one_keys[place] for y in lure_keys(lure, also, None, None))
                for place, lure in enumerate(self._lures)
            ]
        twos, two_keys = self._coded(table, columns, also)
        return ones * len(two_keys) + twos, [
            tuple((x, y) for x in first for y in second)
            for first in one_keys
            for second in two_keys
        ]

    def _coded(
        self, table: Table, columns: tuple[str, ...], by: By
    ) -> tuple[Codes, Sequence[tuple[str, ...]]]:
        """Give a number for every row, and for every number the keys under which it counts."""
        if by == "none":
            return np.zeros(len(table), np.intp), (("",),)
        if by == "trip":
            return table[:, -1].astype(np.intp), [(h.trip,) for h in self.headers] or ((),)
        if by == "hour":
            return table[:, columns.index("hour")].astype(np.intp), _HOURS
        if by == "month":
            return table[:, columns.index("month")].astype(np.intp), _MONTHS
        if by in _LURE_KEYS:
            keys = [lure_keys(lure, by, None, None) for lure in self._lures]
            return table[:, columns.index("lure")].astype(np.intp), keys or ((),)
        labels = self.labels[LABELS.index(by)]
        column = table[:, columns.index(by)]
        codes = np.where(column < 0, len(labels), column).astype(np.intp)
        return codes, [*((label,) for label in labels), (UNKNOWN,)]

    @cached_property
    def _lures(self) -> tuple[Described, ...]:
        return tuple(described(label) for label in self.labels[LABELS.index("lure")])


def ledger(summaries: Iterable[Summary]) -> Ledger:
    """Put the summaries of trips together, in the order in which they come."""
    held = tuple(summaries)
    headers = tuple(
        Header(one.trip, one.first_at, one.last_at, one.started, one.ended, one.entries)
        for one in held
    )
    known, places = _labels(held)
    fish = _stacked([one.fish for one in held], FISH, places)
    first_fish = np.cumsum([0, *(len(one.fish) for one in held)])
    tables = [one.stages for one in held]

    def stages() -> Table:
        found = _stacked(tables, STAGES, places)
        found[:, 0] += first_fish[found[:, -1]].astype(np.int32)
        return found

    water = _stacked([one.water for one in held], WATER, places)
    return Ledger(headers, known, water, fish, stages)


_Places = dict[str, tuple[npt.NDArray[np.int32], npt.NDArray[np.int32]]]
"""By what has labels: where the labels of each trip begin among those of all, and their new numbers."""


def _labels(held: Sequence[Summary]) -> tuple[tuple[tuple[str, ...], ...], _Places]:
    """Give one set of labels for all trips, and how the numbers of each trip change."""
    found: list[tuple[str, ...]] = []
    places: _Places = {}
    for number, name in enumerate(LABELS):
        known: dict[str, int] = {}
        new = [known.setdefault(word, len(known)) for one in held for word in one.labels[number]]
        starts = np.cumsum([0, *(len(one.labels[number]) for one in held)])
        places[name] = starts.astype(np.int32), np.array([*new, -1], np.int32)
        found.append(tuple(known))
    return tuple(found), places


def _stacked(tables: Sequence[Table], columns: tuple[str, ...], places: _Places) -> Table:
    """Put the tables of all trips under each other, with one set of labels and the place of the trip."""
    rows = np.concatenate([np.empty((0, len(columns)), np.int32), *tables])
    lengths = [len(table) for table in tables]
    trip = np.repeat(np.arange(len(tables), dtype=np.int32), lengths)
    found = np.empty((len(rows), len(columns) + 1), np.int32, order="F")
    found[:, :-1] = rows
    for number, name in enumerate(columns):
        if name in places:
            starts, new = places[name]
            column = found[:, number]
            where = column + np.repeat(starts[:-1], lengths)
            if len(column) and column.min() < 0:
                where[column < 0] = len(new) - 1
            found[:, number] = new[where]
    found[:, -1] = trip
    return found


def _is_there(position: str, only: Only) -> bool:
    return only.position in (None, position) and (not only.positions or position in only.positions)
