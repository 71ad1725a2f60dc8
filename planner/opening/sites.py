"""What one judged reed says about its expected opening: the terms of the likelihood.

Each function smooths the likelihood of a row over a normal belief (mean *m*, variance *v*) about
its expected opening and returns the logarithm of the result with its first and negative second
derivative by *m*. With *v* = 0 these are the log-likelihood itself, its slope and its curvature.
"""

from typing import NamedTuple

import numpy as np
from scipy.special import ndtr

from planner.opening.observations import Floats

_ROOT_2_PI = np.sqrt(2.0 * np.pi)


class Term(NamedTuple):
    """Log-likelihood of rows with its derivatives by the mean; every array is (n,)."""

    log: Floats
    slope: Floats
    curvature: Floats


def measured(opening: Floats, m: Floats, variance: Floats, mistake: float, density: float) -> Term:
    """Return the terms of openings read in mm.

    Parameters
    ----------
    opening : as read. [mm]
    m : mean of the belief about the expected opening. [mm]
    variance : of the belief and of the reed about its expectation together. [mm²]
    mistake : chance that the reading is a slip of the pen
    density : probability density of a slip. [1/mm]
    """
    away = (opening - m) / variance
    inside = (1.0 - mistake) * np.exp(-0.5 * away * (opening - m)) / np.sqrt(variance) / _ROOT_2_PI
    total = inside + mistake * density
    # Far out the density underflows; without slips its logarithm is still known.
    log = np.where(
        total > 0.0,
        np.log(np.maximum(total, 1e-300)),
        -0.5 * away * (opening - m) - 0.5 * np.log(2.0 * np.pi * variance),
    )
    sound = inside / total if mistake else np.ones_like(total)
    slope = sound * away
    return Term(log, slope, sound / variance - sound * (1.0 - sound) * away**2)


def between(low: Floats, high: Floats, m: Floats, variance: Floats, mistake: float) -> Term:
    """Return the terms of openings known to lie between limits (infinite where there is none).

    Arguments as in :func:`measured`; a mistaken verdict is any of the three with equal chance.
    """
    sd = np.sqrt(variance)
    below, above = (low - m) / sd, (high - m) / sd
    flip = below > 0.0  # in the upper tail, the difference is exact from the other side
    inside = np.where(flip, ndtr(-below) - ndtr(-above), ndtr(above) - ndtr(below))
    total = np.maximum((1.0 - mistake) * inside + mistake / 3.0, 1e-300)
    at_low, at_high = _density(below), _density(above)
    slope = (1.0 - mistake) * (at_low - at_high) / sd / total
    bend = (1.0 - mistake) * (_times(below, at_low) - _times(above, at_high)) / variance / total
    return Term(np.log(total), slope, slope**2 - bend)


def _density(z: Floats) -> Floats:
    return np.asarray(np.exp(-0.5 * z * z) / _ROOT_2_PI, dtype=float)


def _times(z: Floats, density: Floats) -> Floats:
    """Z φ(z), 0 at the infinities."""
    return np.where(np.isfinite(z), z, 0.0) * density
