"""Tallies of many trips at once, from their summaries; they equal those of the trips themselves.

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
from bot.trip.encounters import same_person
from bot.trip.exposure import ALL, By, Only, lure_fits, lure_keys
from bot.trip.stacked import TRIP, Column, Columns, Labels, PickedRows, Stack
from bot.trip.summary import FISH, STAGES, WATER, LabelledLure, Summary, lure_of_label
from bot.trip.tally import COUNTS, Keys, TallySums, is_a, split_by

Codes = npt.NDArray[np.intp]
Mask = npt.NDArray[np.bool_]
Sums = npt.NDArray[np.float64]
_LURE_KEYS: Final = frozenset({"colour", "size", "lure", "head"})
_HOURS: Final = tuple((f"{hour:02d}:00",) for hour in range(24))
_MONTHS: Final = tuple((month,) for month in MONTHS)


@dataclass(frozen=True, slots=True)
class Header:
    """A trip without its figures."""

    trip: str
    first_at: datetime
    last_at: datetime
    started: datetime
    ended: datetime | None
    entries: int


@dataclass(frozen=True, eq=False, slots=True)
class Cells:
    """Figures by key, position and trip: columns of equal length."""

    keys: tuple[tuple[Keys, ...], ...]
    """Pairs, the second empty by `none`; several where a lure counts for all of its colours."""
    positions: tuple[str, ...]
    headers: tuple[Header, ...]
    key: Codes
    """Which of `keys`, which of `positions`, which of `headers`."""
    position: Codes
    trip: Codes
    seconds: Sums
    """Seconds of lures in the water; above 0."""
    strikes: Sums


@dataclass(frozen=True, eq=False)
class Ledger:
    """The tables of many trips; `trip` is in each of them the place among `headers`."""

    headers: tuple[Header, ...]
    labels: Labels
    water: Columns
    fish: Columns
    load_stages: Callable[[], Columns]
    """Return the stages of all fish; only a tally by crew needs them."""

    @cached_property
    def stages(self) -> Columns:
        """Return the stages of all fish."""
        return self.load_stages()

    def sum_tally(
        self, by: By, only: Only = ALL, also: By = "none", trips: Collection[str] | None = None
    ) -> TallySums:
        """Return the sums of a tally of all trips, or of some; `since` and `before` are ignored."""
        found = TallySums(by, also)
        among = None if trips is None else np.array([h.trip in trips for h in self.headers], bool)
        water, bites, fish = self.water, None, self.fish
        if among is not None or only is not ALL:
            water = water.only(self._fits(water, only, among))
            bites = self._fits(fish, only, among)
            fish = fish.only(bites)
        seconds = water["seconds"]
        found.all_hours = float(seconds.sum(dtype=np.int64)) / 3600
        found.whole = [int(fish[name].sum(dtype=np.int64)) for name in COUNTS]
        if by == also == "none":
            return found
        for keys, spent in self._grouped(water, split_by(by, also), [seconds]).items():
            found.hours[keys] = spent[0] / 3600
        if "crew" in (by, also):
            stages = self.stages
            fish = self._staged(stages if bites is None else stages.only(bites[stages["fish"]]))
        counts = [fish[name] for name in COUNTS]
        for keys, sums in self._grouped(fish, (by, also), counts).items():
            found.sums[keys] = [int(total) for total in sums]
        return found

    def cells(
        self, by: By, only: Only = ALL, also: By = "none", trips: Collection[str] | None = None
    ) -> Cells:
        """Return lure-hours and strikes by two keys, position and trip; leave out what has no lure-hours."""
        among = None if trips is None else np.array([h.trip in trips for h in self.headers], bool)
        positions = (*self.labels["position"], UNKNOWN)

        def placed(table: Columns) -> tuple[Codes, list[tuple[Keys, ...]]]:
            group, keys = self._paired(table, (by, also))
            where = table["position"]
            where = np.where(where < 0, len(positions) - 1, where)
            return (group * len(positions) + where) * len(self.headers) + table[TRIP], keys

        water = self.water.only(self._fits(self.water, only, among))
        fish = self.fish.only(self._fits(self.fish, only, among))
        spent, keys = placed(water)
        codes, place = np.unique(spent, return_inverse=True)
        seconds = np.bincount(place, water["seconds"], minlength=len(codes))
        bitten, _ = placed(fish)
        at = np.minimum(np.searchsorted(codes, bitten), max(0, len(codes) - 1))
        counted = codes[at] == bitten if len(codes) else np.zeros(len(bitten), bool)
        strikes = np.bincount(at[counted], fish["strikes"][counted], minlength=len(codes))
        rest, trip = np.divmod(codes, max(1, len(self.headers)))
        of, where = np.divmod(rest, len(positions))
        used, key = np.unique(of, return_inverse=True)
        kept = tuple(tuple(keys[code]) for code in used.tolist())
        return Cells(
            kept, positions, self.headers, key, where, trip,
            np.asarray(seconds, np.float64), np.asarray(strikes, np.float64),
        )  # fmt: skip

    # Which rows

    def _fits(self, table: Columns, only: Only, among: Mask | None) -> Mask:
        fits = np.ones(len(table), bool)
        if among is not None:
            fits &= among[table[TRIP]]
        if only is ALL:
            return fits
        if only.position is not None or only.positions:
            fits &= self._among("position", table, lambda said: _is_there(said, only))
        if only.side is not None:
            fits &= self._among("side", table, lambda said: said == only.side)
        if only.colours or only.lure or only.head or only.size_in is not None:
            lure_only = Only(colours=only.colours, size_in=only.size_in, lure=only.lure,
                             head=only.head)  # fmt: skip
            good = [lure_fits(lure, None, None, lure_only) for lure in self._lures]
            fits &= np.array([*good, False], bool)[table["lure"]]
        if only.month is not None:
            fits &= table["month"] == MONTHS.index(only.month)
        for kind, keys in (("light", only.light), ("water", only.water), ("place", only.cells)):
            if keys:
                fits &= self._among(kind, table, keys.__contains__)
        if "species" in table.names:
            if only.species is not None:
                asked = only.species
                fits &= self._among("species", table, lambda said: is_a(said, asked))
            if only.angler is not None:
                name = only.angler
                fits &= self._among("angler", table, lambda said: same_person(said, name) == 2)
            if only.crew is not None:
                fits &= self._called_by(only.crew)
        return fits

    def _among(self, kind: str, table: Columns, good: Callable[[str], bool]) -> Mask:
        return np.array([*map(good, self.labels[kind]), False], bool)[table[kind]]

    def _called_by(self, crew: str) -> Mask:
        """Return the fish of which somebody called a stage."""
        crews = self.labels["crew"]
        found = np.zeros(len(self.fish), bool)
        if crew in crews:
            found[self.stages["fish"][self.stages["crew"] == crews.index(crew)]] = True
        return found

    def _staged(self, stages: Columns) -> Columns:
        """Return the place, lure and time of the fish of every stage, who called it, and its trip."""
        own = {name: stages[name] for name in ("crew", *COUNTS)}
        return PickedRows(self.fish, stages["fish"], own)

    # Under which keys

    def _grouped(
        self, table: Columns, bys: tuple[By, By], values: Sequence[Column]
    ) -> dict[Keys, list[float]]:
        """Add columns up by two keys: first by their numbers in the tables, then by what those mean."""
        group, keys = self._paired(table, bys)
        present = np.flatnonzero(np.bincount(group, minlength=len(keys)))
        sums = np.array([
            np.bincount(group, weights=column, minlength=len(keys))[present] for column in values
        ]).T.tolist()  # fmt: skip
        found: dict[Keys, list[float]] = {}
        for code, parts in zip(present.tolist(), sums, strict=True):
            for key in keys[code]:
                held = found.setdefault(key, [0.0] * len(parts))
                held[:] = [one + other for one, other in zip(held, parts, strict=True)]
        return found

    def _paired(self, table: Columns, bys: tuple[By, By]) -> tuple[Codes, list[tuple[Keys, ...]]]:
        """Return a number for every row, and for every number the pairs of keys under which it counts."""
        by, also = bys
        ones, one_keys = self._coded(table, by)
        if by in _LURE_KEYS and also in _LURE_KEYS:
            return ones, [
                tuple((x, y) for x in one_keys[place] for y in lure_keys(lure, also, None, None))
                for place, lure in enumerate(self._lures)
            ]
        twos, two_keys = self._coded(table, also)
        codes = ones if len(two_keys) == 1 else ones * len(two_keys) + twos
        return codes, [
            tuple((x, y) for x in first for y in second)
            for first in one_keys
            for second in two_keys
        ]

    def _coded(self, table: Columns, by: By) -> tuple[Codes, Sequence[tuple[str, ...]]]:
        """Return a number for every row, and for every number the keys under which it counts."""
        if by == "none":
            return np.zeros(len(table), np.intp), (("",),)
        column = table[by if by not in _LURE_KEYS else "lure"].astype(np.intp)
        if by == "trip":
            return column, [(h.trip,) for h in self.headers] or ((),)
        if by == "hour":
            return column, _HOURS
        if by == "month":
            return column, _MONTHS
        if by in _LURE_KEYS:
            return column, [lure_keys(lure, by, None, None) for lure in self._lures] or ((),)
        labels = self.labels[by]
        column[column < 0] = len(labels)
        return column, [*((label,) for label in labels), (UNKNOWN,)]

    @cached_property
    def _lures(self) -> tuple[LabelledLure, ...]:
        return tuple(lure_of_label(label) for label in self.labels["lure"])


def ledger(summaries: Iterable[Summary]) -> Ledger:
    """Return the ledger of summaries, in their order."""
    held = tuple(summaries)
    headers = tuple(
        Header(one.trip, one.first_at, one.last_at, one.started, one.ended, one.entries)
        for one in held
    )
    labels = Labels(held)
    first_fish = np.cumsum([0, *(len(one.fish) for one in held)])[:-1].astype(np.int32)
    tables = [one.stages for one in held]
    return Ledger(
        headers,
        labels,
        Stack([one.water for one in held], WATER, labels),
        Stack([one.fish for one in held], FISH, labels),
        lambda: Stack(tables, STAGES, labels, {"fish": first_fish}),
    )


def _is_there(position: str, only: Only) -> bool:
    return only.position in (None, position) and (not only.positions or position in only.positions)
