"""Sudden changes of the level: odds and updates against fits made anew."""

from dataclasses import replace

import numpy as np
import pytest

from planner.opening.draws import Reference
from planner.opening.fitting import level_prior
from planner.opening.gaussian import P
from planner.opening.hypers import hyper_prior
from planner.opening.jumps import candidates, possible_steps, stepped, unsettled
from planner.opening.posterior import components
from planner.opening.priors import PRIORS
from planner.opening.propagation import Setting, propagate
from planner.opening.rows import make_rows

WANTED = (0.70, 0.95)
NO_SLIPS = replace(PRIORS, mistake=0.0)


@pytest.fixture(scope="module")
def fitted(reeds):
    """Thirty reeds of ten days without slips, exact; the level rises by 0.15 mm before day six."""
    chance = np.random.default_rng(8)
    day = np.repeat(np.arange(10), 3)
    opening = 0.75 + 0.15 * (day >= 6) + 0.06 * chance.normal(size=30)
    seen = reeds(30, day=np.datetime64("2025-01-01") + 14 * day, opening=opening)
    rows = make_rows(seen, Reference(10.5, 0.59, 8.5), NO_SLIPS)
    prior = hyper_prior(rows, WANTED, NO_SLIPS)
    level = level_prior(rows, prior, WANTED, NO_SLIPS)
    setting = Setting(rows, NO_SLIPS, level, np.zeros(10), np.zeros(3))
    return setting, propagate(setting, prior.start)


def with_step(setting, boundary):
    """The setting with a step admitted at a boundary."""
    jumps = setting.jumps.copy()
    jumps[1 + boundary] = NO_SLIPS.jump_sd**2
    return replace(setting, jumps=jumps)


def test_the_odds_are_the_prior_odds_times_the_ratio_of_the_evidence(fitted):
    """Refitted with the step at each boundary, three reeds and fourteen days apart."""
    setting, state = fitted
    odds = possible_steps(setting, state).odds
    chance = min(3 / NO_SLIPS.reeds_per_jump, 14 / NO_SLIPS.days_per_jump)
    for boundary in range(9):
        other = propagate(with_step(setting, boundary), state.hypers)
        ratio = np.exp(other.log_evidence - state.log_evidence)
        assert odds[boundary] == pytest.approx(chance * ratio, rel=1e-3)
    assert odds.argmax() == 5


@pytest.mark.parametrize("boundary", [0, 5, 8])
def test_a_step_admitted_afterwards_is_that_of_a_new_fit(fitted, boundary):
    """Mean and covariance of effects and last level, without solving again."""
    setting, state = fitted
    steps = possible_steps(setting, state)
    wanted = np.zeros((P + 1, P + 10))
    wanted[0, P:] = state.solution.scale[P:]
    wanted[1 + np.arange(P), np.arange(P)] = state.solution.scale[:P]
    mean, covariance = stepped(state.solution, wanted, steps, boundary)
    again = propagate(with_step(setting, boundary), state.hypers).solution
    order = [P + 9, *range(P)]
    assert mean == pytest.approx(again.mean[order], abs=1e-6)
    assert covariance == pytest.approx(again.covariance[np.ix_(order, order)], abs=1e-8)


def test_a_step_admitted_is_not_offered_again(fitted):
    """Its odds are nought."""
    setting, state = fitted
    wider = with_step(setting, 5)
    assert possible_steps(wider, propagate(wider, state.hypers)).odds[5] == 0.0


def test_only_late_changes_stay_unsettled(fitted):
    """All boundaries of a short history; none that sixty reeds and more have followed."""
    setting, state = fitted
    steps = possible_steps(setting, state)
    late, odds = unsettled(setting, steps)
    assert 5 in late
    assert np.all(np.diff(odds) <= 0)
    crowded = replace(setting.rows, block_reeds=np.full(10, 70.0))
    assert len(unsettled(replace(setting, rows=crowded), steps)[0]) == 0


def test_a_change_in_doubt_weighs_as_its_odds(fitted):
    """In the mixture: each late change against none as likely as is reckoned."""
    setting, state = fitted
    _, odds = unsettled(setting, possible_steps(setting, state))
    weights = np.array([part.weight for part in components(setting, iter([(state, 2.0)]), 0.5)])
    assert len(odds) > 1
    assert weights.sum() == pytest.approx(0.5)
    assert weights[1:] / weights[0] == pytest.approx(odds)


def test_a_history_of_one_day_has_no_boundaries(reeds):
    """No step, no odds, nothing unsettled."""
    seen = reeds(3, day=np.full(3, np.datetime64("2025-01-01")), opening=np.full(3, 0.8))
    rows = make_rows(seen, Reference(10.5, 0.59, 8.5), NO_SLIPS)
    prior = hyper_prior(rows, WANTED, NO_SLIPS)
    level = level_prior(rows, prior, WANTED, NO_SLIPS)
    setting = Setting(rows, NO_SLIPS, level, np.zeros(1), np.zeros(3))
    steps = possible_steps(setting, propagate(setting, prior.start))
    assert len(steps.odds) == len(unsettled(setting, steps)[0]) == 0


@pytest.mark.parametrize(
    ("first", "admitted", "boundary"), [(0, 0, None), (1, 0, 0), (9, 0, 8), (9, 9, None)]
)
def test_slips_on_end_ask_for_a_step_before_them(reeds, first, admitted, boundary):
    """Four reeds of 3 mm among those of 0.8: before the first reed of all no step can lie.

    One that is admitted already isn't asked for again. What slips ask for is sought afresh.
    """
    opening = 0.8 + 0.05 * np.sin(np.arange(30))
    opening[first : first + 4] = 3.0
    weekly = np.datetime64("2025-01-01") + 7 * np.arange(30)
    rows = make_rows(reeds(30, day=weekly, opening=opening), Reference(10.5, 0.59, 8.5), PRIORS)
    prior = hyper_prior(rows, WANTED, PRIORS)
    jumps = np.zeros(30)
    jumps[admitted] = 1e-12 if admitted else 0.0
    setting = Setting(rows, PRIORS, level_prior(rows, prior, WANTED, PRIORS), jumps, np.zeros(3))
    asked = [c for c in candidates(setting, propagate(setting, prior.start)) if c.start is None]
    found = [np.flatnonzero(c.setting.jumps != jumps).tolist() for c in asked]
    assert found == ([] if boundary is None else [[1 + boundary]])
    for candidate in asked:
        beside = np.flatnonzero(candidate.stands_for)
        assert beside.tolist() == list(range(max(boundary - 3, 0), boundary + 4))
