"""Log-linear Poisson rates of many trips, each trip with a rate of its own around what the effects expect.

What is compared may differ from trip to trip (months, water) or within each (colours): with an effect for
every trip both are told as surely as they are known, and no surer. Newton's method and Laplace's evidence
as in `model`; the trips, of which there are many and which share nothing, are eliminated first (Schur
complement), so a thousand of them cost little. Arrays in, arrays out.
"""

from dataclasses import dataclass
from functools import partial
from typing import Final

import numpy as np
import numpy.typing as npt

from bot.advice.layout import Array
from bot.advice.model import CLOSE, STEP_LIMIT, STEPS, Gauss, Start, uphill

Codes = npt.NDArray[np.intp]
MOST_LOG: Final = 50.0
"""No log rate goes beyond this while a fit looks for its place."""


@dataclass(frozen=True, eq=False, slots=True)
class Design:
    """Key, position, spell and trip of every cell: what each adds is looked up, not multiplied out."""

    keys: Array
    """The columns of every set of keys, and of the level."""
    key: Codes
    position: Codes
    spell: Codes
    trip: Codes
    starts: tuple[int, int, int]
    """Where positions and spells stand among the columns, and where they end."""
    trips: int

    def eta(self, where: Array, trips: Array) -> Array:
        """Return the sum of effects of every cell."""
        positions, spells, end = self.starts
        eta = (self.keys @ where)[self.key] + trips[self.trip]
        if spells > positions:
            eta = eta + where[positions:spells][self.position]
        if end > spells:
            eta = eta + where[spells:end][self.spell]
        return np.asarray(eta)

    def pull(self, values: Array) -> Array:
        """Return the sum of values over the cells of every effect, the trips left out."""
        positions, spells, end = self.starts
        found = self.keys.T @ sum_by_group(self.key, values, len(self.keys))
        found[positions:spells] = sum_by_group(self.position, values, spells - positions)
        found[spells:end] = sum_by_group(self.spell, values, end - spells)
        return np.asarray(found)

    def curve(self, weights: Array) -> Array:
        """Return the sum of weights over the cells that have both, for every pair of effects."""
        positions, spells, end = self.starts
        sets, where, when = len(self.keys), spells - positions, end - spells
        found = (self.keys.T * sum_by_group(self.key, weights, sets)) @ self.keys
        by_position = _table(weights, self.key, sets, self.position, where)
        by_spell = _table(weights, self.key, sets, self.spell, when)
        found[:, positions:spells] += self.keys.T @ by_position
        found[:, spells:end] += self.keys.T @ by_spell
        found[positions:spells] = found[:, positions:spells].T
        found[spells:end] = found[:, spells:end].T
        both = _table(weights, self.position, where, self.spell, when)
        found[positions:spells, spells:end], found[spells:end, positions:spells] = both, both.T
        for first, after, codes in (
            (positions, spells, self.position), (spells, end, self.spell),
        ):  # fmt: skip
            found[first:after, first:after] = np.diag(sum_by_group(codes, weights, after - first))
        return np.asarray(found)

    def with_trips(self, weights: Array) -> Array:
        """Return the sum of weights over the cells that have both, for every effect and every trip."""
        positions, spells, end = self.starts
        found = self.keys.T @ _table(weights, self.key, len(self.keys), self.trip, self.trips)
        for first, after, codes in (
            (positions, spells, self.position), (spells, end, self.spell),
        ):  # fmt: skip
            found[first:after] = _table(weights, codes, after - first, self.trip, self.trips)
        return np.asarray(found)


@dataclass(frozen=True, eq=False, slots=True)
class Posterior:
    """What is believed after the counts were seen."""

    gauss: Gauss
    """What is believed of the effects, whatever the trips were like."""
    trips: Array
    """The log rate of every trip off what the effects expect of it."""
    evidence: float
    """Log probability of the counts under the start, up to a constant of the counts."""
    expected: Array
    free: float
    """How many effects of trips the counts have moved: each costs a degree of freedom."""


