"""The mixture that is drawn from: moments, draws, the empty history, and being kept."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from scipy.stats import invgamma

from planner.opening.draws import Reference
from planner.opening.model import OpeningFit, fit_opening
from planner.opening.observations import Observations
from planner.opening.posterior import Component, Posterior
from planner.opening.priors import PRIORS
from planner.store.frozen import from_text, to_text

REFERENCE = Reference(10.5, 0.59, 8.5)
WANTED = (0.70, 0.95)


def part(weight, mean, sd, *, spread=0.08, middle=0.8):
    """A component with independent unknowns."""
    mean, covariance = np.array(mean, dtype=float), np.diag(np.square(sd))
    return Component(weight, mean, covariance, spread, 0.001, middle, 0.2)


@pytest.fixture(scope="module")
def mixture():
    """Two components, the second a third as likely and apart from the first."""
    first = part(0.75, [0.8, -0.2, 2.0, 0.02, -0.2], [0.05, 0.1, 1.0, 0.01, 0.1])
    second = part(
        0.25, [0.9, -0.1, 3.0, 0.01, -0.2], [0.02, 0.1, 2.0, 0.01, 0.1], spread=0.1, middle=0.9
    )
    return Posterior(REFERENCE, (first, second), (None, 0.95), 0.1, "2025-06-01")


def test_moments_are_those_of_a_mixture(mixture):
    """By hand for the level: mean 0.825, variance within and between."""
    mean, sd = mixture.moments()
    assert mean[0] == pytest.approx(0.825)
    within = 0.75 * 0.05**2 + 0.25 * 0.02**2
    between = 0.75 * 0.025**2 + 0.25 * 0.075**2
    assert sd[0] == pytest.approx(np.sqrt(within + between))


def test_draws_have_the_moments_of_the_mixture(mixture):
    """Each component in proportion to its weight, to a draw."""
    draws = mixture.draws(2000, 3)
    mean, sd = mixture.moments()
    for i, name in enumerate(("level", "diameter", "gouge", "moisture")):
        values = getattr(draws, name)
        assert values.mean() == pytest.approx(mean[i], abs=0.03 * sd[i])
        assert values.std() == pytest.approx(sd[i], rel=0.03)
    assert (draws.spread == 0.1).sum() == pytest.approx(500, abs=1)


def test_a_limit_that_is_set_holds_and_the_other_is_learned(mixture):
    """The lower limit by each component's middle and width, the upper as set."""
    draws = mixture.draws(100, 0)
    assert set(np.round(draws.low, 6)) == {0.7, 0.8}
    assert set(draws.high) == {0.95}


def test_draws_are_those_of_their_seed(mixture):
    """The same seed the same draws, another seed others."""
    one, same, other = (mixture.draws(50, seed).level for seed in (1, 1, 2))
    assert np.array_equal(one, same)
    assert not np.array_equal(one, other)


def test_without_reeds_the_prior_comes_back():
    """Means and spreads of every effect as believed before the first reed."""
    fit = fit_opening(Observations.none(), reference=REFERENCE, wanted=WANTED)
    mean, sd = fit.posterior.moments()
    for i, name in enumerate(("diameter", "gouge", "moisture", "dry"), start=1):
        normal = getattr(PRIORS, name)
        assert (mean[i], sd[i]) == pytest.approx((normal.mean, normal.sd), rel=1e-6)
    assert (mean[0], sd[0]) == pytest.approx((0.825, PRIORS.level_about_range), rel=1e-6)
    assert fit.grade == "none"
    assert all(effect.from_history < 1e-9 for effect in fit.effects)


def test_the_priors_spread_as_is_said_of_them():
    """The figures of their own description: from a tenth to nine tenths, or "seldom over" that."""
    noise = invgamma(PRIORS.noise.shape, scale=PRIORS.noise.scale)
    spread = np.sqrt(noise.ppf([0.05, 0.5, 0.95]))
    assert spread == pytest.approx([0.055, 0.08, 0.11], abs=0.005)
    for prior, unit, usual, seldom in (
        (PRIORS.lot, 1.0, 0.03, 0.065),
        (PRIORS.wander, np.sqrt(365), 0.02, 0.04),
        (PRIORS.judgement, 1.0, 0.02, 0.04),
        (PRIORS.range_width, 1.0, 0.25, 0.33),
    ):
        known = unit * np.exp(prior.mean + prior.sd * np.array([0.0, 1.28]))
        assert known == pytest.approx([usual, seldom], rel=0.05)
    assert PRIORS.mistake_span == pytest.approx(1.2 - 0.4)


