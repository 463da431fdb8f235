"""Rates against scipy.stats and against published tables; the source stands beside each check."""

import math

import pytest
from hypothesis import given, strategies as st
from scipy import stats

from bot.advice.rates import Belief, garwood, rate_per_10h, wilson

# F. Garwood, Biometrika 28 (1936) 437-442: limits of the mean for k events. The rows 0 (R epitools
# documentation, 3.689), 10, 25 and 100 (a statistics vendor's note) are confirmed in print, the others
# recomputed with scipy.stats.chi2.
GARWOOD = {
    0: ((0.0, 2.9957), (0.0, 3.6889), (0.0, 5.2983)),
    1: ((0.0513, 4.7439), (0.0253, 5.5716), (0.0050, 7.4301)),
    2: ((0.3554, 6.2958), (0.2422, 7.2247), (0.1035, 9.2738)),
    3: ((0.8177, 7.7537), (0.6187, 8.7673), (0.3379, 10.9775)),
    10: ((5.4254, 16.9622), (4.7954, 18.3904), (3.7169, 21.3978)),
    25: ((17.3821, 34.9161), (16.1787, 36.9049), (13.9954, 41.0004)),
    100: ((84.1393, 118.0793), (81.3640, 121.6268), (76.1205, 128.7606)),
}


@pytest.mark.parametrize(("strikes", "rows"), GARWOOD.items())
def test_the_interval_of_a_rate_is_that_of_the_table(
    strikes: int, rows: tuple[tuple[float, float], ...]
) -> None:
    for level, (low, high) in zip((0.90, 0.95, 0.99), rows, strict=True):
        assert garwood(strikes, 1.0, level) == pytest.approx((low, high), abs=1e-4)


@given(st.integers(0, 400), st.floats(0.05, 5000), st.floats(0.5, 0.999))
def test_the_interval_of_a_rate_is_the_chi_square_one_of_scipy(
    strikes: int, hours: float, level: float
) -> None:
    tail = (1 - level) / 2
    low = stats.chi2.ppf(tail, 2 * strikes) / 2 / hours if strikes else 0.0
    high = stats.chi2.ppf(1 - tail, 2 * strikes + 2) / 2 / hours

    assert garwood(strikes, hours, level) == pytest.approx((low, high), rel=1e-7)


def test_the_welsh_nickel_workers_have_the_interval_of_the_r_help_page() -> None:
    # R, help(poisson.test): 137 deaths, 24.19893 expected; data confirmed, output recomputed
    found = garwood(137, 24.19893)

    assert found == pytest.approx((4.753125, 6.692709), abs=1e-6)


def test_no_hours_have_no_rate_and_no_interval() -> None:
    assert rate_per_10h(0, 0.0) is None
    assert garwood(0, 0.0) is None


def test_hours_without_a_strike_are_a_result() -> None:
    found = garwood(0, 12.0)

    assert rate_per_10h(0, 12.0) == 0.0
    assert found == pytest.approx((0.0, 0.3074), abs=1e-4)  # 3.6889 / 12, Garwood's table


@pytest.mark.parametrize(("successes", "trials"), [(0, 4), (1, 1), (3, 7), (81, 263), (15, 15)])
def test_the_interval_of_a_share_is_the_wilson_one_of_scipy(successes: int, trials: int) -> None:
    theirs = stats.binomtest(successes, trials).proportion_ci(0.95, method="wilson")

    assert wilson(successes, trials) == pytest.approx((theirs.low, theirs.high), abs=1e-12)


def test_a_share_of_nothing_is_unknown() -> None:
    assert wilson(0, 0) is None


def test_the_asthma_example_of_the_textbook_comes_out() -> None:
    # Gelman et al., Bayesian Data Analysis, 3rd ed., section 2.6, p. 45 (example confirmed, figures
    # from memory and recomputed): prior Gamma(3, 5), 3 deaths in 2.0, then 30 in 20
    small = Belief(3, 5).after(3, 2.0)
    large = Belief(3, 5).after(30, 20.0)

    assert (small.mean, small.above(1.0)) == pytest.approx((0.857143, 0.300708), abs=1e-6)
    assert (large.mean, large.above(1.0)) == pytest.approx((1.32, 0.928544), abs=1e-6)


def test_a_day_on_deck_gives_the_posterior_of_scipy() -> None:
    belief = Belief(1, 4).after(3, 6)
    theirs = stats.gamma(4, scale=1 / 10)

    assert belief.mean == theirs.mean()
    assert belief.quantile(0.5) == pytest.approx(0.367206, abs=1e-6)
    assert belief.interval(0.90) == pytest.approx((0.136632, 0.775366), abs=1e-6)
    assert belief.interval() == pytest.approx(theirs.interval(0.95), rel=1e-9)


def test_the_chance_of_a_quiet_spell_is_the_negative_binomial_one() -> None:
    assert Belief(3, 6).quiet(2.0) == pytest.approx(0.421875)  # (6/8)^3
    assert Belief(3, 6).quiet(2.0) == pytest.approx(stats.nbinom.pmf(0, 3, 0.75))


@pytest.mark.parametrize(
    ("shape", "hours"), [(0.0, 1.0), (1.0, 0.0), (-1.0, 2.0), (1.0, -math.inf)]
)
def test_a_belief_needs_something_to_start_with(shape: float, hours: float) -> None:
    with pytest.raises(ValueError, match="above 0"):
        Belief(shape, hours)
