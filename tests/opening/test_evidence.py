"""Hyper-parameters by evidence: slopes by differences, averages by numeric integration."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import invgamma, multivariate_normal

from planner.opening.draws import Reference
from planner.opening.evidence import (
    Surface,
    around,
    climb,
    first_inverse,
    normal_points,
    standing_points,
)
from planner.opening.fitting import fit_rows, level_prior
from planner.opening.hypers import hyper_prior
from planner.opening.observations import UNJUDGED
from planner.opening.posterior import Posterior
from planner.opening.priors import PRIORS, InverseGamma
from planner.opening.propagation import Setting
from planner.opening.rows import make_rows

REFERENCE = Reference(10.5, 0.59, 8.5)
WANTED = (0.70, 0.95)


@pytest.fixture(scope="module")
def surface(reeds):
    """Forty reeds read, judged or both, of four lots; every hyper-parameter is asked."""
    chance = np.random.default_rng(5)
    opening = 0.82 + 0.1 * chance.normal(size=40)
    read = np.arange(40) % 3 != 0
    seen = reeds(
        40,
        day=np.datetime64("2025-01-01") + np.sort(chance.integers(0, 200, 40)),
        diameter_low=10.5 + 0.25 * chance.integers(-2, 3, 40),
        moisture=8.5 + chance.normal(size=40),
        opening=np.where(read, np.round(opening, 2), np.nan),
        verdict=np.where(np.arange(40) % 3 == 1, UNJUDGED, np.digitize(opening, WANTED) - 1).astype(
            np.int8
        ),
        lot=np.arange(40) // 10,
        lots=("a", "b", "c", "d"),
    )
    rows = make_rows(seen, REFERENCE, PRIORS)
    prior = hyper_prior(rows, WANTED, PRIORS)
    nothing, squares = np.zeros(len(rows.block_day)), np.zeros(3)
    level = level_prior(rows, prior, WANTED, PRIORS)
    return Surface(Setting(rows, PRIORS, level, nothing, squares), prior)


@pytest.mark.parametrize(
    ("noted", "wander_limit"),
    [(1.0, PRIORS.wander_limit), (0.5, PRIORS.wander_limit), (1.0, 0.0026)],
)
def test_the_gradient_is_that_of_the_height(surface, noted, wander_limit):
    """Central differences by all six, away from the top; every lot noted, or half of them.

    Without slips of the pen: a row that may be one pulls with a site that is held to be normal, and
    leaves the slopes inexact by some tenths of a logarithm. A low limit of the wandering is reached
    within a week, and beyond it a looser one changes nothing.
    """
    rows = surface.setting.rows
    rows = replace(rows, lot=np.where(np.arange(len(rows)) % 10 < 10 * noted, rows.lot, -1))
    priors = replace(PRIORS, mistake=0.0, wander_limit=wander_limit)
    exact = Surface(replace(surface.setting, rows=rows, priors=priors), surface.prior)
    vector = exact.prior.pack(exact.prior.start) + 0.1
    assert len(vector) == 6
    _, _, gradient = exact.at(vector)
    for i in range(6):
        nudge = np.zeros(6)
        nudge[i] = 0.02 if exact.prior.active[i] != "middle" else 0.002
        rise = exact.at(vector + nudge)[1] - exact.at(vector - nudge)[1]
        assert gradient[i] == pytest.approx(rise / (2 * nudge[i]), rel=2e-3, abs=0.01)


def test_the_top_is_level(surface):
    """Where the search ends, no step of a tenth leads higher by more than it stops at."""
    peak = climb(surface, surface.prior.pack(surface.prior.start), first_inverse(surface.prior, 40))
    assert peak.found
    for i in range(6):
        for sign in (-1, 1):
            nudge = np.zeros(6)
            nudge[i] = sign * (0.1 if surface.prior.active[i] != "middle" else 0.01)
            assert surface.at(peak.vector + nudge)[1] < peak.height + 0.03


def test_states_about_the_top_weigh_evenly_where_it_is_round(surface):
    """No set of hyper-parameters outweighs all others: half as many as there are, at least."""
    peak = climb(surface, surface.prior.pack(surface.prior.start), first_inverse(surface.prior, 40))
    weight = np.array([w for _, w in around(surface, peak, 24)])
    assert len(weight) == 24
    assert weight.sum() ** 2 / np.sum(weight**2) > 12


def test_one_state_alone_is_that_of_the_top(surface):
    """Where one must do, it is the likeliest, not one beside it."""
    peak = climb(surface, surface.prior.pack(surface.prior.start), first_inverse(surface.prior, 40))
    assert list(around(surface, peak, 1)) == [(peak.state, 1.0)]


def test_points_are_those_of_a_standard_normal_distribution():
    """Means of nought, spreads of one, axes no more alike than by chance (three in root 400)."""
    points = normal_points(400, 6)
    assert points.mean(axis=0) == pytest.approx(np.zeros(6), abs=0.03)
    assert points.std(axis=0) == pytest.approx(np.ones(6), abs=0.04)
    assert np.abs(np.corrcoef(points.T) - np.eye(6)).max() < 3 / 20


def test_the_average_over_the_noise_is_the_integral(reeds):
    """Eight openings of one day: noise alone is asked, and is integrated over a fine grid.

    The marginal density of the openings under a noise is one normal density.
    """
    priors = replace(PRIORS, mistake=0.0)
    chance = np.random.default_rng(6)
    seen = reeds(
        8,
        day=np.full(8, np.datetime64("2025-01-01")),
        diameter_low=10.5 + 0.25 * np.array([-2, -1, 0, 0, 1, 1, 2, 2]),
        opening=0.8 + 0.1 * chance.normal(size=8),
    )
    rows = make_rows(seen, REFERENCE, priors)
    fitted = fit_rows(rows, WANTED, priors)
    lot = fitted.prior.start.lot
    assert fitted.prior.active == ("noise",)
    mean, sd = Posterior(REFERENCE, fitted.components, WANTED, 0.1, None).moments()

    noise = np.exp(np.linspace(np.log(0.02), np.log(0.4), 600))
    x, y = np.column_stack([np.ones(8), rows.x[:, 0]]), rows.opening
    prior_mean = np.array([0.825, priors.diameter.mean])
    prior_covariance = np.diag([priors.level_about_range**2, priors.diameter.sd**2])
    weight, first, second = np.empty(600), np.empty((600, 2)), np.empty((600, 2))
    for k, s in enumerate(noise):
        inner = x @ prior_covariance @ x.T + (s**2 + lot**2) * np.eye(8)
        density = multivariate_normal(x @ prior_mean, inner).pdf(y)
        weight[k] = (
            density * s**2 * invgamma.pdf(s**2, priors.noise.shape, scale=priors.noise.scale)
        )
        gain = prior_covariance @ x.T @ np.linalg.inv(inner)
        first[k] = prior_mean + gain @ (y - x @ prior_mean)
        second[k] = np.diag(prior_covariance - gain @ x @ prior_covariance)
    weight /= weight.sum()
    exact = weight @ first
    spread = np.sqrt(weight @ (second + (first - exact) ** 2))
    assert mean[:2] == pytest.approx(exact, abs=0.01 * spread.max())
    assert sd[:2] == pytest.approx(spread, rel=0.03)
    own = sum(part.weight * part.spread for part in fitted.components)
    assert own == pytest.approx(weight @ np.hypot(noise, lot), rel=0.02)


def test_a_conjugate_regression_of_hoff(reeds):
    """P. D. Hoff, *A First Course in Bayesian Statistical Methods*, 2009, chapter 9: oxygen uptake.

    Twelve people, uptake on group, age and their product; data and the least-squares estimates
    -51.2939, 13.1071, 2.0947, -0.3182 with s² 8.5425 from memory. With flat priors of the effects
    and an inverse gamma one of the variance the posterior has a closed form (ibid.): means as least
    squares, the variance again inverse gamma with n/2 less half the effects more, and the effects
    Student's t. The figures are put into a hundredth, to look like openings.
    """
    uptake = np.array(
        [-0.87, -10.74, -3.27, -1.97, 7.50, -7.25, 17.05, 4.96, 10.40, 11.05, 0.26, 2.51]
    )
    group = np.repeat([0.0, 1.0], 6)
    age = np.array([23, 22, 22, 25, 27, 20, 31, 23, 27, 28, 22, 24.0])
    flat = replace(
        PRIORS,
        level=replace(PRIORS.level, sd=1e3),
        diameter=replace(PRIORS.diameter, sd=1e3),
        gouge=replace(PRIORS.gouge, sd=1e3),
        moisture=replace(PRIORS.moisture, sd=1e3),
        noise=InverseGamma(0.5, 0.5 * 8.5425e-4),
        lot=replace(PRIORS.lot, mean=-20.0),
        mistake=0.0,
    )
    seen = reeds(
        12,
        day=np.full(12, np.datetime64("2025-01-01")),
        diameter_low=10.5 + group,
        gouge=0.59 + age,
        moisture=8.5 + group * age,
        opening=1.0 + uptake / 100,
    )
    fitted = fit_rows(make_rows(seen, REFERENCE, flat), (None, None), flat)
    mean, sd = Posterior(REFERENCE, fitted.components, WANTED, 0.1, None).moments()
    found = 100 * (mean[:4] - [1.0, 0, 0, 0])
    assert found == pytest.approx([-51.2939, 13.1071, 2.0947, -0.3182], abs=1e-4)

    x = np.column_stack([np.ones(12), group, age, group * age])
    shape, scale = 0.5 + (12 - 4) / 2, 0.5 * 8.5425 + (12 - 4) * 8.5425 / 2
    variance = scale / (shape - 1)
    closed = np.sqrt(variance * np.diag(np.linalg.inv(x.T @ x)))
    assert 100 * sd[:4] == pytest.approx(closed, rel=0.05)
    own = sum(part.weight * (100 * part.spread) ** 2 for part in fitted.components)
    assert own == pytest.approx(variance, rel=0.1)


def test_standing_points_have_the_mean_and_covariance_they_stand_for():
    """To the last digits, however few; their tails reach no less far than evenly spread ones."""
    for count, dimensions in ((24, 3), (48, 6), (24, 5)):
        points = standing_points(count, dimensions)
        assert points.shape == (count, dimensions)
        assert np.allclose(points.mean(axis=0), 0.0, atol=1e-12)
        assert np.allclose(points.T @ points / count, np.eye(dimensions), atol=1e-12)
    few = standing_points(8, 5)  # too few to be drawn apart: taken as they are
    assert np.isfinite(few).all()
    assert np.allclose(few.mean(axis=0), 0.0, atol=1e-12)