def fit(
    design: Design, counts: Array, hours: Array, start: Start, apart: float,
    near: Posterior | None = None,
) -> Posterior:  # fmt: skip
    """Fit counts with exposure `hours` (both may be weighted) around a Gaussian start.

    `apart` is the standard deviation of the log rates of trips. Laplace's approximation with the trips
    eliminated: N. E. Breslow and D. G. Clayton, "Approximate Inference in Generalized Linear Mixed Models",
    J. Am. Stat. Assoc. 88 (1993) 9-25.
    """
    precision, middle = start.precision, start.gauss.mean
    offset = np.log(np.maximum(hours, 1e-12))
    where = (middle if near is None else near.gauss.mean).copy()
    trips = np.zeros(design.trips) if near is None else near.trips.copy()

    def along(at: Array, own: Array, step: Array, trip_step: Array, share: float) -> float:
        """Return the log posterior after a share of a step, but for a constant."""
        where, trips = at + step * share, own + trip_step * share
        eta = np.minimum(design.eta(where, trips) + offset, MOST_LOG)
        gap = where - middle
        held = gap @ precision @ gap + (trips @ trips) / apart**2
        return float(counts @ eta - np.exp(eta).sum() - 0.5 * held)

    for _ in range(STEPS):
        expected = np.exp(np.minimum(design.eta(where, trips) + offset, MOST_LOG))
        own, both, rest = _curves(design, expected, precision, apart)
        off = counts - expected
        slope = design.pull(off) - precision @ (where - middle)
        of_trips = sum_by_group(design.trip, off, design.trips) - trips / apart**2
        step = np.asarray(np.linalg.solve(rest, slope - both @ (of_trips / own)), dtype=np.float64)
        trip_step = (of_trips - both.T @ step) / own
        longest = float(max(np.abs(step).max(initial=0.0), np.abs(trip_step).max(initial=0.0)))
        share = min(1.0, STEP_LIMIT / max(longest, 1e-300))
        share = uphill(partial(along, where, trips, step, trip_step), share)
        where, trips = where + step * share, trips + trip_step * share
        if longest < CLOSE:
            break
    eta = design.eta(where, trips) + offset
    expected = np.exp(eta)
    own, _, rest = _curves(design, expected, precision, apart)
    below = np.linalg.cholesky(rest)
    gap = where - middle
    evidence = (
        float(counts @ eta - expected.sum() - 0.5 * gap @ precision @ gap)
        - float(0.5 * (trips @ trips) / apart**2 + design.trips * np.log(apart))
        - start.half_log_det
        - float(np.log(np.diag(below)).sum() + 0.5 * np.log(own).sum())
    )
    half = np.linalg.inv(below)
    free = float((1.0 - 1.0 / (own * apart**2)).sum())
    return Posterior(Gauss(where, np.asarray(half.T @ half)), trips, evidence, expected, free)


def _curves(
    design: Design, expected: Array, precision: Array, apart: float
) -> tuple[Array, Array, Array]:
    """Return the curvature of trips, of effects with trips, and of effects when trips are eliminated."""
    own = sum_by_group(design.trip, expected, design.trips) + 1.0 / apart**2
    both = design.with_trips(expected)
    return own, both, design.curve(expected) + precision - (both / own) @ both.T


def sum_by_group(group: Codes, values: Array, many: int) -> Array:
    """Add values up by group; empty for no group at all."""
    if not many:
        return np.zeros(0)
    return np.asarray(np.bincount(group, weights=values, minlength=many), dtype=np.float64)


def _table(values: Array, ones: Codes, many: int, twos: Codes, others: int) -> Array:
    if not (many and others):
        return np.zeros((many, others))
    return sum_by_group(ones * others + twos, values, many * others).reshape(many, others)
