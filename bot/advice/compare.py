"""Is one rate better than another, and how sure are we? Plain numbers; knows no trip and no wording."""

import math
from typing import Final

_TIE: Final = 1.0 + 1e-7
"""Outcomes whose probability differs by rounding only count as equally likely."""


def c_test(strikes: int, hours: float, other_strikes: int, other_hours: float) -> float:
    """Return the two-sided p-value for equal rates; valid for unequal hours, and careful.

    J. Przyborowski and H. Wilenski, Biometrika 31 (1940) 313-323: given the sum, the first count is
    binomial with the share of its hours.
    """
    total = strikes + other_strikes
    share = _share(hours, other_hours)
    chances = [_binomial(count, total, share) for count in range(total + 1)]
    limit = chances[strikes] * _TIE
    return min(1.0, sum(chance for chance in chances if chance <= limit))


def _share(hours: float, other_hours: float) -> float:
    if hours <= 0 or other_hours <= 0:
        raise ValueError("rates can be compared only where both have hours")
    return hours / (hours + other_hours)


def _binomial(count: int, total: int, share: float) -> float:
    ways = math.lgamma(total + 1) - math.lgamma(count + 1) - math.lgamma(total - count + 1)
    return math.exp(ways + count * math.log(share) + (total - count) * math.log1p(-share))
