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

from bot.trip.exposure import ALL, UNKNOWN, By, Only, lure_fits, lure_keys
from bot.trip.summary import FISH, LABELS, STAGES, WATER, Described, Summary, Table, described
from bot.trip.tally import COUNTS, Counted, Keys, is_a, split_by

Codes = npt.NDArray[np.intp]
Mask = npt.NDArray[np.bool_]
_LABELLED: Final = frozenset({"position", "side", "species", "crew", "speed"})
_HOURS: Final = tuple(f"{hour:02d}:00" for hour in range(24))
_FISH_COUNTS: Final = slice(FISH.index("strikes"), None)
_STAGE_COUNTS: Final = slice(STAGES.index("strikes"), None)


@dataclass(frozen=True, slots=True)
class Header:
    """What a trip is, beside its figures."""

    trip: str
    first_at: datetime
    last_at: datetime
    started: datetime
    ended: datetime | None
    entries: int


@dataclass(frozen=True, eq=False)
class Ledger:
    """The tables of many trips; the last column of each is the place of its trip in `headers`."""

    headers: tuple[Header, ...]
    labels: tuple[tuple[str, ...], ...]
    water: Table
    fish: Table
    stages: Table

    def counted(
        self, by: By, only: Only = ALL, also: By = "none", trips: Collection[str] | None = None
    ) -> Counted:
        """Give the sums of a tally of all trips, or of these; `since` and `before` are not looked at."""
        found = Counted(by, also)
        among = None if trips is None else np.array([h.trip in trips for h in self.headers], bool)
        water = self.water[self._fits(self.water, WATER, only, among)]
        bites = self._fits(self.fish, FISH, only, among)
        fish = self.fish[bites]
        seconds = water[:, WATER.index("seconds")].astype(np.float64)
        found.all_hours = float(seconds.sum()) / 3600
        found.whole = [int(total) for total in fish[:, _FISH_COUNTS][:, : len(COUNTS)].sum(axis=0)]
        if by == also == "none":
            return found
        for keys, spent in self._grouped(water, WATER, split_by(by, also), seconds[:, None]):
            found.hours[keys] = float(spent[0]) / 3600
        table, counts = fish, fish[:, _FISH_COUNTS]
        columns: tuple[str, ...] = FISH
        if "crew" in (by, also):
            stages = self.stages[bites[self.stages[:, 0]]]
            table, columns, counts = (
                self._staged(stages),
                (*FISH[:6], "crew"),
                stages[:, _STAGE_COUNTS],
            )
        for keys, sums in self._grouped(table, columns, (by, also), counts[:, : len(COUNTS)]):
            found.sums[keys] = [int(total) for total in sums]
        return found

    def trip_hours(self) -> dict[str, float]:
        """Give all lure-hours by trip."""
        return {keys[0]: hours for keys, hours in self.counted("trip").hours.items()}

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

    def _staged(self, stages: Table) -> Table:
        """Give for every stage the place, lure and time of its fish, who called it, and its trip."""
        of = self.fish[stages[:, 0]]
        return np.column_stack([of[:, :6], stages[:, 1], stages[:, -1]]).astype(np.int32)

    # Under which keys

    def _grouped(
        self,
        table: Table,
        columns: tuple[str, ...],
        bys: tuple[By, By],
        values: npt.NDArray[np.generic],
    ) -> Iterable[tuple[Keys, npt.NDArray[np.float64]]]:
        take, ones, one_keys = self._keyed(table, columns, bys[0])
        table, values = table[take], values[take]
        take, twos, two_keys = self._keyed(table, columns, bys[1])
        ones, values = ones[take], values[take]
        group = ones * len(two_keys) + twos
        size = len(one_keys) * len(two_keys)
        present = np.flatnonzero(np.bincount(group, minlength=size))
        sums = [
            np.bincount(group, weights=values[:, place].astype(np.float64), minlength=size)
            for place in range(values.shape[1])
        ]
        for code in present.tolist():
            keys = (one_keys[code // len(two_keys)], two_keys[code % len(two_keys)])
            yield keys, np.array([column[code] for column in sums])

    def _keyed(
        self, table: Table, columns: tuple[str, ...], by: By
    ) -> tuple[Codes, Codes, Sequence[str]]:
        """Give places of rows (again where they count under several keys), numbers of keys, the keys."""
        every: Codes = np.arange(len(table))
        if by == "none":
            return every, np.zeros(len(table), np.intp), ("",)
        if by == "trip":
            return every, table[:, -1].astype(np.intp), [h.trip for h in self.headers] or ("",)
        if by == "hour":
            return every, table[:, columns.index("hour")].astype(np.intp), _HOURS
        if by in _LABELLED:
            labels = self.labels[LABELS.index(by)]
            return every, *_unknown_last(table[:, columns.index(by)], labels)
        lures = table[:, columns.index("lure")]
        if by != "colour":
            keys, of = self._lure_keys(by)
            return every, of[lures], keys
        colours, flat = self._colours
        times = self._colour_counts[lures]
        within = np.arange(int(times.sum())) - np.repeat(np.cumsum(times) - times, times)
        numbers = flat[np.repeat(self._colour_starts[lures], times) + within]
        return np.repeat(every, times), numbers, colours

    @cached_property
    def _lures(self) -> tuple[Described, ...]:
        return tuple(described(label) for label in self.labels[LABELS.index("lure")])

    def _lure_keys(self, by: By) -> tuple[tuple[str, ...], Codes]:
        """Give the keys of lures, and for every lure the number of its own."""
        known: dict[str, int] = {}
        of = [
            known.setdefault(lure_keys(lure, by, None, None)[0], len(known)) for lure in self._lures
        ]
        return tuple(known) or ("",), np.array(of, np.intp)

    @cached_property
    def _colours(self) -> tuple[tuple[str, ...], Codes]:
        """Give the colours, and the numbers of the colours of all lures one after the other."""
        known: dict[str, int] = {}
        flat = [
            known.setdefault(key, len(known))
            for lure in self._lures
            for key in lure_keys(lure, "colour", None, None)
        ]
        return tuple(known) or ("",), np.array(flat, np.intp)

    @cached_property
    def _colour_counts(self) -> Codes:
        return np.array([len(lure_keys(x, "colour", None, None)) for x in self._lures], np.intp)

    @cached_property
    def _colour_starts(self) -> Codes:
        return np.cumsum(self._colour_counts) - self._colour_counts


def ledger(summaries: Iterable[Summary]) -> Ledger:
    """Put the summaries of trips together, in the order in which they come."""
    known: list[dict[str, int]] = [{} for _ in LABELS]
    headers: list[Header] = []
    water: list[Table] = []
    fish: list[Table] = []
    stages: list[Table] = []
    before = 0
    for place, one in enumerate(summaries):
        headers.append(
            Header(one.trip, one.first_at, one.last_at, one.started, one.ended, one.entries)
        )
        of = [
            np.array([*(names.setdefault(word, len(names)) for word in words), -1], np.int32)
            for names, words in zip(known, one.labels, strict=True)
        ]
        water.append(_renumbered(one.water, WATER, of, place))
        fish.append(_renumbered(one.fish, FISH, of, place))
        stage = _renumbered(one.stages, STAGES, of, place)
        stage[:, 0] += before
        stages.append(stage)
        before += len(one.fish)
    return Ledger(
        tuple(headers),
        tuple(tuple(names) for names in known),
        _stacked(water, WATER),
        _stacked(fish, FISH),
        _stacked(stages, STAGES),
    )


def _renumbered(table: Table, columns: tuple[str, ...], of: Sequence[Table], place: int) -> Table:
    found = np.empty((len(table), len(columns) + 1), np.int32)
    found[:, :-1] = table
    for number, name in enumerate(columns):
        if name in LABELS:
            found[:, number] = of[LABELS.index(name)][table[:, number]]
    found[:, -1] = place
    return found


def _stacked(tables: Sequence[Table], columns: tuple[str, ...]) -> Table:
    empty = np.empty((0, len(columns) + 1), np.int32)
    return np.concatenate([empty, *tables]) if tables else empty


def _is_there(position: str, only: Only) -> bool:
    return only.position in (None, position) and (not only.positions or position in only.positions)


def _unknown_last(
    column: npt.NDArray[np.int32], labels: Sequence[str]
) -> tuple[Codes, Sequence[str]]:
    """Give -1 a key of its own: that of what was not said."""
    keys = tuple(labels) if UNKNOWN in labels else (*labels, UNKNOWN)
    number = keys.index(UNKNOWN)
    return np.where(column < 0, number, column).astype(np.intp), keys
