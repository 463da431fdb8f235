"""Log-linear Poisson rates with exposure, fitted by Newton's method around a Gaussian start.

The posterior is taken as Gaussian at its peak (Laplace), which also gives the evidence for the scale
of the effects. Arrays in, arrays out; knows no lure and no position.
"""

from dataclasses import dataclass
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from bot.advice.layout import Array

STEPS: Final = 40
"""Newton steps at most; five or six are usual."""
STEP_LIMIT: Final = 2.0
"""No log rate moves further than this in one step."""
CLOSE: Final = 1e-3
"""A step below this is the last: the next would be about its square."""


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


def fit(rows: Array, counts: Array, hours: Array, start: Start, near: Array | None = None) -> Fit:
    """Fit counts with exposure `hours` (both may be weighted) around a Gaussian start.

    `near` is where to look for the peak first; it saves steps and changes nothing else.
    McCullagh and Nelder, Generalized Linear Models, 2nd ed., chapter 2 (Newton, log link); Laplace
    evidence as in Rasmussen and Williams, Gaussian Processes for Machine Learning, section 3.4.
    """
    precision, middle = start.precision, start.gauss.mean
    offset = np.log(np.maximum(hours, 1e-12))
    where = (middle if near is None else near).copy()
    for _ in range(STEPS):
        expected = np.exp(np.minimum(rows @ where + offset, 50.0))
        slope = rows.T @ (counts - expected) - precision @ (where - middle)
        curve = (rows.T * expected) @ rows + precision
        step = np.linalg.solve(curve, slope)
        longest = float(np.abs(step).max(initial=0.0))
        where = where + step * min(1.0, STEP_LIMIT / max(longest, 1e-300))
        if longest < CLOSE:
            break
    eta = rows @ where + offset
    expected = np.exp(eta)
    curve = (rows.T * expected) @ rows + precision
    below = np.linalg.cholesky(curve)
    gap = where - middle
    evidence = (
        float(counts @ eta - expected.sum() - 0.5 * gap @ precision @ gap)
        - start.half_log_det
        - float(np.log(np.diag(below)).sum())
    )
    return Fit(Gauss(where, _inverse(below)), evidence, expected)


def mixed(parts: tuple[Gauss, ...], shares: Array) -> Gauss:
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
