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

from bot.advice.layout import HOUR_REACH, SIZE_REACH_IN, Array, alike
from bot.advice.model import Gauss, fit, mixed, ready
from bot.advice.season import CONTRAST_SHARES, CONTRASTS, LEAST_H, Bursts

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
class Piece:
    """Lure-hours and strikes of one position on one trip, and the keys under which they count."""

    keys: tuple[Keys, ...]
    """Several where a lure counts for all of its colours."""
    position: str
    trip: str
    spell: str
    """The calendar month; empty where months are compared."""
    hours: float
    strikes: int


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


def standings(
    pieces: Sequence[Piece], scales: tuple[str, str], places: dict[str, float], unknown: str
) -> dict[Keys, Standing]:
    """Say how every key stands; empty where there is nothing to compare or no strike at all.

    `scales` names what each of the two keys is counted by; `places` gives where a key stands on a scale of
    `NEAR`; what is `unknown` is fitted, but not compared.
    """
    held = [piece for piece in pieces if piece.hours > 0 and piece.keys]
    columns = _Columns.of(held, scales, places)
    compared = [keys for keys in columns.keys if unknown not in keys]
    if len(compared) < 2 or not any(piece.strikes for piece in held):
        return {}
    parts, weights = _believed(held, columns)
    rows = np.array([columns.rows[keys] for keys in compared])
    off = rows - _shares(held, compared) @ rows
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
    blocks: tuple[tuple[str, ...], ...]
    spread: Array

    @classmethod
    def of(
        cls, held: Sequence[Piece], scales: tuple[str, str], places: dict[str, float]
    ) -> "_Columns":
        keys = tuple(sorted(set(chain.from_iterable(piece.keys for piece in held))))
        paired = any(two for _, two in keys)
        ones = tuple(sorted({one for one, _ in keys}))
        twos = tuple(sorted({two for _, two in keys})) if paired else ()
        pairs = tuple("\n".join(both) for both in keys) if paired else ()
        positions = () if "position" in scales else tuple(sorted({p.position for p in held}))
        spells = tuple(sorted({p.spell for p in held if p.spell}))
        blocks = (ones, twos, pairs, positions, spells)
        sizes = (APART, APART, PAIRED, POSITION, SPELL)
        shapes = (_shape(ones, scales[0], places), _shape(twos, scales[1], places))
        spread = np.zeros((1 + sum(map(len, blocks)),) * 2)
        spread[0, 0] = LEVEL**2
        first = 1
        for number, (block, size) in enumerate(zip(blocks, sizes, strict=True)):
            shape = shapes[number] if number < 2 else np.eye(len(block))
            after = first + len(block)
            spread[first:after, first:after] = size**2 * shape
            first = after
        return cls(keys, blocks, spread)

    @cached_property
    def _numbers(self) -> tuple[dict[str, int], ...]:
        starts = np.cumsum([1, *(len(block) for block in self.blocks)])
        return tuple(
            {name: int(start) + place for place, name in enumerate(block)}
            for start, block in zip(starts, self.blocks, strict=False)
        )

    @cached_property
    def rows(self) -> dict[Keys, Array]:
        """Give the columns of every key, without position and spell."""
        return {keys: self._row(keys) for keys in self.keys}

    def _row(self, keys: Keys) -> Array:
        row = np.zeros(len(self.spread))
        ones, twos, pairs, *_ = self._numbers
        row[ones[keys[0]]] = 1.0
        if twos:
            row[twos[keys[1]]] = row[pairs["\n".join(keys)]] = 1.0
        return row

    def full(self, piece: Piece) -> Array:
        """Give the columns of a piece: the middle of its keys, position and spell with them."""
        row = np.mean([self.rows[keys] for keys in piece.keys], axis=0)
        *_, positions, spells = self._numbers
        row[0] = 1.0
        for numbers, name in ((positions, piece.position), (spells, piece.spell)):
            if name in numbers:
                row[numbers[name]] = 1.0
        return np.asarray(row, dtype=np.float64)


def _believed(held: Sequence[Piece], columns: _Columns) -> tuple[tuple[Gauss, ...], Array]:
    """Fit all pieces for every contrast, with its share; clumped strikes count for less, as in `season`."""
    groups: dict[tuple[tuple[Keys, ...], str, str], int] = {}
    group = [groups.setdefault((p.keys, p.position, p.spell), len(groups)) for p in held]
    firsts = dict(zip(group, held, strict=True))
    rows = np.array([columns.full(firsts[place]) for place in range(len(groups))])
    strikes = np.array([piece.strikes for piece in held], np.float64)
    hours = np.array([max(piece.hours, LEAST_H) for piece in held])
    counts, spent = _summed(group, strikes), _summed(group, hours)
    level = np.log((counts.sum() + 0.5) / spent.sum())
    starts = [ready(Gauss(*_start(columns, contrast, level))) for contrast in CONTRASTS]
    fits = [fit(rows, counts, spent, start) for start in starts]
    best = fits[int(np.argmax([one.evidence for one in fits]))]
    expected = (best.expected / spent)[group] * hours
    clumping = _bursts([p.trip for p in held], strikes, expected).clumping
    if clumping > 1.0:
        fits = [
            fit(rows, counts / clumping, spent / clumping, start, one.gauss.mean)
            for start, one in zip(starts, fits, strict=True)
        ]
    evidence = np.array([one.evidence for one in fits])
    weight = np.asarray(CONTRAST_SHARES) * np.exp(evidence - evidence.max())
    return tuple(one.gauss for one in fits), np.asarray(weight / weight.sum(), dtype=np.float64)


def _start(columns: _Columns, contrast: float, level: float) -> tuple[Array, Array]:
    """Give mean and covariance before the record; `contrast` scales what is compared."""
    scale = np.ones(len(columns.spread))
    scale[1 : 1 + sum(len(block) for block in columns.blocks[:3])] = contrast
    mean = np.zeros(len(scale))
    mean[0] = level
    return mean, columns.spread * np.outer(scale, scale)


def _bursts(trips: Sequence[str], strikes: Array, expected: Array) -> Bursts:
    """Compare the strikes of every trip with what the model expects of it."""
    numbers: dict[str, int] = {}
    of = [numbers.setdefault(trip, len(numbers)) for trip in trips]
    seen, awaited = _summed(of, strikes), _summed(of, expected)
    off = float(((seen - awaited) ** 2 / np.maximum(awaited, 0.2)).sum())
    return Bursts(off, len(numbers))


def _summed(group: Sequence[int], values: Array) -> Array:
    return np.asarray(np.bincount(group, weights=values), dtype=np.float64)


def _shares(held: Sequence[Piece], compared: Sequence[Keys]) -> Array:
    """Give the share of the hours that every key has; a lure's hours are shared by its colours."""
    number = {keys: place for place, keys in enumerate(compared)}
    shares = np.zeros(len(number))
    for piece in held:
        for keys in piece.keys:
            if keys in number:
                shares[number[keys]] += piece.hours / len(piece.keys)
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
