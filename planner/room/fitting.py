"""Fitting the room's parameters to its readings: maximum of the posterior, and its width there.

Gauss-Newton under the misfit's own covariance; the misfit's size by the evidence (Laplace);
readings far off anything expected are given less weight.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from planner.air.humidity import Floats
from planner.room.misfit import Correlation, Misfit, innovations
from planner.room.priors import Prior

Predict = Callable[[Floats], Floats]  # parameter sets (sets, k) -> values (sets, n)

DIFFERENCE = 1e-3  # of a parameter's prior deviation, for derivatives
STEPS = np.array([1.0, 0.5, 0.25, 0.1, 0.03, 0.0])
TURNS = 12
SETTLED = 0.02  # of a posterior deviation
FAR_OFF = 3.0  # standard deviations after which a reading counts less

# The misfit's size before any reading: median; its logarithm has this deviation. A guess: slow and
# quick together leave weekly means 2-3 % RH off, hygrometers being good to 2-3 % themselves.
HUMIDITY_MISFIT = Misfit(slow=3.0, quick=2.0)  # %
TEMPERATURE_MISFIT = Misfit(slow=0.8, quick=0.7)  # °C
LOG_DEVIATION = 0.5
GRID = np.array([-1.2, -0.8, -0.4, 0.0, 0.4, 0.8])


@dataclass(frozen=True)
class Evidence:
    """Daily means of one quantity, and how the model predicts them.

    ``day`` (n,) are day numbers, ascending; ``variance`` (n,) that of the readings' noise.
    """

    day: NDArray[np.int64]
    value: Floats
    variance: Floats
    predict: Predict
    usual_misfit: Misfit
    misfit: Misfit

    @cached_property
    def correlation(self) -> Correlation:
        """Of the values about the model, factored once."""
        return Correlation(self.day, self.variance, self.misfit)


@dataclass(frozen=True)
class Posterior:
    """Normal approximation of the parameters: mean (k,), covariance (k, k); and the evidence.

    The evidence comes back with the misfit found and with far-off readings' noise enlarged.
    """

    mean: Floats
    covariance: Floats
    evidence: tuple[Evidence, ...]


def fit(prior: Prior, evidence: tuple[Evidence, ...]) -> Posterior:
    """Return what is known of the parameters after the *evidence*; without any, the prior."""
    evidence = tuple(part for part in evidence if len(part.day))
    if not evidence:
        return Posterior(prior.mean, prior.covariance, ())
    mean = _highest(prior, evidence, prior.mean)
    for _ in range(2):
        evidence = tuple(
            _with_misfit(prior, _with_less_weight(part, mean), mean) for part in evidence
        )
        mean = _highest(prior, evidence, mean)
    precision, _ = _normal_equations(prior, evidence, mean)
    return Posterior(mean, np.asarray(np.linalg.inv(precision), dtype=float), evidence)


def _highest(prior: Prior, evidence: tuple[Evidence, ...], mean: Floats) -> Floats:
    """Climb to the maximum of the posterior, halving steps that overshoot."""
    for _ in range(TURNS):
        precision, slope = _normal_equations(prior, evidence, mean)
        step = np.linalg.solve(precision, slope)
        tried = mean + STEPS[:, None] * step
        best = int(np.argmin(_losses(prior, evidence, tried)))
        mean = tried[best]
        if float(slope @ step) * STEPS[best] < SETTLED**2:
            break
    return mean


def _normal_equations(
    prior: Prior, evidence: tuple[Evidence, ...], mean: Floats
) -> tuple[Floats, Floats]:
    precision: Floats = np.asarray(np.linalg.inv(prior.covariance), dtype=float)
    slope = precision @ (prior.mean - mean)
    for part in evidence:
        columns = _columns(part, prior, mean)
        products = columns[:, 1:].T @ part.correlation.solve(columns)
        precision = precision + products[:, 1:]
        slope = slope + products[:, 0]
    return precision, slope


def _columns(part: Evidence, prior: Prior, mean: Floats) -> Floats:
    shift = DIFFERENCE * np.sqrt(np.diag(prior.covariance))
    values = part.predict(np.vstack([mean, mean + np.diag(shift)]))
    derivatives = (values[1:] - values[0]) / shift[:, None]
    return np.column_stack([part.value - values[0], derivatives.T])


def _losses(prior: Prior, evidence: tuple[Evidence, ...], tried: Floats) -> Floats:
    """Twice the negative logarithm of the posterior at *tried* (sets, k), up to a constant."""
    away = tried - prior.mean
    losses = np.einsum("si,si->s", away @ np.linalg.inv(prior.covariance), away)
    for part in evidence:
        residuals = (part.value - part.predict(tried)).T
        losses = losses + (residuals * part.correlation.solve(residuals)).sum(axis=0)
    return np.asarray(losses)


def _with_less_weight(part: Evidence, mean: Floats) -> Evidence:
    """Enlarge the noise of readings that no wandering explains: a bath, a draught, the sun."""
    residual = part.value - part.predict(mean[None])[0]
    off = np.abs(innovations(part.day, part.variance, residual, part.misfit))
    total = part.variance + part.misfit.quick**2
    extra = total * (np.maximum(off / FAR_OFF, 1.0) ** 2 - 1.0)
    return replace(part, variance=part.variance + extra)


def _with_misfit(prior: Prior, part: Evidence, mean: Floats) -> Evidence:
    """Learn the misfit's size from its evidence, the parameters integrated out."""
    usual = part.usual_misfit
    slow = usual.slow * np.exp(np.repeat(GRID, len(GRID)))
    quick = usual.quick * np.exp(np.tile(GRID, len(GRID)))
    columns = _columns(part, prior, mean)
    columns[:, 0] += columns[:, 1:] @ (mean - prior.mean)
    precision = np.asarray(np.linalg.inv(prior.covariance), dtype=float)
    logarithm = np.array(
        [
            _log_evidence(precision, columns, Correlation(part.day, part.variance, Misfit(a, b)))
            for a, b in zip(slow.tolist(), quick.tolist(), strict=True)
        ]
    )
    logarithm -= 0.5 * (np.log(slow / usual.slow) / LOG_DEVIATION) ** 2
    logarithm -= 0.5 * (np.log(quick / usual.quick) / LOG_DEVIATION) ** 2
    weight = np.exp(logarithm - logarithm.max())
    weight /= weight.sum()
    found = Misfit(float(np.sqrt(weight @ slow**2)), float(np.sqrt(weight @ quick**2)))
    return replace(part, misfit=found)


def _log_evidence(before: Floats, columns: Floats, correlation: Correlation) -> float:
    """Logarithm of the evidence of a misfit, the model linear about its prior's mean.

    *columns* (n, 1 + k) are the residuals there and the derivatives, *before* (k, k) the prior's
    precision.
    """
    products = columns.T @ correlation.solve(columns)
    precision = before + products[1:, 1:]
    pulled = np.linalg.solve(precision, products[1:, 0])
    quadratic = products[0, 0] - products[0, 1:] @ pulled
    determinant = correlation.log_determinant + np.linalg.slogdet(precision)[1]
    return float(-0.5 * (quadratic + determinant))
