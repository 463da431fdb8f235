"""Strikes per lure-hour with their uncertainty. Plain numbers in and out; knows no trip and no wording.

Exact and textbook formulas only, each with its source. Without scipy, which is 143 MB (`gamma`).
"""

import math
from dataclasses import dataclass
from typing import Final, NamedTuple

from bot.advice.gamma import above, quantile, upper_quantile

PER_HOURS = 10.0
"""Rates are shown as strikes per ten lure-hours: whole numbers on a usual day."""
_TIE: Final = 1.0 + 1e-7
"""Outcomes whose probability differs by rounding only count as equally likely."""


class Interval(NamedTuple):
    """A lower and an upper limit."""

    low: float
    high: float


def rate_per_10h(strikes: int, hours: float) -> float | None:
    """Return strikes per ten lure-hours; None without hours, for then there is no rate."""
    return PER_HOURS * strikes / hours if hours > 0 else None


def chances(share: float) -> str:
    """Write a probability as chances in ten, finer near certainty: `7 chances in 10`, `19 chances in 20`."""
    many, of = chances_of(share)
    return f"{many} chance{'s' * (many != 1)} in {of}"


def chances_of(share: float) -> tuple[int, int]:
    """Return so many chances of ten, finer near certainty: 7 of 10, 19 of 20, 99 of 100."""
    for of, most in ((10, 0.945), (20, 0.985)):
        if share <= most:
            return max(1, round(share * of)), of
    return 99, 100


def garwood(strikes: int, hours: float, level: float = 0.95) -> Interval | None:
    """Return the exact interval of a Poisson rate per hour; None without hours.

    F. Garwood, "Fiducial limits for the Poisson distribution", Biometrika 28 (1936) 437-442.
    """
    if hours <= 0:
        return None
    tail = (1.0 - level) / 2.0
    low = quantile(strikes, tail) if strikes else 0.0
    return Interval(low / hours, upper_quantile(strikes + 1, tail) / hours)


def wilson(successes: int, trials: int, level: float = 0.95) -> Interval | None:
    """Return the score interval of a proportion, e.g. hook-ups of strikes; None without trials.

    E. B. Wilson, J. Am. Stat. Assoc. 22 (1927) 209-212.
    """
    if trials <= 0:
        return None
    from statistics import NormalDist  # late: it brings fractions and decimals along

    z = NormalDist().inv_cdf(0.5 + level / 2.0)
    share = successes / trials
    scale = 1.0 + z * z / trials
    middle = (share + z * z / (2 * trials)) / scale
    half = z * math.sqrt(share * (1 - share) / trials + z * z / (4 * trials**2)) / scale
    low = middle - half if successes else 0.0
    high = middle + half if successes < trials else 1.0
    return Interval(low, high)


@dataclass(frozen=True, slots=True)
class Belief:
    """What is believed of one strike rate: a gamma distribution.

    Before the first strike it is `shape` strikes in `hours` lure-hours of which somebody told; every
    strike and hour seen is added to them (Gelman et al., Bayesian Data Analysis, 3rd ed., 2.6).
    """

    shape: float
    hours: float

    def __post_init__(self) -> None:
        if self.shape <= 0 or self.hours <= 0:
            raise ValueError("a belief needs a shape and hours above 0")

    def after(self, strikes: int, hours: float) -> "Belief":
        """Return the belief when these have been seen too."""
        return Belief(self.shape + strikes, self.hours + hours)

    @property
    def mean(self) -> float:
        """Return the expected strikes per lure-hour."""
        return self.shape / self.hours

    def quantile(self, share: float) -> float:
        """Return the rate per hour below which this share of the belief lies."""
        return quantile(self.shape, share) / self.hours

    def interval(self, level: float = 0.95) -> Interval:
        """Return the equal-tailed interval of the rate per hour."""
        tail = (1.0 - level) / 2.0
        return Interval(self.quantile(tail), self.quantile(1.0 - tail))

    def above(self, rate: float) -> float:
        """Return the probability that the rate is above this one, per hour."""
        return above(self.shape, self.hours * rate)

    def quiet(self, hours: float) -> float:
        """Return the probability of no strike in so many lure-hours."""
        return math.exp(-self.shape * math.log1p(hours / self.hours))


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
