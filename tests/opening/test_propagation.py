"""Expectation propagation: exact where the truth is normal, near numeric integration elsewhere."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import multivariate_normal, norm

from planner.opening import propagation
from planner.opening.draws import Reference
from planner.opening.fitting import level_prior
from planner.opening.hypers import hyper_prior
from planner.opening.observations import CLOSED, GOOD, OPEN
from planner.opening.priors import PRIORS
from planner.opening.propagation import Setting, propagate
from planner.opening.rows import make_rows

WANTED = (0.70, 0.95)
NO_SLIPS = replace(PRIORS, mistake=0.0)


def setting_of(seen, priors=NO_SLIPS):
    """Return the setting of a history and its hyper-parameters at the start of the search."""
    rows = make_rows(seen, Reference(10.5, 0.59, 8.5), priors)
    prior = hyper_prior(rows, WANTED, priors)
    jumps, squares = np.zeros(len(rows.block_day)), np.zeros(3)
    return Setting(
        rows, priors, level_prior(rows, prior, WANTED, priors), jumps, squares
    ), prior.start


def test_openings_in_mm_without_slips_are_exact(reeds):
    """The evidence is the density of one normal distribution of all openings together."""
    chance = np.random.default_rng(4)
    seen = reeds(
        6,
        day=np.datetime64("2025-01-01") + np.array([0, 0, 7, 7, 30, 30]),
        diameter_low=np.array([10.0, 10.5, 11.0, 10.25, 10.5, 10.75]),
        moisture=np.array([7.0, 7.0, 8.0, 9.0, 10.0, 9.5]),
        opening=0.8 + 0.1 * chance.normal(size=6),
    )
    setting, hypers = setting_of(seen)
    state = propagate(setting, hypers)
    rows, p = setting.rows, NO_SLIPS
    mean = rows.x @ [p.diameter.mean, p.gouge.mean, p.moisture.mean, p.dry.mean] + 0.825
    effects = np.diag(np.square([p.diameter.sd, p.gouge.sd, p.moisture.sd, p.dry.sd]))
    # A random walk's covariance is the variance at the earlier of two days.
    day = np.array([0, 0, 7, 7, 30, 30.0])
    walk = p.level_about_range**2 + hypers.wander**2 * np.minimum.outer(day, day)
    noise = (hypers.noise**2 + rows.reading_variance + hypers.lot**2) * np.eye(6)
    density = multivariate_normal(mean, rows.x @ effects @ rows.x.T + walk + noise)
    assert state.converged
    assert state.log_evidence == pytest.approx(density.logpdf(seen.opening), abs=1e-6)


@pytest.mark.parametrize("verdict", [CLOSED, GOOD, OPEN])
def test_one_verdict_is_exact(reeds, verdict):
    """Mean, spread and evidence of the level after one verdict, by integration over it."""
    setting, hypers = setting_of(reeds(1, verdict=np.array([verdict], np.int8)))
    state = propagate(setting, hypers)
    sd = np.sqrt(hypers.noise**2 + hypers.judgement**2 + hypers.lot**2)
    low, high = {CLOSED: (-9, 0.70), GOOD: (0.70, 0.95), OPEN: (0.95, 9)}[verdict]

    def weight(level, power=0):
        chance = norm.cdf(high, level, sd) - norm.cdf(low, level, sd)
        return level**power * chance * norm.pdf(level, 0.825, PRIORS.level_about_range)

    volume, first, second = (quad(weight, -0.5, 2.2, args=(k,), epsabs=1e-13)[0] for k in range(3))
    mean = first / volume
    assert state.log_evidence == pytest.approx(np.log(volume), abs=1e-5)
    assert 0.825 + state.solution.mean[4] == pytest.approx(mean, abs=1e-5)
    assert state.solution.covariance[4, 4] == pytest.approx(second / volume - mean**2, rel=1e-3)


def test_many_verdicts_come_near_integration(reeds):
    """Eight verdicts on one cane and day: the level's mean and spread, within 2 % of it."""
    verdict = np.array([0, 0, 1, 1, 1, 0, 1, 1], np.int8)
    seen = reeds(8, day=np.full(8, np.datetime64("2025-01-01")), verdict=verdict)
    setting, hypers = setting_of(seen)
    state = propagate(setting, hypers)
    sd = np.sqrt(hypers.noise**2 + hypers.judgement**2 + hypers.lot**2)
    level = np.linspace(-0.2, 1.9, 8001)
    good = norm.cdf(0.95, level, sd) - norm.cdf(0.70, level, sd)
    weight = (
        norm.pdf(level, 0.825, PRIORS.level_about_range) * good**3 * norm.sf(0.95, level, sd) ** 5
    )
    step = level[1] - level[0]
    mean = np.average(level, weights=weight)
    spread = np.sqrt(np.average((level - mean) ** 2, weights=weight))
    assert 0.825 + state.solution.mean[4] == pytest.approx(mean, abs=0.02 * spread)
    assert np.sqrt(state.solution.covariance[4, 4]) == pytest.approx(spread, rel=0.02)
    assert state.log_evidence == pytest.approx(np.log(weight.sum() * step), abs=0.02)


