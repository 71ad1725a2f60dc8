"""Hyper-parameters by evidence: the best ones, and how far others are nearly as good."""

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from planner.opening.hypers import HyperPrior, Hypers
from planner.opening.observations import CLOSED, GOOD, OPEN, Floats
from planner.opening.propagation import (
    Setting,
    State,
    limits_of,
    propagate,
    step_variance,
)
from planner.opening.search import highest
from planner.opening.sites import between

SEARCH_STEPS = 30
CLOSE_HEIGHT = 0.02
WIDEST_SD = 0.8  # of a logarithm; a flatter evidence is the prior's


@dataclass
class Surface:
    """Log evidence plus log prior over the vector of active hyper-parameters.

    It remembers the last state, whose sites are the start of the next.
    """

    setting: Setting
    prior: HyperPrior
    last: State | None = field(default=None)

    def at(self, vector: Floats) -> tuple[State, float, Floats]:
        """Return the state, the log density (up to a constant) and its gradient."""
        hypers = self.prior.unpack(vector)
        start = self.last.sites if self.last is not None else None
        state = propagate(self.setting, hypers, start)
        if np.isfinite(state.log_evidence):
            self.last = state
        judged, judged_slope = _judgements(self.setting, hypers)
        slopes = _slopes(self.setting, state)
        own, own_gradient = self.prior.log_density(vector)
        gradient = [slopes[name] + judged_slope.get(name, 0.0) for name in self.prior.active]
        return state, state.log_evidence + judged + own, own_gradient + np.array(gradient)


def _judgements(setting: Setting, hypers: Hypers) -> tuple[float, dict[str, float]]:
    """What reeds both read and judged say of the verdict limits, and its slopes."""
    rows = setting.rows
    both = rows.both
    if not both.any():
        return 0.0, {}
    variance = np.full(int(both.sum()), hypers.judgement**2 + rows.reading_variance)
    low, high = limits_of(rows.verdict[both], hypers.low, hypers.high)
    read = rows.opening[both]
    term = between(low, high, read, variance, setting.priors.mistake)
    sharp = float(np.sum(term.slope**2 - term.curvature)) * hypers.judgement**2
    low_slope, high_slope = _limit_slopes(
        rows.verdict[both], low, high, read, variance, term.log, setting.priors.mistake
    )
    return float(term.log.sum()), _range_slopes(hypers, low_slope, high_slope) | {
        "judgement": sharp
    }


def _slopes(setting: Setting, state: State) -> dict[str, float]:
    """Slopes of the log evidence by every hyper-parameter, at agreeing sites."""
    rows, hypers, solution, term = setting.rows, state.hypers, state.solution, state.term
    widening = 0.5 * (term.slope**2 - term.curvature)  # by the variance of each row
    told = rows.judged_only
    low, high = limits_of(rows.verdict[told], hypers.low, hypers.high)
    variance = (state.cavity_variance + state.noise_variance)[told]
    mean = (state.offset + state.cavity_mean)[told]
    low_slope, high_slope = _limit_slopes(
        rows.verdict[told], low, high, mean, variance, term.log[told], setting.priors.mistake
    )
    lots = solution.lot_mean**2 + solution.lot_variance - 1.0
    return {
        "noise": 2.0 * hypers.noise**2 * float(widening.sum()),
        "lot": float(lots.sum()) + 2.0 * hypers.lot**2 * float(widening[rows.lot < 0].sum()),
        "wander": _wander_slope(setting, state),
        "judgement": 2.0 * hypers.judgement**2 * float(widening[told].sum()),
        **_range_slopes(hypers, low_slope, high_slope),
    }


def _wander_slope(setting: Setting, state: State) -> float:
    steps = slice(-len(setting.rows.block_day) + 1 or None, None)
    if len(setting.rows.block_day) < 2:
        return 0.0
    unit = state.solution.unit_mean[steps] ** 2
    unit = unit + np.diag(state.solution.unit_covariance)[steps] - 1.0
    wander = state.hypers.wander**2 * np.diff(setting.rows.block_day)
    moving = np.where(wander < setting.priors.wander_limit**2, wander, 0.0)
    return float(np.sum(unit * moving / step_variance(setting, state.hypers)))


def _limit_slopes(
    verdict: NDArray[np.int8],
    low: Floats,
    high: Floats,
    mean: Floats,
    variance: Floats,
    log: Floats,
    mistake: float,
) -> tuple[float, float]:
    """Slopes of the verdicts' log terms by the lower and the upper limit of the range."""
    weight = (1.0 - mistake) / np.sqrt(2.0 * np.pi * variance) / np.exp(log)
    by_low = -weight * np.exp(-0.5 * (low - mean) ** 2 / variance)
    by_high = weight * np.exp(-0.5 * (high - mean) ** 2 / variance)
    lower = by_high[verdict == CLOSED].sum() + by_low[verdict == GOOD].sum()
    upper = by_high[verdict == GOOD].sum() + by_low[verdict == OPEN].sum()
    return float(lower), float(upper)


