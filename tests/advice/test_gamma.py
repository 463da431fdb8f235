"""The incomplete gamma function and its inverse against scipy (Cephes, Boost: other code than ours)."""

import math

import pytest
from scipy import special

from bot.advice.gamma import above, below, quantile, upper_quantile

SHAPES = (0.1, 0.5, 1.0, 2.0, 3.5, 8.0, 30.0, 250.0, 4e3, 1e5)
SHARES = (1e-9, 0.001, 0.025, 0.3, 0.5, 0.9, 0.975, 0.9999)


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("times", [0.01, 0.3, 0.8, 1.0, 1.02, 1.3, 3.0])
def test_both_tails_are_those_of_scipy(shape: float, times: float) -> None:
    x = shape * times
    assert below(shape, x) == pytest.approx(special.gammainc(shape, x), rel=1e-9, abs=1e-14)
    assert above(shape, x) == pytest.approx(special.gammaincc(shape, x), rel=1e-9, abs=1e-14)


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("share", SHARES)
def test_quantiles_are_those_of_scipy(shape: float, share: float) -> None:
    assert quantile(shape, share) == pytest.approx(special.gammaincinv(shape, share), rel=1e-8)
    upper = special.gammainccinv(shape, share)
    assert upper_quantile(shape, share) == pytest.approx(upper, rel=1e-8)


def test_the_ends_are_nothing_and_beyond_all() -> None:
    assert quantile(2.0, 0.0) == 0.0
    assert quantile(2.0, 1.0) == math.inf
    assert below(2.0, 0.0) == 0.0
    assert above(2.0, math.inf) == 0.0


@pytest.mark.parametrize(("shape", "share"), [(0.0, 0.5), (-1.0, 0.5), (1.0, -0.1), (1.0, 1.1)])
def test_what_is_no_gamma_variable_is_refused(shape: float, share: float) -> None:
    with pytest.raises(ValueError, match="gamma quantile"):
        quantile(shape, share)
