"""The rate model against statsmodels, scipy and published Poisson regressions."""

import json
from pathlib import Path

import numpy as np
import pytest
from scipy import optimize, stats

from bot.advice.layout import Array
from bot.advice.model import Gauss, Spells, fit, mix, ready

# Doll and Hill 1966, as in Breslow 1985 and Dobson and Barnett: deaths and person-years of British
# doctors by age (open data, confirmed); rate ratios as in the Stata manual entry [R] poisson.
DOCTORS = (
    (32, 52407, 2, 18790),
    (104, 43248, 12, 10673),
    (206, 28612, 28, 5710),
    (186, 12663, 28, 2585),
    (102, 5317, 31, 1462),
)


def wide(width: int) -> Gauss:
    """Return a start that says next to nothing."""
    return Gauss(np.zeros(width), 1e6 * np.eye(width))


def test_british_doctors_have_the_rate_ratios_of_the_textbook() -> None:
    rows, counts, years = [], [], []
    for age, (smoking, smoker_years, clean, clean_years) in enumerate(DOCTORS):
        for smokes, deaths, person_years in ((1, smoking, smoker_years), (0, clean, clean_years)):
            ages = [float(age == one) for one in range(1, 5)]
            rows.append([1.0, float(smokes), *ages])
            counts.append(float(deaths))
            years.append(float(person_years))

    found = fit(np.array(rows), np.array(counts), np.array(years), ready(wide(6)))

    ratios = np.exp(found.gauss.mean)
    assert ratios[0] == pytest.approx(0.000364, abs=1e-6)
    assert ratios[1:] == pytest.approx(
        [1.425519, 4.410584, 13.839200, 28.516783, 40.451206], rel=2e-4
    )
    assert float(np.sqrt(found.gauss.cov[1, 1])) == pytest.approx(0.107374, abs=2e-5)


def test_a_lure_that_wins_at_every_position_wins_although_the_sums_say_otherwise() -> None:
    # Simpson's paradox with strikes (reference 7.6, made up): A short 6 in 10 h, long 10 in 40;
    # B short 22 in 40, long 2 in 10. Poisson GLM by statsmodels: B against A 0.884114, long 0.398065.
    rows = np.array([[1.0, 0.0, 0.0], [1.0, 0.0, 1.0], [1.0, 1.0, 0.0], [1.0, 1.0, 1.0]])
    counts, hours = np.array([6.0, 10.0, 22.0, 2.0]), np.array([10.0, 40.0, 40.0, 10.0])

    found = fit(rows, counts, hours, ready(wide(3)))

    assert np.exp(found.gauss.mean[1:]) == pytest.approx([0.884114, 0.398065], abs=2e-5)


def test_a_large_record_gives_the_coefficients_of_statsmodels() -> None:
    sm = pytest.importorskip("statsmodels.api")
    source = np.random.default_rng(3)
    rows = np.column_stack([np.ones(4000), source.integers(0, 2, (4000, 6))])
    hours = source.uniform(0.5, 40.0, 4000)
    truth = np.array([-1.6, 0.5, -0.4, 0.3, -0.2, 0.7, 0.1])
    counts = source.poisson(hours * np.exp(rows @ truth)).astype(float)
    theirs = sm.GLM(counts, rows, family=sm.families.Poisson(), exposure=hours).fit()

    start = ready(Gauss(np.zeros(7), np.diag([0.8, 0.6, 0.6, 0.6, 0.6, 0.6, 0.6]) ** 2))
    found = fit(rows, counts, hours, start)

    # issue: same coefficients within 1 % on large data, our start and all
    assert found.gauss.mean == pytest.approx(theirs.params, rel=0.01)
    assert np.sqrt(np.diag(found.gauss.cov)) == pytest.approx(theirs.bse, rel=0.01)


def test_the_peak_is_where_a_general_optimiser_finds_it() -> None:
    source = np.random.default_rng(5)
    rows = source.normal(size=(30, 4))
    hours, counts = source.uniform(0.2, 3.0, 30), source.poisson(0.8, 30).astype(float)
    cov = np.array([[1, 0.3, 0, 0], [0.3, 0.5, 0, 0], [0, 0, 0.2, 0.1], [0, 0, 0.1, 0.4]])
    mean = np.array([-1.0, 0.2, 0.0, -0.3])
    precision = np.linalg.inv(cov)

    def loss(where: Array) -> float:
        rates = hours * np.exp(rows @ where)
        gap = where - mean
        return float(rates.sum() - counts @ (rows @ where) + 0.5 * gap @ precision @ gap)

    theirs = optimize.minimize(loss, mean, method="BFGS", options={"gtol": 1e-8})
    found = fit(rows, counts, hours, ready(Gauss(mean, cov)))

    assert found.gauss.mean == pytest.approx(theirs.x, abs=1e-4)


