"""Is one rate better than another, and how sure are we? Plain numbers; knows no trip and no wording."""

import math
from collections.abc import Sequence
from typing import Final

from bot.advice.rates import Belief, Interval

_TIE: Final = 1.0 + 1e-7
"""Outcomes whose probability differs by rounding only count as equally likely."""
_NODES: Final = 96
"""Points of the integral in `chances_best`; more is slower and no better for shapes below 200."""


def chance_better(one: Belief, other: Belief) -> float:
    """Give the probability that the first rate is the higher one.

    Closed form through the incomplete beta function: the share of the first in the sum of two
    scaled gamma variables is a beta variable.
    """
    from scipy.special import betainc

    split = one.hours / (one.hours + other.hours)
    return 1.0 - float(betainc(one.shape, other.shape, split))


def chances_best(beliefs: Sequence[Belief]) -> tuple[float, ...]:
    """Give for each rate the probability that it is the highest of all."""
    import numpy as np
    from scipy.special import gammainc, gammaincinv

    points, weights = np.polynomial.legendre.leggauss(_NODES)
    shares, weights = (points + 1.0) / 2.0, weights / 2.0
    found: list[float] = []
    for place, own in enumerate(beliefs):
        rates = gammaincinv(own.shape, shares) / own.hours
        below = np.ones_like(shares)
        for other in (*beliefs[:place], *beliefs[place + 1 :]):
            below = below * gammainc(other.shape, other.hours * rates)
        found.append(float(weights @ below))
    total = sum(found)
    return tuple(share / total for share in found)


def c_test(strikes: int, hours: float, other_strikes: int, other_hours: float) -> float:
    """Give the two-sided p-value for equal rates; valid for unequal hours, and careful.

    J. Przyborowski and H. Wilenski, Biometrika 31 (1940) 313-323: given the sum, the first count is
    binomial with the share of its hours.
    """
    total = strikes + other_strikes
    share = _share(hours, other_hours)
    chances = [_binomial(count, total, share) for count in range(total + 1)]
    limit = chances[strikes] * _TIE
    return min(1.0, sum(chance for chance in chances if chance <= limit))


def ratio(strikes: int, hours: float, other_strikes: int, other_hours: float) -> float | None:
    """Give the first rate over the other; None where the other has no strike or there are no hours."""
    if other_strikes == 0 or hours <= 0 or other_hours <= 0:
        return None
    return strikes / hours / (other_strikes / other_hours)


def ratio_interval(
    strikes: int, hours: float, other_strikes: int, other_hours: float, level: float = 0.95
) -> Interval:
    """Give the exact interval of the ratio of two rates (Clopper-Pearson on the share of strikes)."""
    from scipy.special import betaincinv

    _share(hours, other_hours)
    tail = (1.0 - level) / 2.0
    scale = other_hours / hours
    low = high = math.inf
    if strikes == 0:
        low = 0.0
    else:
        part = float(betaincinv(strikes, other_strikes + 1, tail))
        low = scale * part / (1.0 - part)
    if other_strikes:
        part = float(betaincinv(strikes + 1, other_strikes, 1.0 - tail))
        high = scale * part / (1.0 - part)
    return Interval(low, high)


def _share(hours: float, other_hours: float) -> float:
    if hours <= 0 or other_hours <= 0:
        raise ValueError("rates can be compared only where both have hours")
    return hours / (hours + other_hours)


def _binomial(count: int, total: int, share: float) -> float:
    ways = math.lgamma(total + 1) - math.lgamma(count + 1) - math.lgamma(total - count + 1)
    return math.exp(ways + count * math.log(share) + (total - count) * math.log1p(-share))
