"""The mixture beside the sum over every set of sudden changes that a short history allows."""

from itertools import product

import numpy as np
import pytest

from planner.opening.draws import Reference
from planner.opening.evidence import Surface, around, climb, first_inverse, root_of_covariance
from planner.opening.fitting import fit_rows, level_prior
from planner.opening.gaussian import P
from planner.opening.hypers import hyper_prior
from planner.opening.jumps import chance_of_a_change
from planner.opening.priors import PRIORS
from planner.opening.propagation import Setting
from planner.opening.rows import make_rows

REFERENCE = Reference(10.5, 0.59, 8.5)
WANTED = (0.70, 0.95)
POINTS = 100  # sets of hyper-parameters for each set of changes


@pytest.fixture
def rows(reeds):
    """Twenty reeds of four days and two lots; the level of the last day may or may not be new."""
    chance = np.random.default_rng(20)
    day = np.repeat([0, 25, 60, 90], 5)
    opening = 0.78 + 0.08 * (day == 90) + 0.07 * chance.normal(size=20)
    return make_rows(
        reeds(
            20,
            day=np.datetime64("2025-01-01") + day,
            diameter_low=10.5 + 0.25 * chance.integers(-2, 3, 20),
            opening=np.round(opening, 2),
            lot=np.repeat([0, 1], 10),
            lots=("first", "second"),
        ),
        REFERENCE,
        PRIORS,
    )


def test_the_level_is_as_sure_as_all_changes_together_leave_it(rows):
    """Mean within 0.1 of a spread, spread within 6 %: no change is forgotten or counted twice."""
    mean, sd = summed(rows)
    parts = fit_rows(rows, WANTED, PRIORS).components
    own = moments([(p.weight, p.mean[0], p.covariance[0, 0]) for p in parts])
    assert own[0] == pytest.approx(mean, abs=0.1 * sd)
    assert own[1] == pytest.approx(sd, rel=0.06)


def summed(rows) -> tuple[float, float]:
    """Mean and spread of the last level over all sets of changes, each by its evidence."""
    prior = hyper_prior(rows, WANTED, PRIORS)
    level = level_prior(rows, prior, WANTED, PRIORS)
    chance = chance_of_a_change(rows, PRIORS)
    parts = []
    for changes in product((0.0, 1.0), repeat=len(chance)):
        jumps = np.array([0.0, *changes]) * PRIORS.jump_sd**2
        surface = Surface(Setting(rows, PRIORS, level, jumps, np.zeros(3)), prior)
        peak = climb(surface, prior.pack(prior.start), first_inverse(prior, len(rows)))
        volume = np.linalg.slogdet(root_of_covariance(surface, peak))[1]
        height = peak.height + volume + float(np.array(changes) @ np.log(chance))
        for state, weight in around(surface, peak, POINTS):
            parts.append((np.exp(height) * weight, *last_level(state, level.mean)))
    return moments(parts)


def last_level(state, base) -> tuple[float, float]:
    """Mean and variance of the last level under given hyper-parameters. [mm]"""
    steps = state.solution.scale[P:]
    covariance = state.solution.unit_covariance[P:, P:]
    return base + float(steps @ state.solution.unit_mean[P:]), float(steps @ covariance @ steps)


def moments(parts) -> tuple[float, float]:
    """Mean and spread of a mixture of (weight, mean, variance)."""
    weight, mean, variance = np.array(parts).T
    weight = weight / weight.sum()
    middle = float(weight @ mean)
    return middle, float(np.sqrt(weight @ (variance + (mean - middle) ** 2)))