@pytest.mark.parametrize(("strikes", "hours"), [(40, 160.0), (90, 300.0), (25, 60.0)])
def test_one_rate_alone_is_close_to_the_gamma_posterior(strikes: int, hours: float) -> None:
    # Conjugate case: a flat start on the log rate gives Gamma(strikes, hours); its log has mean
    # digamma(k) - log(t) and variance trigamma(k), Laplace's answer is log(k/t) and 1/k.
    found = fit(np.ones((1, 1)), np.array([float(strikes)]), np.array([hours]), ready(wide(1)))
    exact = stats.gamma(strikes, scale=1 / hours)

    middle = float(np.exp(found.gauss.mean[0]))
    assert middle == pytest.approx(exact.median(), rel=0.02)
    assert float(np.sqrt(found.gauss.cov[0, 0])) == pytest.approx(
        float(np.sqrt(1 / strikes)), rel=0.001
    )
    for share in (0.1, 0.9):
        z = float(stats.norm.ppf(share))
        ours = float(np.exp(found.gauss.mean[0] + z * np.sqrt(found.gauss.cov[0, 0])))
        assert ours == pytest.approx(exact.ppf(share), rel=0.03)


def test_the_evidence_is_the_integral_it_stands_for() -> None:
    # One rate with a Gaussian start on its logarithm, against numerical integration by scipy.
    from scipy import integrate

    mean, sd, strikes, hours = -1.2, 0.7, 6.0, 20.0

    def joint(eta: float) -> float:
        value = stats.norm.pdf(eta, mean, sd) * np.exp(strikes * (eta + np.log(hours)))
        return float(value * np.exp(-hours * np.exp(eta)))

    exact = np.log(integrate.quad(joint, -8, 5)[0])
    found = fit(
        np.ones((1, 1)),
        np.array([strikes]),
        np.array([hours]),
        ready(Gauss(np.array([mean]), np.array([[sd**2]]))),
    )

    assert found.evidence == pytest.approx(exact, abs=0.02)


def test_counts_that_are_far_out_do_not_break_the_fit() -> None:
    start = ready(Gauss(np.array([-2.0]), np.array([[4.0]])))

    found = fit(np.ones((1, 1)), np.array([5000.0]), np.array([0.01]), start)

    assert np.isfinite(found.gauss.mean).all()
    assert found.gauss.mean[0] == pytest.approx(np.log(5000 / 0.01), abs=0.01)


def test_a_mixture_has_the_mean_and_covariance_of_its_draws() -> None:
    parts = (
        Gauss(np.array([0.0, 1.0]), np.array([[1.0, 0.2], [0.2, 0.5]])),
        Gauss(np.array([2.0, -1.0]), np.array([[0.3, 0.0], [0.0, 0.1]])),
    )
    source = np.random.default_rng(9)
    which = source.random(200_000) < 0.25
    draws = np.where(
        which[:, None],
        source.multivariate_normal(parts[0].mean, parts[0].cov, 200_000),
        source.multivariate_normal(parts[1].mean, parts[1].cov, 200_000),
    )

    found = mix(parts, np.array([0.25, 0.75]))

    assert found.mean == pytest.approx(draws.mean(axis=0), abs=0.02)
    assert found.cov == pytest.approx(np.cov(draws.T), abs=0.03)


def test_strikes_in_a_minute_of_water_do_not_throw_the_fit_off() -> None:
    """Full Newton steps leave for e^50 strikes an hour here; the peak is where the slope is nought."""
    held = json.loads((Path(__file__).parent / "thrown_far.json").read_text("utf-8"))
    rows, counts, hours, mean, precision = (
        np.array(held[name]) for name in ("rows", "counts", "hours", "mean", "precision")
    )
    spells = Spells(np.array(held["first"]), np.array(held["number"]), held["apart"])

    found = fit(rows, counts, hours, ready(Gauss(mean, np.linalg.inv(precision))), spells=spells)

    slope = rows.T @ (counts - found.expected) - precision @ (found.gauss.mean - mean)
    assert np.abs(slope).max() < 0.05
    assert found.expected.sum() < 20
