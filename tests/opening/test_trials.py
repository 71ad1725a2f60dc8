"""The trial list: what a trial would teach, against refits with the trial made."""

from dataclasses import replace

import numpy as np
import pytest

from planner.opening.draws import Reference
from planner.opening.model import fit_opening
from planner.opening.observations import Observations
from planner.opening.posterior import Component, Posterior
from planner.opening.trials import (
    PIECES,
    Workable,
    error_cut,
    moments_of,
    plan_weight,
    rank_trials,
    trials_of,
)

REFERENCE = Reference(10.5, 0.59, 8.5)
WANTED = (0.70, 0.95)
MAKER = Workable((9.5, 11.5), (0.56, 0.62), 0.25)


def posterior_of(sd, usual=REFERENCE):
    """A posterior of one component, its unknowns independent: level, diameter, gouge, moisture."""
    mean = np.array([0.8, -0.25, 2.0, 0.02, -0.2])
    part = Component(1.0, mean, np.diag(np.square([*sd, 0.1])), 0.08, 0.001, 0.8, 0.2)
    return Posterior(usual, (part,), WANTED, 0.1, None)


@pytest.fixture(scope="module")
def season(reeds):
    """Forty measured reeds of a maker whose diameter follows the season and whose gouge is set."""
    chance = np.random.default_rng(21)
    day = np.sort(chance.integers(0, 365, 40))
    moisture = 8.5 + 1.5 * np.sin(2 * np.pi * day / 365)
    diameter = 10.5 + 0.1 * (moisture - 8.5) + 0.02 * chance.normal(size=40)
    opening = 0.82 - 0.25 * (diameter - 10.5) + 0.02 * (moisture - 8.5)
    return reeds(
        40,
        day=np.datetime64("2025-01-01") + day,
        diameter_low=diameter,
        moisture=moisture,
        opening=np.round(opening + 0.07 * chance.normal(size=40), 2),
    )


def joined(seen, added):
    """Return two histories as one."""
    return Observations(
        **{
            name: np.concatenate([getattr(seen, name), values])
            if isinstance(values, np.ndarray)
            else values
            for name, values in vars(added).items()
        }
    )


def with_trial(seen, trial, fit, reeds, chance):
    """The history with the trial made: openings drawn from what is believed."""
    setting = np.repeat([trial.first, trial.second], PIECES)
    draws = fit.draws(400, 1)
    k = chance.integers(400)
    effect = getattr(draws, trial.kind)[k]
    usual = getattr(REFERENCE, trial.kind)
    mean = draws.level[k] + effect * (setting - usual)
    opening = np.round(mean + draws.spread[k] * chance.normal(size=2 * PIECES), 2)
    column = {"diameter": "diameter_low", "gouge": "gouge"}[trial.kind]
    return joined(
        seen,
        reeds(
            2 * PIECES,
            day=np.full(2 * PIECES, seen.day[-1] + 7),
            opening=opening,
            **{column: setting},
        ),
    )


def test_what_a_trial_teaches_by_making_it(season, reeds):
    """Each trial made twelve times on paper and the whole model refitted.

    The part of the plan's expected squared error that goes is as promised, within 0.1: the refits
    also learn of noise and level, which the promise leaves out, and twelve vary by 0.03.
    """
    fit = fit_opening(season, reference=REFERENCE, wanted=WANTED, workable=MAKER)
    mean, before = moments_of(fit.posterior)
    weight, chance = plan_weight(mean), np.random.default_rng(5)
    cuts = {}
    for trial in rank_trials(fit.posterior, MAKER):
        after = [
            moments_of(
                fit_opening(
                    with_trial(season, trial, fit, reeds, chance),
                    reference=REFERENCE,
                    wanted=WANTED,
                ).posterior
            )[1]
            for _ in range(12)
        ]
        cuts[trial.kind] = 1 - np.sum(weight * np.mean(after, axis=0)) / np.sum(weight * before)
        assert trial.cut == pytest.approx(cuts[trial.kind], abs=0.1)
    ranked = [trial.kind for trial in rank_trials(fit.posterior, MAKER)]
    assert ranked == sorted(cuts, key=lambda kind: -cuts[kind])


