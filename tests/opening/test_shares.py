"""Shares and quantiles of coming reeds against the normal distribution itself."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.stats import norm

from planner.opening.draws import EffectDraws, Reference
from planner.opening.shares import (
    mixture_quantiles,
    opening_moments,
    opening_quantiles,
    paired,
    reed_sd,
    share_in_range,
    share_samples,
)

MEMBERS = 60


@pytest.fixture(scope="module")
def draws():
    """Sixty draws, all unlike."""
    chance = np.random.default_rng(3)
    return EffectDraws(
        Reference(10.5, 0.59, 8.5),
        level=chance.normal(0.8, 0.05, MEMBERS),
        diameter=chance.normal(-0.2, 0.1, MEMBERS),
        gouge=chance.normal(2.0, 2.0, MEMBERS),
        moisture=chance.normal(0.02, 0.01, MEMBERS),
        spread=chance.uniform(0.06, 0.12, MEMBERS),
        wander=np.full(MEMBERS, 0.004),
        wander_limit=0.05,
        low=chance.normal(0.7, 0.01, MEMBERS),
        high=chance.normal(0.95, 0.01, MEMBERS),
    )


@pytest.fixture(scope="module")
def moisture():
    """Three weeks, a member a draw."""
    return np.random.default_rng(4).normal([7.0, 8.5, 10.0], 0.5, (MEMBERS, 3))


DAYS = np.array([0.0, 30.0, 1000.0])


def exact(draws, k, diameter, gouge, moisture, days):
    """Share, mean and spread of one draw by the formula of the draws."""
    mean = draws.level[k] + draws.diameter[k] * (diameter - 10.5)
    mean += draws.gouge[k] * (gouge - 0.59) + draws.moisture[k] * (moisture - 8.5)
    sd = np.sqrt(draws.spread[k] ** 2 + min(0.004**2 * days, 0.05**2))
    share = norm.cdf(draws.high[k], mean, sd) - norm.cdf(draws.low[k], mean, sd)
    return share, mean, sd


def test_the_share_of_every_choice_and_week(draws, moisture):
    """Draw by draw, one choice after the other; within 0.00004, twice the approximation's."""
    diameter, gouge = np.array([9.6, 10.5, 11.3]), np.array([0.57, 0.60])
    found = share_in_range(draws, diameter, gouge, moisture, DAYS)
    assert found.shape == (3, 3, 2)
    for w in range(3):
        for i, d in enumerate(diameter):
            for j, g in enumerate(gouge):
                shares = [exact(draws, k, d, g, moisture[k, w], DAYS[w])[0] for k in range(MEMBERS)]
                assert found[w, i, j] == pytest.approx(np.mean(shares), abs=4e-5)


def test_the_share_of_each_member(draws, moisture):
    """One choice a week."""
    diameter, gouge = np.array([10.0, 10.5, 11.0]), np.array([0.59, 0.58, 0.60])
    found = share_samples(draws, diameter, gouge, moisture, DAYS)
    for k in (0, 17, 59):
        for w in range(3):
            share = exact(draws, k, diameter[w], gouge[w], moisture[k, w], DAYS[w])[0]
            assert found[k, w] == pytest.approx(share, abs=4e-5)


def test_the_quantiles_of_a_coming_reed(draws, moisture):
    """The roots of the mixture's distribution function, by scipy."""
    levels = np.array([0.1, 0.5, 0.9])
    found = opening_quantiles(draws, np.full(3, 10.2), np.full(3, 0.59), moisture, DAYS, levels)
    mean, sd = opening_moments(draws, np.full(3, 10.2), np.full(3, 0.59), moisture, DAYS)
    for w in range(3):
        for i, level in enumerate(levels):
            root = brentq(
                lambda x, w=w, level=level: norm.cdf(x, mean[:, w], sd[:, w]).mean() - level, 0, 2
            )
            assert found[i, w] == pytest.approx(root, abs=5e-5)


def test_quantiles_of_one_normal_distribution():
    """A single member."""
    found = mixture_quantiles(np.array([[0.8]]), np.array([[0.1]]), np.array([0.025, 0.5]))
    assert found[:, 0] == pytest.approx([0.8 - 0.195996, 0.8], abs=1e-4)


def test_the_level_wanders_up_to_its_limit(draws):
    """After 30 days by 0.004 mm a root of a day, after years by 0.05 mm and no more."""
    sd = reed_sd(draws, np.array([-5.0, 0.0, 30.0, 1000.0]))
    assert sd[:, 0] == pytest.approx(draws.spread)
    assert sd[:, 2] ** 2 - draws.spread**2 == pytest.approx(np.full(MEMBERS, 30 * 0.004**2))
    assert sd[:, 3] ** 2 - draws.spread**2 == pytest.approx(np.full(MEMBERS, 0.05**2))


def test_members_take_draws_in_turn(draws):
    """More members than draws begin again; fewer take the first."""
    assert paired(draws, 130).level[[0, 60, 129]] == pytest.approx(draws.level[[0, 0, 9]])
    assert len(paired(draws, 7)) == 7
    assert paired(draws, MEMBERS) is draws


def test_a_range_that_holds_everything_holds_every_reed(draws, moisture):
    """From nothing to three mm."""
    wide = replace(draws, low=np.zeros(MEMBERS), high=np.full(MEMBERS, 3.0))
    found = share_in_range(wide, np.array([10.5]), np.array([0.59]), moisture, DAYS)
    assert found == pytest.approx(np.ones((3, 1, 1)), abs=2e-5)
