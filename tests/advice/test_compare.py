"""Comparing rates: closed forms, scipy.stats and published examples; the source stands beside each."""

import pytest
from hypothesis import given, strategies as st
from scipy import stats

from bot.advice.rates import c_test

# whole fractions by hand; the last row is the Fredericia data of R's help(poisson.test)


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


def test_rates_without_hours_cannot_be_compared() -> None:
    with pytest.raises(ValueError, match="hours"):
        c_test(1, 0.0, 1, 4.0)