@pytest.mark.parametrize("kind", ["diameter", "gouge"])
def test_the_settings_are_the_best_of_all_within_reach(kind):
    """Every pair of settings within the step about the usual one, tried one by one."""
    posterior = posterior_of((0.05, 0.12, 2.5, 0.02))
    mean, covariance = moments_of(posterior)
    weight = plan_weight(mean)
    trial = next(t for t in rank_trials(posterior, MAKER) if t.kind == kind)
    tried = np.linspace(trial.first, trial.second, 9)
    direction = np.zeros(5)
    best = 0.0
    for first in tried:
        for second in tried:
            direction[{"diameter": 1, "gouge": 2}[kind]] = second - first
            best = max(best, error_cut(covariance, direction, 0.08**2 * 2 / PIECES, weight))
    assert trial.cut == pytest.approx(best)


def test_the_part_taken_away_by_the_textbook():
    """One unknown of spread 2 seen with an error of spread 1: 4/5 of its variance goes."""
    covariance, direction = np.diag([4.0, 1.0]), np.array([1.0, 0.0])
    assert error_cut(covariance, direction, 1.0, np.diag([1.0, 0.0])) == pytest.approx(0.8)
    assert error_cut(covariance, direction, 1.0, np.diag([0.0, 1.0])) == pytest.approx(0.0)


def test_cane_that_always_went_with_the_season_asks_for_diameters(season):
    """They tell the two apart, which such a history can't, and it says both."""
    fit = fit_opening(season, reference=REFERENCE, wanted=WANTED, workable=MAKER)
    assert any("Diameter and season" in note for note in fit.notes)
    assert any("mm diameter" in trial for trial in fit.trials)


def test_the_trial_asked_for_is_of_what_is_least_known():
    """A diameter's effect hardly known asks for diameters, a gouge's for gouges."""
    unsure_cane = posterior_of((0.05, 0.30, 0.3, 0.005))
    unsure_gouge = posterior_of((0.05, 0.02, 4.0, 0.005))
    assert rank_trials(unsure_cane, MAKER)[0].kind == "diameter"
    assert rank_trials(unsure_gouge, MAKER)[0].kind == "gouge"


def test_nothing_is_asked_for_where_all_is_known():
    """Effects known to a hundredth of what they matter."""
    assert trials_of(posterior_of((0.01, 0.005, 0.05, 0.0005)), MAKER) == ()


@pytest.mark.parametrize(
    ("usual", "diameters", "gouges"),
    [
        ((10.5, 0.59), (10.25, 10.75), (0.57, 0.61)),
        ((9.6, 0.565), (9.5, 10.0), (0.56, 0.60)),
        ((11.5, 0.62), (11.0, 11.5), (0.58, 0.62)),
    ],
)
def test_no_piece_is_asked_for_that_the_maker_cannot_make(usual, diameters, gouges):
    """Never thinner than the least gouge, never a tube outside the maker's range."""
    posterior = posterior_of(
        (0.05, 0.15, 3.0, 0.02), replace(REFERENCE, diameter=usual[0], gouge=usual[1])
    )
    found = {trial.kind: (trial.first, trial.second) for trial in rank_trials(posterior, MAKER)}
    assert found["diameter"] == pytest.approx(diameters)
    assert found["gouge"] == pytest.approx(gouges)


def test_a_maker_of_one_class_is_asked_for_no_diameters():
    """A range no wider than nothing teaches nothing."""
    one_class = Workable((10.5, 10.5), (0.56, 0.62), 0.25)
    kinds = [t.kind for t in rank_trials(posterior_of((0.05, 0.15, 3.0, 0.02)), one_class) if t.cut]
    assert kinds == ["gouge"]


def test_a_trial_is_said_with_pieces_settings_and_gain():
    """What to make, how many of each, and what it would bring."""
    said = trials_of(posterior_of((0.05, 0.15, 0.3, 0.005)), MAKER)[0]
    assert said.startswith("Make 4 reeds at 10.25 mm and 4 at 10.75 mm diameter")
    assert "in 100 off what is unsure" in said
