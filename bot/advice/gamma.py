"""The incomplete gamma function and its inverse: intervals of counts and rates, without scipy.

It would be 143 MB to install, and take longer to load than a tally takes. Series and continued fraction as
in Abramowitz and Stegun, Handbook of Mathematical Functions, 6.5.29 and 6.5.31; the inverse by Halley
steps from the Wilson-Hilferty value (26.4.17). Tests compare both with scipy.
"""

import math
from typing import Final

_CLOSE: Final = 1e-15
_TERMS: Final = 100_000
"""Terms at most; about eight square roots of the shape are usual."""
_STEPS: Final = 30
"""Halley steps at most; three or four are usual."""
_SMALLEST: Final = 1e-300


def below(shape: float, x: float) -> float:
    """Return the probability that a gamma variable of this shape and scale 1 is below `x`."""
    return _series(shape, x) if x < shape + 1.0 else 1.0 - _fraction(shape, x)


def above(shape: float, x: float) -> float:
    """Return the probability that it is above `x`."""
    return 1.0 - _series(shape, x) if x < shape + 1.0 else _fraction(shape, x)


def quantile(shape: float, share: float) -> float:
    """Return the value below which this share of it lies, from 0 to 1; raises ValueError beyond."""
    return _inverse(shape, share, 1.0 - share)


def upper_quantile(shape: float, share: float) -> float:
    """Return the value above which this share of it lies; exact where the share is small."""
    return _inverse(shape, 1.0 - share, share)


def _inverse(shape: float, low: float, high: float) -> float:
    if shape <= 0 or not (0.0 <= low <= 1.0 and 0.0 <= high <= 1.0):
        raise ValueError("a gamma quantile needs a shape above 0 and a share from 0 to 1")
    if low == 0.0 or high == 0.0:
        return 0.0 if low == 0.0 else math.inf
    x = _first(shape, low)
    for _ in range(_STEPS):
        off = below(shape, x) - low if low <= high else high - above(shape, x)
        slope = math.exp(max(_log_density(shape, x), -700.0))
        step = off / slope
        bend = step * ((shape - 1.0) / x - 1.0)
        step /= 1.0 - 0.5 * min(1.0, bend)
        after = x - step if x > step else 0.5 * x
        if abs(after - x) <= 1e-12 * x or after < _SMALLEST:
            return after
        x = after
    return x


def _first(shape: float, low: float) -> float:
    """Return a value to begin with."""
    small = math.exp((math.log(low) + math.lgamma(shape + 1.0)) / shape)
    if shape < 1.0 or small < 0.1 * shape:
        return max(small, _SMALLEST)
    from statistics import NormalDist  # late: it brings fractions and decimals along

    root = 1.0 - 1.0 / (9.0 * shape) + NormalDist().inv_cdf(low) / (3.0 * math.sqrt(shape))
    return max(shape * root**3, small, _SMALLEST)


def _log_density(shape: float, x: float) -> float:
    return (shape - 1.0) * math.log(x) - x - math.lgamma(shape)


def _series(shape: float, x: float) -> float:
    """Return the part below; for `x` below the shape or little above it."""
    if x <= 0.0:
        return 0.0
    term = total = 1.0 / shape
    for number in range(1, _TERMS):
        term *= x / (shape + number)
        total += term
        if term < total * _CLOSE:
            break
    return min(1.0, total * math.exp(shape * math.log(x) - x - math.lgamma(shape)))


def _fraction(shape: float, x: float) -> float:
    """Return the part above; for `x` above the shape (modified Lentz)."""
    if math.isinf(x):
        return 0.0
    last = x + 1.0 - shape
    c, d = 1.0 / _SMALLEST, 1.0 / last
    found = d
    for number in range(1, _TERMS):
        part = -number * (number - shape)
        last += 2.0
        d = part * d + last
        d = 1.0 / (d if abs(d) > _SMALLEST else _SMALLEST)
        c = last + part / c
        c = c if abs(c) > _SMALLEST else _SMALLEST
        found *= d * c
        if abs(d * c - 1.0) < _CLOSE:
            break
    return min(1.0, found * math.exp(shape * math.log(x) - x - math.lgamma(shape)))
