"""Log-linear Poisson rates with exposure, fitted by Newton's method around a Gaussian start.

The posterior is taken as Gaussian at its peak (Laplace), which also gives the evidence for the scale
of the effects. Arrays in, arrays out; knows no lure and no position.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from bot.advice.layout import Array, Codes

STEPS: Final = 40
"""Newton steps at most; five or six are usual."""
STEP_LIMIT: Final = 2.0
"""No log rate moves further than this in one step."""
CLOSE: Final = 1e-3
"""A step below this is the last: the next would be about its square."""
HALVINGS: Final = 20
"""Most halvings of a step that leads away from the peak, as a strike in a minute of water may."""


@dataclass(frozen=True, eq=False, slots=True)
class Gauss:
    """What is believed of all log effects: mean and covariance."""

    mean: Array
    cov: Array


@dataclass(frozen=True, eq=False, slots=True)
class Start:
    """A Gaussian made ready to start a fit from."""

    gauss: Gauss
    precision: Array
    half_log_det: float
    """Half the logarithm of the determinant of the covariance."""


def ready(gauss: Gauss) -> Start:
    """Make a Gaussian ready to start fits from."""
    factor = np.linalg.cholesky(gauss.cov)
    return Start(gauss, _inverse(factor), float(np.log(np.diag(factor)).sum()))


@dataclass(frozen=True, eq=False, slots=True)
class Fit:
    """What is believed after the counts were seen."""

    gauss: Gauss
    evidence: float
    """Log probability of the counts under the start, up to a constant of the counts."""
    expected: Array
    """Strikes that the peak expects in each cell."""


@dataclass(frozen=True, eq=False, slots=True)
class Spells:
    """Rows that lie together share a log rate of their own: an hour in which the bite was on, say."""

    first: Codes
    """The first row of every spell."""
    number: Codes
    """The spell of every row."""
    apart: float
    """Standard deviation of the log rates of spells."""

    def sums(self, values: Array) -> Array:
        """Return the sums of rows of values over every spell."""
        return np.asarray(np.add.reduceat(values, self.first, axis=0))

    def added_rates(self, own: Array) -> Array:
        """Return what spells add to the log rate of every row; nothing where there are none."""
        return own[self.number] if len(self.first) else np.zeros(1)


NO_SPELLS: Final = Spells(np.zeros(0, np.intp), np.zeros(0, np.intp), 1.0)


def fit(
    rows: Array,
    counts: Array,
    hours: Array,
    start: Start,
    near: Array | None = None,
    spells: Spells = NO_SPELLS,
) -> Fit:
    """Fit counts with exposure `hours` (both may be weighted) around a Gaussian start.

    `near` is where to look for the peak first; it saves steps and changes nothing else. Spells are taken out
    (Schur complement), as trips are in `nested`.
    McCullagh and Nelder, Generalized Linear Models, 2nd ed., chapter 2 (Newton, log link); Laplace
    evidence as in Rasmussen and Williams, Gaussian Processes for Machine Learning, section 3.4.
    """
    precision, middle = start.precision, start.gauss.mean
    offset = np.log(np.maximum(hours, 1e-12))
    where = (middle if near is None else near).copy()
    own, tight = np.zeros(len(spells.first)), 1.0 / spells.apart**2

    def along(at: Array, spell: Array, step: Array, own_step: Array, share: float) -> float:
        """Return the log posterior after a share of a step, but for a constant."""
        where, own = at + step * share, spell + own_step * share
        eta = np.minimum(rows @ where + offset + spells.added_rates(own), 50.0)
        gap = where - middle
        held = gap @ precision @ gap + tight * (own @ own)
        return float(counts @ eta - np.exp(eta).sum() - 0.5 * held)

    for _ in range(STEPS):
        expected = np.exp(np.minimum(rows @ where + offset + spells.added_rates(own), 50.0))
        held, both, curve = _curves(rows, expected, precision, spells)
        off = counts - expected
        of_spells = spells.sums(off) - own * tight
        slope = rows.T @ off - precision @ (where - middle) - both.T @ (of_spells / held)
        step = np.asarray(np.linalg.solve(curve, slope), dtype=np.float64)
        own_step = (of_spells - both @ step) / held
        longest = max(float(np.abs(one).max(initial=0.0)) for one in (step, own_step))
        share = min(1.0, STEP_LIMIT / max(longest, 1e-300))
        share = uphill(partial(along, where, own, step, own_step), share)
        where, own = where + step * share, own + own_step * share
        if longest < CLOSE:
            break
    eta = rows @ where + offset + spells.added_rates(own)
    expected = np.exp(eta)
    held, _, curve = _curves(rows, expected, precision, spells)
    below = np.linalg.cholesky(curve)
    gap = where - middle
    evidence = (
        float(counts @ eta - expected.sum() - 0.5 * gap @ precision @ gap)
        - float(0.5 * tight * (own @ own) + 0.5 * np.log(held / tight).sum())
        - start.half_log_det
        - float(np.log(np.diag(below)).sum())
    )
    return Fit(Gauss(where, _inverse(below)), evidence, expected)


def uphill(height: Callable[[float], float], share: float) -> float:
    """Return a share of a step, halved until it does not lead down; `height` is that after a share."""
    begun = height(0.0)
    for _ in range(HALVINGS):
        if height(share) >= begun - CLOSE:
            break
        share /= 2
    return share


def _curves(
    rows: Array, expected: Array, precision: Array, spells: Spells
) -> tuple[Array, Array, Array]:
    """Return the curvature of spells, of effects with spells, and of effects when spells are taken out."""
    weighted = rows * expected[:, None]
    held = spells.sums(expected) + 1.0 / spells.apart**2
    both = spells.sums(weighted)
    return held, both, weighted.T @ rows + precision - (both.T / held) @ both


def mix(parts: tuple[Gauss, ...], shares: Array) -> Gauss:
    """Return the one Gaussian with the mean and covariance of a mixture."""
    mean = np.zeros_like(parts[0].mean)
    for part, share in zip(parts, shares, strict=True):
        mean = mean + share * part.mean
    cov = np.zeros_like(parts[0].cov)
    for part, share in zip(parts, shares, strict=True):
        off = part.mean - mean
        cov = cov + share * (part.cov + np.outer(off, off))
    return Gauss(mean, cov)


def _inverse(factor: npt.NDArray[np.floating[Any]]) -> Array:
    """Return the inverse of the matrix with this lower Cholesky factor."""
    half = np.linalg.inv(factor)
    return np.asarray(half.T @ half, dtype=np.float64)
