"""What a room does beside the model: a slow and a quick wandering, learned and carried over.

Both are Ornstein-Uhlenbeck processes, so that all sums run along the days once
(Kalman filter; Durbin & Koopman, *Time Series Analysis by State Space Methods*, 2012, chapter 4).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import solveh_banded

from planner.air.humidity import Floats
from planner.room.response import trailing_mean

SLOW_DAYS = 30.0
QUICK_DAYS = 1.5
LEAST_DEVIATION = 1e-4  # in place of none at all


@dataclass(frozen=True)
class Misfit:
    """Standard deviations of the slow and the quick wandering, in the unit of the quantity."""

    slow: float
    quick: float


@dataclass(frozen=True)
class Whitened:
    """Columns freed of their correlation along the days.

    ``columns`` (grid, n, columns) have independent errors of variance 1; ``log_determinant``
    (grid,) is that of the errors' covariance.
    """

    columns: Floats
    log_determinant: Floats


def whiten(
    day: NDArray[np.int64], variance: Floats, columns: Floats, slow: Floats, quick: Floats
) -> Whitened:
    """Filter *columns* (n, columns) by the misfit's covariance along the days.

    Parameters
    ----------
    day : (n,) day numbers, ascending
    variance : (n,) of the readings' own noise
    columns : (n, columns) residuals and derivatives, all filtered alike
    slow, quick : (grid,) standard deviations; the filter runs for each pair at once
    """
    gains = _Gains(day, variance, slow, quick)
    state = np.zeros((2, len(slow), columns.shape[1]))
    out = np.empty((len(slow), *columns.shape))
    for i, row in enumerate(columns):
        state *= gains.decay[i][:, None, None]
        innovation = row - state[0] - state[1]
        state += gains.gain[i][:, :, None] * innovation
        out[:, i] = innovation / gains.scale[i][:, None]
    return Whitened(out, 2.0 * np.log(gains.scale).sum(axis=0))


class _Gains:
    """What the filter needs of the covariances.

    ``decay`` (n, 2), ``gain`` (n, 2, grid), ``scale`` (n, grid).
    """

    def __init__(
        self, day: NDArray[np.int64], variance: Floats, slow: Floats, quick: Floats
    ) -> None:
        n, grid = len(day), len(slow)
        step = np.diff(day, prepend=day[:1]).astype(float)
        self.decay = np.exp(-step[:, None] / np.array([SLOW_DAYS, QUICK_DAYS]))
        self.gain, self.scale = np.empty((n, 2, grid)), np.empty((n, grid))
        limit = np.stack([slow**2, np.zeros(grid), quick**2])
        both = limit.copy()
        for i, (a, b) in enumerate(self.decay):
            factor = np.array([a * a, a * b, b * b])[:, None]
            both = limit + factor * (both - limit)
            total = both[0] + 2.0 * both[1] + both[2] + variance[i]
            cross = both[:2] + both[1:]
            self.gain[i], self.scale[i] = cross / total, np.sqrt(total)
            removed = np.stack([cross[0] * cross[0], cross[0] * cross[1], cross[1] * cross[1]])
            both = both - removed / total


def simulate(misfit: Misfit, members: int, days: int, generator: np.random.Generator) -> Floats:
    """Draw the slow and the quick wandering (2, members, days), nothing known of either."""
    parts = []
    for deviation, scale in ((misfit.slow, SLOW_DAYS), (misfit.quick, QUICK_DAYS)):
        keep = np.exp(-1.0 / scale)
        noise = generator.standard_normal((members, days))
        # A trailing mean of white noise wanders so; its first value stands for the whole past.
        noise[:, 1:] *= np.sqrt((1.0 + keep) / (1.0 - keep))
        parts.append(deviation * trailing_mean(noise, np.array([[scale]])))
    return np.stack(parts)


def carried(
    misfit: Misfit,
    days: int,
    observed: NDArray[np.int64],
    variance: Floats,
    residuals: Floats,
    generator: np.random.Generator,
) -> Floats:
    """Draw the wandering over *days* days, given the residuals seen on some of them.

    Parameters
    ----------
    misfit : standard deviations
    days : number of days
    observed : (n,) numbers of the days with a reading, ascending
    variance : (n,) of the readings' own noise
    residuals : (members, n) reading less model
    generator : source of the randomness

    Returns
    -------
    (members, days): near the residuals where there are readings, fading after them.

    Notes
    -----
    A free draw is corrected by the smoothed difference to what was seen (Durbin & Koopman 2012,
    section 4.9).
    """
    members = len(residuals)
    free = simulate(misfit, members, days, generator)
    if not len(observed):
        return np.asarray(free.sum(axis=0))
    noise = np.sqrt(variance) * generator.standard_normal(residuals.shape)
    difference = residuals - free[:, :, observed].sum(axis=0) - noise
    return np.asarray(free.sum(axis=0) + _smoothed(misfit, days, observed, variance, difference))


def _smoothed(
    misfit: Misfit,
    days: int,
    observed: NDArray[np.int64],
    variance: Floats,
    difference: Floats,
) -> Floats:
    """Expected wandering (members, days) given differences (members, n).

    The precision of slow and quick, day by day in turn, is a band of two beside the diagonal: one
    solve for all members does what a filter and a smoother do (Rue & Held, *Gaussian Markov Random
    Fields*, 2005, sections 2.3-2.4).
    """
    band = np.zeros((3, 2 * days))
    for part, (deviation, scale) in enumerate(
        ((misfit.slow, SLOW_DAYS), (misfit.quick, QUICK_DAYS))
    ):
        keep = np.exp(-1.0 / scale)
        new = max(deviation, LEAST_DEVIATION) ** 2 * (1.0 - keep**2)
        band[2, part::2] = (1.0 + keep**2) / new
        band[2, [part, part - 2]] = 1.0 / new
        band[0, part + 2 :: 2] = -keep / new
    seen = 2 * observed
    told = (difference / variance).T
    right = np.zeros((2 * days, len(difference)))
    for part in (0, 1):
        band[2, seen + part] += 1.0 / variance
        right[seen + part] = told
    band[1, seen + 1] = 1.0 / variance
    parts = solveh_banded(band, right, overwrite_ab=True, overwrite_b=True, check_finite=False)
    return np.asarray((parts[::2] + parts[1::2]).T)
