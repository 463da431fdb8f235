"""How what one counts by stands against the boat's own average: months, lights, colours, places, all at once.

Not one rate after the other but one model for all of them: they are drawn towards the average as far as the
record gives no reason to set them apart (partial pooling), so that the best of twenty is not called good for
being the best of twenty (A. Gelman, J. Hill, M. Yajima, "Why we (usually) don't have to worry about multiple
comparisons", J. Res. Educ. Effectiveness 5, 2012). Positions and calendar months have terms of their own, for
what ran at another place or in a better month. Pure: arrays and values.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import chain
from typing import Final

import numpy as np
import numpy.typing as npt

from bot.advice.layout import HOUR_REACH, SIZE_REACH_IN, Array, alike
from bot.advice.model import Gauss, fit, mixed, ready
from bot.advice.season import CONTRAST_SHARES, CONTRASTS, LEAST_H, Bursts

Codes = npt.NDArray[np.intp]
Keys = tuple[str, str]
"""What is counted by; the second is empty where it is one thing."""

LEVEL: Final = 1.5
"""Spread of the log rate of the boat before any record: it is learnt from it."""
APART: Final = 0.6
"""How far the keys may lie apart before any record (our estimate, that of sizes and colours in `layout`)."""
PAIRED: Final = 0.3
"""How far two things together may be off what each of them makes."""
POSITION: Final = 0.35
SPELL: Final = 0.4
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
class Seen:
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
    seen: Seen, scales: tuple[str, str], places: dict[str, float], unknown: str
) -> dict[Keys, Standing]:
    """Say how every key stands; empty where there is nothing to compare or no strike at all.

    `scales` names what each of the two keys is counted by; `places` gives where a key stands on a scale of
    `NEAR`; what is `unknown` is fitted, but not compared.
    """
    columns = _Columns.of(seen, scales, places)
    compared = [keys for keys in columns.keys if unknown not in keys]
    if len(compared) < 2 or not seen.strikes.any():
        return {}
    parts, weights = _believed(seen, columns)
    rows = np.array([columns.rows[keys] for keys in compared])
    off = rows - _shares(seen, compared) @ rows
    middle, spread = _along(mixed(parts, weights), off)
    better = sum(
        weight * _above_nought(np.divide(*_along(part, off)))
        for part, weight in zip(parts, weights, strict=True)
    )
    low, high = middle - Z95 * spread, middle + Z95 * spread
    found = np.column_stack([np.exp(middle), np.exp(low), np.exp(high), better]).tolist()
    return {keys: Standing(*row) for keys, row in zip(compared, found, strict=True)}


def _along(gauss: Gauss, rows: Array) -> tuple[Array, Array]:
    """Give mean and standard deviation of sums of effects."""
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
    def of(cls, seen: Seen, scales: tuple[str, str], places: dict[str, float]) -> "_Columns":
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
            zip(blocks, (APART, APART, PAIRED, POSITION, SPELL), strict=True)
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
        """Give the columns of every key, without position and spell."""
        return {keys: self._row(keys) for keys in self.keys}

    def _row(self, keys: Keys) -> Array:
        row = np.zeros(len(self.spread))
        ones, twos, pairs = self.names
        row[ones[keys[0]]] = 1.0
        if twos:
            row[twos[keys[1]]] = row[pairs["\n".join(keys)]] = 1.0
        return row


@dataclass(frozen=True, eq=False, slots=True)
class _Design:
    """A design of key, position and spell for each cell: what each adds is looked up, not multiplied out."""

    keys: Array
    """The columns of every set of keys, and of the level."""
    key: Codes
    position: Codes
    spell: Codes
    starts: tuple[int, int, int]
    """Where positions and spells stand among the columns, and where they end."""

    def eta(self, where: Array) -> Array:
        """Give the sum of effects of every cell."""
        positions, spells, end = self.starts
        eta = (self.keys @ where)[self.key]
        if spells > positions:
            eta = eta + where[positions:spells][self.position]
        if end > spells:
            eta = eta + where[spells:end][self.spell]
        return eta

    def pull(self, values: Array) -> Array:
        """Give for every effect the sum of values over its cells."""
        positions, spells, end = self.starts
        found = self.keys.T @ self._sums(values, self.key, len(self.keys))
        found[positions:spells] = self._sums(values, self.position, spells - positions)
        found[spells:end] = self._sums(values, self.spell, end - spells)
        return found

    def curve(self, weights: Array) -> Array:
        """Give for every pair of effects the sum of weights over the cells that have both."""
        positions, spells, end = self.starts
        sets, where, when = len(self.keys), spells - positions, end - spells
        found = (self.keys.T * self._sums(weights, self.key, sets)) @ self.keys
        by_position = self._table(weights, self.key, sets, self.position, where)
        by_spell = self._table(weights, self.key, sets, self.spell, when)
        found[:, positions:spells] += self.keys.T @ by_position
        found[:, spells:end] += self.keys.T @ by_spell
        found[positions:spells] = found[:, positions:spells].T
        found[spells:end] = found[:, spells:end].T
        both = self._table(weights, self.position, where, self.spell, when)
        found[positions:spells, spells:end], found[spells:end, positions:spells] = both, both.T
        for first, after, codes in (
            (positions, spells, self.position), (spells, end, self.spell),
        ):  # fmt: skip
            sums = self._sums(weights, codes, after - first)
            found[first:after, first:after] = np.diag(sums)
        return found

    @staticmethod
    def _sums(values: Array, codes: Codes, many: int) -> Array:
        return _summed(codes, values, many) if many else np.zeros(0)

    @staticmethod
    def _table(values: Array, ones: Codes, many: int, twos: Codes, others: int) -> Array:
        if not (many and others):
            return np.zeros((many, others))
        return _summed(ones * others + twos, values, many * others).reshape(many, others)


def _believed(seen: Seen, columns: _Columns) -> tuple[tuple[Gauss, ...], Array]:
    """Fit all pieces for every contrast, with its share; clumped strikes count for less, as in `season`."""
    positions, spells = max(1, _many(seen.position)), max(1, _many(seen.spell))
    codes = (seen.key * positions + seen.position) * spells + seen.spell
    cells, group = np.unique(codes, return_inverse=True)
    hours = np.maximum(seen.hours, LEAST_H)
    counts, spent = _summed(group, seen.strikes), _summed(group, hours)
    design = _design(seen, columns, cells, positions, spells)
    level = np.log((counts.sum() + 0.5) / spent.sum())
    starts = [ready(Gauss(*_start(columns, contrast, level))) for contrast in CONTRASTS]
    fits = [fit(design, counts, spent, start) for start in starts]
    best = fits[int(np.argmax([one.evidence for one in fits]))]
    expected = (best.expected / spent)[group] * hours
    clumping = _bursts(seen.trip, seen.strikes, expected).clumping
    if clumping > 1.0:
        fits = [
            fit(design, counts / clumping, spent / clumping, start, one.gauss.mean)
            for start, one in zip(starts, fits, strict=True)
        ]
    evidence = np.array([one.evidence for one in fits])
    weight = np.asarray(CONTRAST_SHARES) * np.exp(evidence - evidence.max())
    return tuple(one.gauss for one in fits), np.asarray(weight / weight.sum(), dtype=np.float64)


def _design(seen: Seen, columns: _Columns, cells: Codes, positions: int, spells: int) -> _Design:
    """Give the design of cells that are numbered by key, position and spell."""
    keys = np.array([np.mean([columns.rows[one] for one in held], axis=0) for held in seen.keys])
    keys[:, 0] = 1.0
    rest, spell = np.divmod(cells, spells)
    key, position = np.divmod(rest, positions)
    end = len(columns.spread)
    spell_start = end - columns.blocks[4]
    return _Design(keys, key, position, spell, (spell_start - columns.blocks[3], spell_start, end))


def _start(columns: _Columns, contrast: float, level: float) -> tuple[Array, Array]:
    """Give mean and covariance before the record; `contrast` scales what is compared."""
    scale = np.ones(len(columns.spread))
    scale[1 : 1 + sum(columns.blocks[:3])] = contrast
    mean = np.zeros(len(scale))
    mean[0] = level
    return mean, columns.spread * np.outer(scale, scale)


def _bursts(trips: Codes, strikes: Array, expected: Array) -> Bursts:
    """Compare the strikes of every trip with what the model expects of it."""
    there, of = np.unique(trips, return_inverse=True)
    seen, awaited = _summed(of, strikes), _summed(of, expected)
    off = float(((seen - awaited) ** 2 / np.maximum(awaited, 0.2)).sum())
    return Bursts(off, len(there))


def _summed(group: Codes, values: Array, many: int = 0) -> Array:
    return np.asarray(np.bincount(group, weights=values, minlength=many), dtype=np.float64)


def _many(codes: Codes) -> int:
    """Count the codes; one alone tells nothing apart and needs no column."""
    many = int(codes.max(initial=-1)) + 1
    return many if many > 1 else 0


def _shares(seen: Seen, compared: Sequence[Keys]) -> Array:
    """Give the share of the hours that every key has; a lure's hours are shared by its colours."""
    number = {keys: place for place, keys in enumerate(compared)}
    shares = np.zeros(len(number))
    for held, hours in zip(seen.keys, _summed(seen.key, seen.hours, len(seen.keys)), strict=True):
        for keys in held:
            if keys in number:
                shares[number[keys]] += hours / len(held)
    return np.asarray(shares / shares.sum(), dtype=np.float64)


def _shape(names: Sequence[str], by: str, places: dict[str, float]) -> Array:
    """Give how alike the keys are; those without a place on the scale are like no other."""
    near = NEAR.get(by)
    shape = np.eye(len(names))
    if near is not None:
        known = [number for number, name in enumerate(names) if name in places]
        at = [places[names[number]] for number in known]
        shape[np.ix_(known, known)] = alike(at, near.reach, near.around)
    return shape


def _above_nought(z: Array) -> Array:
    from scipy.special import ndtr

    return np.asarray(ndtr(z), dtype=np.float64)
