"""Expectation propagation: the rows' likelihoods as normal sites that agree with each other.

References
----------
T. P. Minka, "Expectation propagation for approximate Bayesian inference", *UAI* 2001;
C. E. Rasmussen and C. K. I. Williams, *Gaussian Processes for Machine Learning*, MIT Press 2006,
section 3.6.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from planner.opening.gaussian import Solution, solve
from planner.opening.hypers import Hypers
from planner.opening.observations import CLOSED, OPEN, Floats
from planner.opening.priors import Normal, Priors
from planner.opening.rows import EFFECTS, Rows
from planner.opening.sites import Term, between, measured

ROUNDS = 60
CLOSE_ENOUGH = 1e-3  # of the noise; the evidence is off by the square of it


@dataclass(frozen=True)
class Sites:
    """Natural parameters of the normal sites; arrays are (n,)."""

    precision: Floats
    shift: Floats


@dataclass(frozen=True)
class State:
    """The posterior under given hyper-parameters.

    ``term`` holds the rows' terms about their cavities, ``noise_variance`` (n,) what each reed
    strays about its expectation.
    """

    hypers: Hypers
    sites: Sites
    solution: Solution
    offset: Floats
    term: Term
    noise_variance: Floats
    cavity_mean: Floats
    cavity_variance: Floats
    log_evidence: float
    converged: bool


@dataclass(frozen=True)
class Setting:
    """All that stays the same while the hyper-parameters change.

    ``level`` is the prior of the first level, ``jumps`` (blocks,) the variance of sudden changes
    admitted between blocks, ``slope_square`` (3,) the mean square of the effects, for the rows
    whose diameter, gouge or moisture isn't known exactly.
    """

    rows: Rows
    priors: Priors
    level: Normal
    jumps: Floats
    slope_square: Floats


def propagate(setting: Setting, hypers: Hypers, start: Sites | None = None) -> State:
    """Find the sites under given hyper-parameters."""
    rows = setting.rows
    offset = rows.x @ effect_means(setting.priors) + setting.level.mean
    noise = noise_variance(setting, hypers)
    scale = prior_scale(setting, hypers)
    lot_sd = hypers.lot if (rows.lot >= 0).any() else 0.0
    sites = start or _first_sites(rows, hypers, offset, noise)
    damping, before, converged = 1.0, np.inf, False
    for _ in range(ROUNDS):
        solution = solve(rows, scale, lot_sd, sites.precision, sites.shift)
        mean, variance = _cavities(solution, sites)
        term = terms(setting, hypers, offset + mean, variance + noise)
        wanted = _matching(term, mean, variance)
        step = _change(solution, mean, variance, term) / np.sqrt(noise.min(initial=1.0))
        if step < CLOSE_ENOUGH:
            converged = True
            break
        if step > 0.7 * before:
            damping = max(0.5 * damping, 0.1)
        before = step
        sites = _mixed(sites, wanted, damping)
    evidence = solution.log_volume + _site_evidence(solution, sites, mean, variance, term)
    return State(hypers, sites, solution, offset, term, noise, mean, variance, evidence, converged)


def noise_variance(setting: Setting, hypers: Hypers) -> Floats:
    """Variance of each reed about what is expected of it, (n,). [mm²]"""
    rows = setting.rows
    variance = hypers.noise**2 + rows.x_variance @ setting.slope_square
    variance = variance + np.where(rows.measured, rows.reading_variance, hypers.judgement**2)
    return variance + np.where(rows.lot < 0, hypers.lot**2, 0.0)


def prior_scale(setting: Setting, hypers: Hypers) -> Floats:
    """Prior spread of the effects and of the steps of the level, (4 + blocks,)."""
    priors = setting.priors
    effects = [getattr(priors, name).sd for name in EFFECTS]
    known = np.square([*effects, setting.level.sd])
    return np.asarray(np.sqrt(np.concatenate([known, step_variance(setting, hypers)])), dtype=float)


def step_variance(setting: Setting, hypers: Hypers) -> Floats:
    """Prior variance of the steps of the level between blocks, (blocks - 1,). [mm²]"""
    days = np.diff(setting.rows.block_day)
    wander = np.minimum(hypers.wander**2 * days, setting.priors.wander_limit**2)
    return np.asarray(wander + setting.jumps[1:], dtype=float)


def limits_of(verdict: NDArray[np.int8], low: float, high: float) -> tuple[Floats, Floats]:
    """Limits within which a verdict puts an opening, (n,) each. [mm]"""
    place = verdict.astype(np.intp) + 1
    return np.array([-np.inf, low, high])[place], np.array([low, high, np.inf])[place]


def terms(setting: Setting, hypers: Hypers, mean: Floats, variance: Floats) -> Term:
    """Terms of all rows about beliefs (mean, variance) of which the noise is a part."""
    rows, priors = setting.rows, setting.priors
    out = np.empty((3, len(rows)))
    read, told = rows.measured, rows.judged_only
    out[:, read] = measured(
        rows.opening[read], mean[read], variance[read], priors.mistake, 1 / priors.mistake_span
    )
    if told.any():
        low, high = limits_of(rows.verdict[told], hypers.low, hypers.high)
        out[:, told] = between(low, high, mean[told], variance[told], priors.mistake)
    return Term(*out)


def effect_means(priors: Priors) -> Floats:
    """Return the prior means of the effects, (4,)."""
    return np.array([getattr(priors, name).mean for name in EFFECTS])


def _first_sites(rows: Rows, hypers: Hypers, offset: Floats, noise: Floats) -> Sites:
    guess = np.select(
        [rows.verdict == CLOSED, rows.verdict == OPEN],
        [hypers.low - 0.5 * hypers.noise, hypers.high + 0.5 * hypers.noise],
        hypers.middle,
    )
    target = np.where(rows.measured, rows.opening, guess)
    precision = np.where(rows.measured, 1.0, 0.5) / noise
    return Sites(precision, precision * (target - offset))


def _cavities(solution: Solution, sites: Sites) -> tuple[Floats, Floats]:
    precision = np.maximum(1.0 / solution.row_variance - sites.precision, 1e-9)
    shift = solution.row_mean / solution.row_variance - sites.shift
    return shift / precision, 1.0 / precision


def _matching(term: Term, mean: Floats, variance: Floats) -> Sites:
    """Sites that give the tilted rows' moments; a row that speaks against all others has none."""
    curvature = np.maximum(term.curvature, 0.0)
    kept = 1.0 - variance * curvature
    return Sites(curvature / kept, (term.slope + mean * curvature) / kept)


def _change(solution: Solution, mean: Floats, variance: Floats, term: Term) -> float:
    """Largest distance of the rows' means and spreads from what their sites ask for."""
    if not len(mean):
        return 0.0
    # Verdicts of "good" about the middle move no mean, so the spreads are looked at too.
    kept = np.maximum(1.0 - variance * np.maximum(term.curvature, 0.0), 0.0)
    spread = np.abs(np.sqrt(variance * kept) - np.sqrt(solution.row_variance)).max()
    return float(max(np.abs(mean + variance * term.slope - solution.row_mean).max(), spread))


def _mixed(old: Sites, new: Sites, damping: float) -> Sites:
    return Sites(
        old.precision + damping * (new.precision - old.precision),
        old.shift + damping * (new.shift - old.shift),
    )


def _site_evidence(
    solution: Solution, sites: Sites, mean: Floats, variance: Floats, term: Term
) -> float:
    """Logarithm of the sites' scales (Rasmussen & Williams, equation 3.65, rearranged)."""
    rise = np.log1p(sites.precision * variance)
    squares = mean**2 / variance - solution.row_mean**2 / solution.row_variance
    return float(np.sum(term.log + 0.5 * (rise + squares)))
