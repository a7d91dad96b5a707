"""The drawn futures against the percentile bootstrap of scipy, and against arithmetic."""

import pytest

from buildbook.ledger.forecast import QUANTILES, finish_weeks, quantiles
from buildbook.ledger.left import STEADY, Basis, StepLeft

np = pytest.importorskip("numpy")
bootstrap = pytest.importorskip("scipy.stats").bootstrap

WEEKS = (426, 416, 335, 376, 0, 365, 265, 75, 0, 195, 435, 540, 160)
RATIOS = (1.53, 1.39, 1.2, 0.83, 1.27, 1.25, 1.09, 1.07, 0.81, 1.2, 0.93, 0.75, 1.36)


def interval(values):
    """Quantiles of the mean, by scipy."""
    made = bootstrap(
        (np.array(values, float),),
        np.mean,
        n_resamples=20_000,
        confidence_level=QUANTILES[2] - QUANTILES[0],
        method="percentile",
        rng=np.random.default_rng(20250308),
    )
    return np.quantile(made.bootstrap_distribution, QUANTILES)


def test_mean_week():
    """Over a long future the count of weeks is the work over the mean of the weeks drawn.

    Half as many weeks are drawn as are given, so that a record that says everything twice draws
    as many as it says once. The work is one step whose ratio hardly varies.
    """
    ratios = (1.0,) * 1000
    need = 900 * sum(WEEKS) / len(WEEKS) / 2
    step = StepLeft("a/b", Basis.PIECES, round(need), 0, 0)
    counts = finish_weeks(WEEKS * 2, ratios, 1.0, (step,), (1,), resamples=2000)[0]
    slow, middle, quick = interval(WEEKS)
    assert counts == pytest.approx((need / quick, need / middle, need / slow), rel=0.03)


def test_mean_ratio():
    """Many equal steps take the mean of the ratios drawn: here a minute of work a week."""
    steps = tuple(StepLeft(f"a/{n}", Basis.PIECES, 1, 0, 0) for n in range(600))
    counts = finish_weeks((1,) * 26, RATIOS, 1.0, steps, (600,), resamples=3000)[0]
    expected = 600 * interval((*RATIOS, *STEADY))
    assert counts == pytest.approx(expected, rel=0.015)


def test_steady_weeks_are_plain_division():
    """300 min a week and 1,500 min of work without doubt about it: five weeks."""
    step = StepLeft("a/b", Basis.PIECES, 1500, 0, 0)
    assert finish_weeks((300,) * 26, (1.0,) * 200, 1.0, (step,), (1,), resamples=500) == [(5, 5, 5)]


@pytest.mark.parametrize("size", [1, 2, 9, 10, 11, 99, 100])
def test_quantiles_are_the_inverse_of_the_counted_shares(size):
    values = [(7 * n) % 31 for n in range(size)]
    assert quantiles(values) == tuple(np.quantile(values, QUANTILES, method="inverted_cdf"))
