"""Comparing rates: closed forms, scipy.stats and published examples; the source stands beside each."""

from math import exp, lgamma, log

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from bot.advice.compare import c_test, chance_better, chances_best, ratio, ratio_interval
from bot.advice.rates import Belief

# whole fractions by hand; the last row is the Fredericia data of R's help(poisson.test)
BETTER = (
    (1, 1, 1, 1, 0.5),
    (5, 10, 2, 10, 57 / 64),
    (4, 6, 1, 6, 15 / 16),
    (3, 4, 3, 8, 64 / 81),
    (3, 1, 1, 2, 26 / 27),
    (11, 800, 21, 3011, 0.954970881),
)


@pytest.mark.parametrize(("a1", "b1", "a2", "b2", "chance"), BETTER)
def test_the_chance_of_the_better_rate_is_that_of_the_table(
    a1: float, b1: float, a2: float, b2: float, chance: float
) -> None:
    assert chance_better(Belief(a1, b1), Belief(a2, b2)) == pytest.approx(chance, abs=1e-9)


def miller(a1: int, b1: float, a2: int, b2: float) -> float:
    """E. Miller, "Bayesian A/B testing of count data" (2014): closed form for whole shapes."""

    def log_beta(x: float, y: float) -> float:
        return lgamma(x) + lgamma(y) - lgamma(x + y)

    return sum(
        exp(
            k * log(b1) + a2 * log(b2) - (k + a2) * log(b1 + b2) - log(k + a2) - log_beta(k + 1, a2)
        )
        for k in range(a1)
    )


@given(st.integers(1, 40), st.floats(0.1, 300), st.integers(1, 40), st.floats(0.1, 300))
def test_the_chance_of_the_better_rate_is_millers_closed_form(
    a1: int, b1: float, a2: int, b2: float
) -> None:
    ours = chance_better(Belief(a1, b1), Belief(a2, b2))

    assert ours == pytest.approx(miller(a1, b1, a2, b2), abs=1e-9)


@given(st.floats(0.2, 60), st.floats(0.1, 300), st.floats(0.2, 60), st.floats(0.1, 300))
def test_one_of_two_rates_is_the_better_one(a1: float, b1: float, a2: float, b2: float) -> None:
    one, other = Belief(a1, b1), Belief(a2, b2)

    assert chance_better(one, other) + chance_better(other, one) == pytest.approx(1.0, abs=1e-9)


def test_the_best_of_three_is_the_integral() -> None:
    # numeric integral with scipy.integrate.quad, reference values; sums to 1
    found = chances_best([Belief(5, 10), Belief(3, 10), Belief(1, 5)])

    assert found == pytest.approx((0.697046, 0.198042, 0.104912), abs=2e-5)


def test_the_best_of_two_is_the_better_one() -> None:
    one, other = Belief(4, 6), Belief(1, 6)

    assert chances_best([one, other])[0] == pytest.approx(15 / 16, abs=1e-5)


def test_the_best_of_four_agrees_with_draws_of_numpy() -> None:
    beliefs = [Belief(2, 8), Belief(5, 11), Belief(1, 3), Belief(9, 40)]
    draws = 40_000
    source = np.random.default_rng(11)
    rates = np.stack([source.gamma(b.shape, 1 / b.hours, draws) for b in beliefs])
    wins = np.bincount(rates.argmax(axis=0), minlength=4) / draws

    for share, chance in zip(wins, chances_best(beliefs), strict=True):
        assert share == pytest.approx(chance, abs=4 * (chance * (1 - chance) / draws) ** 0.5)


@pytest.mark.parametrize(
    ("k1", "t1", "k2", "t2", "p"),
    [
        (11, 800, 21, 3011, 0.0796686),  # R, help(poisson.test), Fredericia; output recomputed
        (5, 10, 2, 10, 0.453125),  # by hand: 58/128
        (8, 12, 2, 12, 0.109375),  # by hand: 112/1024
        (4, 6, 1, 12, 0.0453),  # by hand: 11/243
    ],
)
def test_the_conditional_test_gives_the_known_p(
    k1: int, t1: float, k2: int, t2: float, p: float
) -> None:
    assert c_test(k1, t1, k2, t2) == pytest.approx(p, abs=4e-5)


@given(st.integers(0, 60), st.floats(0.5, 200), st.integers(0, 60), st.floats(0.5, 200))
def test_the_conditional_test_is_the_binomial_one_of_scipy(
    k1: int, t1: float, k2: int, t2: float
) -> None:
    if k1 + k2 == 0:
        assert c_test(k1, t1, k2, t2) == 1.0
        return
    theirs = stats.binomtest(k1, k1 + k2, t1 / (t1 + t2)).pvalue

    assert c_test(k1, t1, k2, t2) == pytest.approx(theirs, rel=1e-6, abs=1e-12)


def test_the_ratio_of_two_rates_has_the_interval_of_the_r_help_page() -> None:
    # R, help(poisson.test): ratio 1.971488, 95 % 0.858426 to 4.277266; output recomputed
    assert ratio(11, 800, 21, 3011) == pytest.approx(1.971488, abs=1e-6)
    assert ratio_interval(11, 800, 21, 3011) == pytest.approx((0.858426, 4.277266), abs=1e-6)


def test_a_ratio_to_nothing_is_unknown() -> None:
    assert ratio(3, 4.0, 0, 5.0) is None
    assert ratio_interval(3, 4.0, 0, 5.0).high == float("inf")
    assert ratio_interval(0, 4.0, 3, 5.0).low == 0.0


def test_rates_without_hours_cannot_be_compared() -> None:
    with pytest.raises(ValueError, match="hours"):
        c_test(1, 0.0, 1, 4.0)