def test_every_row_agrees_with_its_own_likelihood(reeds):
    """The fixed point: a row's cavity times its likelihood has the posterior's moments.

    Rasmussen & Williams (2006), section 3.6, equations 3.56-3.59; the moments here by integration.
    """
    verdict = np.array([0, 0, 0, 0, 1, -1, 2, 2, 0, 1], np.int8)
    seen = reeds(
        10,
        diameter_low=10.5 + 0.25 * np.array([-2, 2, 0, 1, -1, 1, 0, 2, 0, 0]),
        opening=np.where(verdict == 2, 0.85, np.nan),
        verdict=verdict,
    )
    setting, hypers = setting_of(seen, PRIORS)
    state = propagate(setting, hypers)
    assert state.converged
    belief = state.offset + state.cavity_mean, np.sqrt(state.cavity_variance)
    reached = state.offset + state.solution.row_mean, np.sqrt(state.solution.row_variance)
    slip = PRIORS.mistake
    for i, sd in enumerate(np.sqrt(state.noise_variance)):
        level = belief[0][i] + belief[1][i] * np.linspace(-9, 9, 4001)
        if verdict[i] == 2:
            likely = (1 - slip) * norm.pdf(0.85, level, sd) + slip / PRIORS.mistake_span
        else:
            low, high = [(0.7, 0.95), (0.95, 9), (-9, 0.7)][verdict[i]]
            inside = norm.cdf(high, level, sd) - norm.cdf(low, level, sd)
            likely = (1 - slip) * inside + slip / 3
        weight = likely * norm.pdf(level, belief[0][i], belief[1][i])
        mean = np.average(level, weights=weight)
        spread = np.sqrt(np.average((level - mean) ** 2, weights=weight))
        assert reached[0][i] == pytest.approx(mean, abs=2e-4)
        assert reached[1][i] == pytest.approx(spread, abs=2e-4)


def test_a_slip_of_the_pen_does_not_move_the_level(reeds):
    """Nineteen reeds near 0.8 mm and one of 8.0: the level stays, and the fit settles."""
    opening = np.full(20, 0.8) + 0.05 * np.sin(np.arange(20))
    setting, hypers = setting_of(reeds(20, opening=opening), PRIORS)
    wrong, _ = setting_of(reeds(20, opening=np.append(opening[:-1], 8.0)), PRIORS)
    plain, slipped = propagate(setting, hypers), propagate(wrong, hypers)
    assert slipped.converged
    assert slipped.solution.mean[4] == pytest.approx(plain.solution.mean[4], abs=0.005)


def test_sites_that_do_not_settle_are_said(reeds, monkeypatch):
    """One round isn't enough for verdicts; the state says so."""
    seen = reeds(8, verdict=np.array([0, 1, 1, -1, 1, 0, 1, 1], np.int8))
    setting, hypers = setting_of(seen, PRIORS)
    assert propagate(setting, hypers).converged
    monkeypatch.setattr(propagation, "ROUNDS", 1)
    assert not propagate(setting, hypers).converged


def test_a_diameter_known_as_a_class_counts_for_less(reeds):
    """The class's own spread, times the effect, is added to the noise."""
    seen = reeds(2, diameter_high=np.array([10.5, 11.0]), opening=np.array([0.8, 0.8]))
    setting, hypers = setting_of(seen)
    setting = replace(setting, slope_square=np.array([0.04, 0.0, 0.0]))
    exact, vague = propagation.noise_variance(setting, hypers)
    assert vague - exact == pytest.approx(0.04 * 0.5**2 / 12)
