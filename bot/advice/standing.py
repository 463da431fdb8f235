"""How what one counts by stands against the boat's own average: months, lights, colours, places, all at once.

Not one rate after the other but one model for all of them: they are drawn towards the average as far as the
record gives no reason to set them apart (partial pooling), so that the best of twenty is not called good for
being the best of twenty (A. Gelman, J. Hill, M. Yajima, "Why we (usually) don't have to worry about multiple
comparisons", J. Res. Educ. Effectiveness 5, 2012). Positions, calendar months and trips have terms of their
own, for what ran at another place, in a better month or on a better day. Pure: arrays and values.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import chain
from math import erfc, sqrt
from typing import Final

import numpy as np

from bot.advice.layout import HOUR_REACH, SIZE_REACH_IN, Array, alike
from bot.advice.model import Gauss, mix, ready
from bot.advice.nested import Codes, Design, Posterior, fit, sum_by_group
from bot.advice.season import LEAST_H

Keys = tuple[str, str]
"""What is counted by; the second is empty where it is one thing."""

CONTRASTS: Final = (0.1, 0.7, 1.3)
"""How much what is compared may differ, as multiples of `KEY_SPREAD`; the first stands for not at all."""
CONTRAST_SHARES: Final = (0.3, 0.4, 0.3)
"""What is believed of them before any record."""
LEVEL: Final = 1.5
"""Spread of the log rate of the boat before any record: it is learnt from it."""
KEY_SPREAD: Final = 0.6
"""How far the keys may lie apart before any record (our estimate, that of sizes and colours in `layout`)."""
PAIR_SPREAD: Final = 0.3
"""How far two things together may be off what each of them makes."""
POSITION: Final = 0.35
SPELL: Final = 0.4
TRIPS_APART: Final = (0.1, 0.4, 0.8)
"""How far trips may lie apart, whatever was out: hardly, as usual, much (our estimates)."""
CLUMPING_PRIOR: Final = 10.0
"""Cells worth of strikes that come one by one that the measured clumping is averaged with."""
WATER_REACH_C: Final = 1.5
"""Temperatures so far apart still tell much about each other."""
MONTH_REACH: Final = 1.0
"""Months so far apart still tell much about each other."""
Z95: Final = 1.959964


@dataclass(frozen=True, slots=True)
class Standing:
    """One key against the average of all that are compared, by their hours."""

    ratio: float
    """Its rate over the average rate, as the model has it (median)."""
    low: float
    high: float
    """95 % interval of the ratio."""
    better: float
    """Probability that it is better than the rest together."""


@dataclass(frozen=True, slots=True)
class Near:
    """Where keys stand on a scale on which neighbours are alike."""

    reach: float
    around: float | None = None


NEAR: Final = {
    "size": Near(SIZE_REACH_IN), "hour": Near(HOUR_REACH, 24.0), "water": Near(WATER_REACH_C),
    "month": Near(MONTH_REACH, 12.0),
}  # fmt: skip


@dataclass(frozen=True, eq=False, slots=True)
class StrikeCounts:
    """Lure-hours and strikes by keys, position and trip, as columns of equal length."""

    keys: tuple[tuple[Keys, ...], ...]
    key: Codes
    """Which of `keys`, which position, which calendar month (one for all where months are compared), trip."""
    position: Codes
    spell: Codes
    trip: Codes
    hours: Array
    strikes: Array


def stand(
    seen: StrikeCounts, scales: tuple[str, str], places: dict[str, float], unknown: str
) -> dict[Keys, Standing]:
    """Return how every key stands; empty where there is nothing to compare or no strike at all.

    `scales` names what each of the two keys is counted by; `places` gives where a key stands on a scale of
    `NEAR`; what is `unknown` is fitted, but not compared.
    """
    columns = _Columns.of(seen, scales, places)
    compared = [keys for keys in columns.keys if unknown not in keys]
    if len(compared) < 2 or not seen.strikes.any():
        return {}
    from threadpoolctl import threadpool_limits

    with threadpool_limits(
        1
    ):  # several wait for each other: ten times as long where others compute
        parts, weights = _believed(seen, columns)
    rows = np.array([columns.rows[keys] for keys in compared])
    off = rows - _shares(seen, compared) @ rows
    middle, spread = _along(mix(parts, weights), off)
    better = sum(
        weight * _above_nought(np.divide(*_along(part, off)))
        for part, weight in zip(parts, weights, strict=True)
    )
    low, high = middle - Z95 * spread, middle + Z95 * spread
    found = np.column_stack([np.exp(middle), np.exp(low), np.exp(high), better]).tolist()
    return {keys: Standing(*row) for keys, row in zip(compared, found, strict=True)}


def _along(gauss: Gauss, rows: Array) -> tuple[Array, Array]:
    """Return mean and standard deviation of sums of effects."""
    spread = np.sqrt(np.maximum(np.einsum("ij,jk,ik->i", rows, gauss.cov, rows), 1e-18))
    return rows @ gauss.mean, np.asarray(spread, dtype=np.float64)


@dataclass(frozen=True, eq=False)
class _Columns:
    """The columns of the model: the level, every first key, every second, every pair, positions, spells."""

    keys: tuple[Keys, ...]
    blocks: tuple[int, ...]
    """How many columns each of these has, the level left out."""
    names: tuple[dict[str, int], ...]
    """Where the columns of the first, the second keys and the pairs stand."""
    spread: Array

    @classmethod
    def of(
        cls, seen: StrikeCounts, scales: tuple[str, str], places: dict[str, float]
    ) -> "_Columns":
        keys = tuple(sorted(set(chain.from_iterable(seen.keys))))
        paired = any(two for _, two in keys)
        ones = tuple(sorted({one for one, _ in keys}))
        twos = tuple(sorted({two for _, two in keys})) if paired else ()
        pairs = tuple("\n".join(both) for both in keys) if paired else ()
        positions = 0 if "position" in scales else _many(seen.position)
        blocks = (len(ones), len(twos), len(pairs), positions, _many(seen.spell))
        shapes = (_shape(ones, scales[0], places), _shape(twos, scales[1], places))
        spread = np.zeros((1 + sum(blocks),) * 2)
        spread[0, 0] = LEVEL**2
        starts = np.cumsum([1, *blocks]).tolist()
        for number, (many, size) in enumerate(
            zip(blocks, (KEY_SPREAD, KEY_SPREAD, PAIR_SPREAD, POSITION, SPELL), strict=True)
        ):
            first, after = starts[number], starts[number + 1]
            shape = shapes[number] if number < len(shapes) else np.eye(many)
            spread[first:after, first:after] = size**2 * shape
        names = tuple(
            {name: start + place for place, name in enumerate(block)}
            for start, block in zip(starts, (ones, twos, pairs), strict=False)
        )
        return cls(keys, blocks, names, spread)

    @cached_property
    def rows(self) -> dict[Keys, Array]:
        """Return the columns of every key, without position and spell."""
        return {keys: self._row(keys) for keys in self.keys}

    def _row(self, keys: Keys) -> Array:
        row = np.zeros(len(self.spread))
        ones, twos, pairs = self.names
        row[ones[keys[0]]] = 1.0
        if twos:
            row[twos[keys[1]]] = row[pairs["\n".join(keys)]] = 1.0
        return row


def _believed(seen: StrikeCounts, columns: _Columns) -> tuple[tuple[Gauss, ...], Array]:
    """Fit all pieces for every contrast, with its share; clumped strikes count for less, as in `season`.

    How far trips differ is that of `TRIPS_APART` which the record bears out best.
    """
    there, trip = np.unique(seen.trip, return_inverse=True)
    design = _design(seen, columns, trip, len(there))
    hours = np.maximum(seen.hours, LEAST_H)
    level = np.log((seen.strikes.sum() + 0.5) / hours.sum())
    starts = [ready(Gauss(*_start(columns, contrast, level))) for contrast in CONTRASTS]
    middle = starts[len(starts) // 2]
    near, tried = None, list[tuple[Posterior, float]]()
    for one in TRIPS_APART:
        near = fit(design, seen.strikes, hours, middle, one, near)
        tried.append((near, one))
    best, apart = max(tried, key=lambda one: one[0].evidence)
    clumping = _clumping(seen, best, len(columns.keys))
    counts, spent = seen.strikes / clumping, hours / clumping
    fits = [fit(design, counts, spent, start, apart, best) for start in starts]
    evidence = np.array([one.evidence for one in fits])
    weight = np.asarray(CONTRAST_SHARES) * np.exp(evidence - evidence.max())
    return tuple(one.gauss for one in fits), np.asarray(weight / weight.sum(), dtype=np.float64)


def _design(seen: StrikeCounts, columns: _Columns, trip: Codes, trips: int) -> Design:
    keys = np.array([np.mean([columns.rows[one] for one in held], axis=0) for held in seen.keys])
    keys[:, 0] = 1.0
    end = len(columns.spread)
    spells = end - columns.blocks[4]
    starts = (spells - columns.blocks[3], spells, end)
    return Design(keys, seen.key, seen.position, seen.spell, trip, starts, trips)


def _clumping(seen: StrikeCounts, found: Posterior, free: int) -> float:
    """Return variance over mean of the strikes of a key on a trip, at least 1, drawn towards 1 while few.

    `free` effects besides those of trips are taken off. The ratio of sums, not the sum of Pearson's ratios:
    most cells await less than one strike, where that is far off.
    """
    cells, of = np.unique(seen.trip * len(seen.keys) + seen.key, return_inverse=True)
    counted, awaited = (sum_by_group(of, one, len(cells)) for one in (seen.strikes, found.expected))
    left = len(cells) - found.free - free
    if left <= 0:
        return 1.0
    off = float(((counted - awaited) ** 2).sum() / awaited.sum()) * len(cells)
    return max(1.0, (off + CLUMPING_PRIOR) / (left + CLUMPING_PRIOR))


def _start(columns: _Columns, contrast: float, level: float) -> tuple[Array, Array]:
    """Return mean and covariance before the record; `contrast` scales what is compared."""
    scale = np.ones(len(columns.spread))
    scale[1 : 1 + sum(columns.blocks[:3])] = contrast
    mean = np.zeros(len(scale))
    mean[0] = level
    return mean, columns.spread * np.outer(scale, scale)


def _many(codes: Codes) -> int:
    """Count the codes; one alone tells nothing apart and needs no column."""
    many = int(codes.max(initial=-1)) + 1
    return many if many > 1 else 0


def _shares(seen: StrikeCounts, compared: Sequence[Keys]) -> Array:
    """Return the share of the hours that every key has; a lure's hours are shared by its colours."""
    number = {keys: place for place, keys in enumerate(compared)}
    shares = np.zeros(len(number))
    for held, hours in zip(
        seen.keys, sum_by_group(seen.key, seen.hours, len(seen.keys)), strict=True
    ):
        for keys in held:
            if keys in number:
                shares[number[keys]] += hours / len(held)
    return np.asarray(shares / shares.sum(), dtype=np.float64)


def _shape(names: Sequence[str], by: str, places: dict[str, float]) -> Array:
    """Return how alike the keys are; those without a place on the scale are like no other."""
    near = NEAR.get(by)
    shape = np.eye(len(names))
    if near is not None:
        known = [number for number, name in enumerate(names) if name in places]
        at = [places[names[number]] for number in known]
        shape[np.ix_(known, known)] = alike(at, near.reach, near.around)
    return shape


def _above_nought(z: Array) -> Array:
    """Return the standard normal distribution function of each value."""
    return np.array([0.5 * erfc(-one / sqrt(2)) for one in z], dtype=np.float64)
