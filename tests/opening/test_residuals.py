"""What each reed was expected to be, and how far it came out beside it."""

import numpy as np
import pytest
from scipy.stats import norm, truncnorm

from planner.opening.draws import Reference
from planner.opening.model import fit_opening
from planner.opening.observations import CLOSED, GOOD, OPEN, UNJUDGED
from planner.opening.priors import PRIORS

REFERENCE = Reference(10.5, 0.59, 8.5)
WANTED = (0.70, 0.95)


@pytest.fixture(scope="module")
def history(reeds):
    """Sixty reeds of five lots: measured, judged, and one of which nothing is known."""
    chance = np.random.default_rng(9)
    diameter = 10.5 + 0.25 * chance.integers(-2, 3, 60)
    opening = 0.82 - 0.25 * (diameter - 10.5) + 0.08 * chance.normal(size=60)
    read = np.arange(60) % 2 == 0
    verdict = np.where(read, UNJUDGED, np.digitize(opening, WANTED) - 1).astype(np.int8)
    verdict[7] = UNJUDGED
    return reeds(
        60,
        diameter_low=diameter,
        opening=np.where(read, np.round(opening, 2), np.nan),
        verdict=verdict,
        lot=np.arange(60) // 12,
        lots=("a", "b", "c", "d", "e"),
    )


@pytest.fixture(scope="module")
def fit(history):
    """The model fitted to them."""
    return fit_opening(history, reference=REFERENCE, wanted=WANTED)


def test_a_measured_reed_is_held_against_what_was_expected(history, fit):
    """Opening less expectation, in its place."""
    found, read = fit.residuals, np.isfinite(history.opening)
    assert found.residual[read] == pytest.approx((history.opening - found.expected)[read])
    assert abs(np.mean(found.residual[read] / found.spread[read])) < 0.3


@pytest.mark.parametrize(
    ("verdict", "low", "high"),
    [(CLOSED, -np.inf, 0.70), (GOOD, 0.70, 0.95), (OPEN, 0.95, np.inf)],
)
def test_a_verdict_leaves_a_mean_by_scipy(history, fit, verdict, low, high):
    """The mean of a cut normal distribution; a mistaken verdict, any of three, says nothing."""
    found = fit.residuals
    told = np.flatnonzero((history.verdict == verdict) & np.isnan(history.opening))
    assert len(told)
    for i in told:
        mean, sd = found.expected[i], found.spread[i]
        ends = (low - mean) / sd, (high - mean) / sd
        meant = (1 - PRIORS.mistake) * (norm.cdf(ends[1]) - norm.cdf(ends[0]))
        cut = sd * truncnorm.mean(*ends) * meant / (meant + PRIORS.mistake / 3)
        assert found.residual[i] == pytest.approx(cut, abs=1e-8)


def test_a_reed_that_says_nothing_has_no_residual(fit):
    """The eighth: neither opening nor verdict."""
    assert np.flatnonzero(np.isnan(fit.residuals.expected)).tolist() == [7]


def test_the_expectation_is_the_sum_of_its_parts(history, fit):
    """Level of the time, offset of the lot and the effect of the diameter.

    The effect is that of the best hyper-parameters, so only what all reeds of one diameter have in
    common is compared: two reeds of one day's level differ by their lots alone.
    """
    found = fit.residuals
    rest = found.expected - found.level - found.lot
    usual = (history.diameter_low == 10.5) & np.isfinite(rest)
    assert rest[usual] == pytest.approx(np.zeros(usual.sum()), abs=1e-9)
    for diameter in np.unique(history.diameter_low):
        same = (history.diameter_low == diameter) & np.isfinite(rest)
        assert np.ptp(rest[same]) < 1e-9
    assert len(np.unique(np.round(found.lot[np.isfinite(found.lot)], 9))) == 5