def _range_slopes(hypers: Hypers, low: float, high: float) -> dict[str, float]:
    return {"middle": low + high, "width": 0.5 * hypers.width * (high - low)}


@dataclass(frozen=True)
class Peak:
    """The best hyper-parameters, and the inverse curvature of the surface there as far as known."""

    vector: Floats
    state: State
    height: float
    inverse: Floats
    found: bool


def climb(surface: Surface, start: Floats, inverse: Floats, steps: int = SEARCH_STEPS) -> Peak:
    """Find the best hyper-parameters from a start."""
    best: list[tuple[float, State]] = []

    def at(vector: Floats) -> tuple[float, Floats]:
        try:
            state, height, gradient = surface.at(vector)
        except FloatingPointError:
            return -np.inf, np.zeros_like(vector)
        if not best or height > best[0][0]:
            best[:] = [(height, state)]
        return height, gradient

    found = highest(at, start, _bounds(surface.prior), inverse, close=CLOSE_HEIGHT, steps=steps)
    height, state = best[0]
    return Peak(found.vector, state, height, found.inverse, found.settled)


def first_inverse(prior: HyperPrior, reeds: int) -> Floats:
    """Return the inverse curvature that is expected before the first step."""
    return np.diag(1.0 / prior.expected_curvature(reeds))


def _bounds(prior: HyperPrior) -> tuple[Floats, Floats]:
    """Far enough out not to matter, near enough to keep the numbers sound."""
    spans = {
        "noise": np.log([0.01, 0.5]),
        "lot": np.log([0.002, 0.3]),
        "wander": np.log([0.0002, 0.03]),
        "judgement": np.log([0.003, 0.2]),
        "width": prior.width.mean + np.array([-1.2, 1.2]),
        "middle": prior.middle.mean + np.array([-0.6, 0.6]),
    }
    both = np.array([spans[name] for name in prior.active]).reshape(-1, 2)
    return both[:, 0], both[:, 1]


def around(surface: Surface, peak: Peak, count: int) -> Iterator[tuple[State, float]]:
    """Yield states spread over the likely hyper-parameters, with their weights.

    The points stand for the normal distribution that fits the peak; the weights correct for where
    it doesn't.
    """
    if count == 1 or not len(peak.vector):
        yield peak.state, 1.0
        return
    spread = root_of_covariance(surface, peak)
    bounds = _bounds(surface.prior)
    for z in standing_points(count, len(peak.vector)):
        vector = np.clip(peak.vector + spread @ z, *bounds)
        surface.last = peak.state
        state, height, _ = surface.at(vector)
        yield state, float(np.exp(min(height - peak.height + 0.5 * z @ z, 20.0)))


def root_of_covariance(surface: Surface, peak: Peak, step: float = 0.05) -> Floats:
    """Root of the covariance about the peak, from differences of the gradient."""
    size = len(peak.vector)
    units = np.array([0.2 if name == "middle" else 1.0 for name in surface.prior.active])
    here = surface.at(peak.vector)[2]
    curvature = np.empty((size, size))
    for i in range(size):
        nudge = np.zeros(size)
        nudge[i] = step * units[i]
        surface.last = peak.state
        curvature[i] = (here - surface.at(peak.vector + nudge)[2]) / step
    curvature *= units  # both sides in the same units
    value, direction = np.linalg.eigh((curvature + curvature.T) / 2)
    sd = np.minimum(1.0 / np.sqrt(np.maximum(value, WIDEST_SD**-2)), WIDEST_SD)
    return np.asarray(units[:, None] * direction * sd, dtype=float)


def standing_points(count: int, dimensions: int) -> Floats:
    """Few points (count, dimensions) with the mean and the covariance of the standard normal.

    Evenly spread points, each with its mirror image, drawn apart to the covariance: left as they
    are, few points reach less far than the distribution, and openings look less scattered.
    """
    half = normal_points((count + 1) // 2, dimensions)
    if len(half) > 2 * dimensions:
        root = np.linalg.cholesky(half.T @ half / len(half))
        half = np.linalg.solve(root, half.T).T
    return np.asarray(np.concatenate([half, -half])[:count])


def normal_points(count: int, dimensions: int) -> Floats:
    """Evenly spread points (count, dimensions) of the standard normal distribution.

    References
    ----------
    M. Roberts, "The unreasonable effectiveness of quasirandom sequences", 2018 (additive
    recurrence on the generalised golden ratio).
    """
    ratio = 2.0
    for _ in range(40):
        ratio = (1.0 + ratio) ** (1.0 / (dimensions + 1))
    steps = ratio ** -np.arange(1.0, dimensions + 1)
    uniform = (0.5 + np.outer(np.arange(1, count + 1), steps)) % 1.0
    return np.asarray(ndtri(np.clip(uniform, 1e-3, 1 - 1e-3)), dtype=float)