def test_without_range_and_verdict_a_range_about_the_makers_openings_is_taken(reeds):
    """Reeds about 1.0 mm: as wide a range as is usual about them, the same in every draw."""
    opening = np.round(1.0 + 0.06 * np.sin(np.arange(30)), 2)
    fit = fit_opening(reeds(30, opening=opening), reference=REFERENCE, wanted=(None, None))
    low, high = set(fit.draws().low), set(fit.draws().high)
    assert len(low) == len(high) == 1
    (low,), (high,) = low, high
    assert (low + high) / 2 == pytest.approx(1.0, abs=0.02)
    assert high - low == pytest.approx(np.exp(PRIORS.range_width.mean))
    assert any(f"{low:.2f} to {high:.2f} mm is taken for it" in note for note in fit.notes)


def test_without_range_verdicts_teach_one(reeds):
    """Called good from 0.90 to 1.10 mm, over and over: learned near it, and not to the last bit."""
    opening = np.round(np.random.default_rng(3).uniform(0.75, 1.25, 120), 2)
    verdict = (np.digitize(opening, [0.90, 1.10]) - 1).astype(np.int8)
    seen = reeds(120, opening=opening, verdict=verdict)
    draws = fit_opening(seen, reference=REFERENCE, wanted=(None, None)).draws()
    assert (draws.low.mean(), draws.high.mean()) == pytest.approx((0.90, 1.10), abs=0.02)
    assert 0.0 < draws.low.std() < 0.02


@pytest.fixture(scope="module")
def fit(reeds):
    """Thirty reeds, fitted."""
    chance = np.random.default_rng(1)
    diameter = 10.5 + 0.25 * chance.integers(-2, 3, 30)
    opening = 0.82 - 0.2 * (diameter - 10.5) + 0.07 * chance.normal(size=30)
    return fit_opening(
        reeds(30, diameter_low=diameter, opening=np.round(opening, 2)),
        reference=REFERENCE,
        wanted=WANTED,
    )


def test_a_kept_fit_comes_back_whole(fit):
    """As text: the same draws, words and residuals."""
    again = from_text(OpeningFit, to_text(fit))
    assert np.array_equal(again.draws().level, fit.draws().level)
    assert np.array_equal(again.residuals.expected, fit.residuals.expected)
    for name in ("effects", "grade", "grade_why", "notes", "trials"):
        assert getattr(again, name) == getattr(fit, name)


def test_later_reeds_are_not_looked_at(reeds):
    """As of a day: the fit to the first ten reeds alone, to the last figure."""
    seen = reeds(20, opening=np.round(0.8 + 0.01 * np.arange(20), 2))
    day = date(2025, 3, 12)  # the tenth
    whole = fit_opening(seen, reference=REFERENCE, wanted=WANTED, as_of=day)
    first = fit_opening(seen.at(np.arange(10)), reference=REFERENCE, wanted=WANTED)
    assert np.array_equal(whole.draws().level, first.draws().level)
    assert whole.posterior.last_day == "2025-03-12"
    assert np.isnan(whole.residuals.expected[10:]).all()
    assert "10 reeds judged later are not used." in whole.notes


def test_an_empty_range_is_refused(reeds):
    """The lower limit comes first."""
    with pytest.raises(ValueError, match="the lower limit comes first"):
        fit_opening(reeds(0), reference=REFERENCE, wanted=(0.9, 0.7))


def test_an_order_of_reeds_is_picked_by_index_or_mask(reeds):
    """Every array alike, the names of the lots as they were."""
    seen = replace(reeds(4, opening=np.array([0.1, 0.2, 0.3, 0.4])), lots=("a",))
    assert seen.at(np.array([3, 0])).opening.tolist() == [0.4, 0.1]
    assert len(seen.at(seen.opening > 0.15)) == 3
    assert seen.at(np.array([0])).lots == ("a",)
