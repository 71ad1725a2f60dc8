"""What a room does beside the model: a slow and a quick wandering, learned and carried over.

Both are Ornstein-Uhlenbeck processes, so that each day knows only its neighbours: the precision
of slow and quick, day by day in turn, is a band of two beside the diagonal, and every sum is one
banded solve (Rue & Held, *Gaussian Markov Random Fields*, 2005, sections 2.3-2.4).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import cho_solve_banded, cholesky_banded, solveh_banded

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

    def parts(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """Return deviation and time scale [days] of both."""
        slow, quick = max(self.slow, LEAST_DEVIATION), max(self.quick, LEAST_DEVIATION)
        return (slow, SLOW_DAYS), (quick, QUICK_DAYS)


class Correlation:
    """The covariance of readings about the model: the wandering, and each reading's own noise.

    Attributes
    ----------
    log_determinant : logarithm of the determinant of that covariance
    """

    def __init__(self, day: NDArray[np.int64], variance: Floats, misfit: Misfit) -> None:
        """Factor the covariance; *day* (n,) ascend, *variance* (n,) is that of the noise."""
        band, log_determinant = _precision(day, misfit)
        _add_readings(band, np.arange(len(day)), variance)
        self._variance = variance
        self._factor = cholesky_banded(band, overwrite_ab=True, check_finite=False)
        both = 2.0 * np.log(self._factor[-1]).sum() - log_determinant
        self.log_determinant = float(both + np.log(variance).sum())

    def solve(self, columns: Floats) -> Floats:
        """Return the inverse of the covariance times *columns* (n, k)."""
        told = columns / self._variance[:, None]
        parts = cho_solve_banded((self._factor, False), np.repeat(told, 2, axis=0))
        wandering = parts[::2] + parts[1::2]
        return np.asarray(told - wandering / self._variance[:, None])


def innovations(
    day: NDArray[np.int64], variance: Floats, residual: Floats, misfit: Misfit
) -> Floats:
    """What each reading adds to those before it, in standard deviations (n,).

    A Kalman filter over the days (Durbin & Koopman, *Time Series Analysis by State Space Methods*,
    2012, chapter 4); *residual* (n,) is reading less model.
    """
    (slow, slow_days), (quick, quick_days) = misfit.parts()
    state_a = state_b = 0.0
    limit_a, limit_b = slow**2, quick**2
    aa, ab, bb = limit_a, 0.0, limit_b
    out = np.empty(len(residual))
    steps = np.diff(day, prepend=day[:1]).astype(float)
    keep_a, keep_b = np.exp(-steps / slow_days).tolist(), np.exp(-steps / quick_days).tolist()
    for i, (a, b, noise, value) in enumerate(
        zip(keep_a, keep_b, variance.tolist(), residual.tolist(), strict=True)
    ):
        aa, ab, bb = limit_a + a * a * (aa - limit_a), a * b * ab, limit_b + b * b * (bb - limit_b)
        state_a, state_b = a * state_a, b * state_b
        from_a, from_b = aa + ab, ab + bb
        total = from_a + from_b + noise
        new = value - state_a - state_b
        out[i] = new / total**0.5
        state_a, state_b = state_a + from_a * new / total, state_b + from_b * new / total
        aa, ab, bb = (
            aa - from_a * from_a / total,
            ab - from_a * from_b / total,
            bb - from_b * from_b / total,
        )
    return out


def _precision(day: NDArray[np.int64], misfit: Misfit) -> tuple[Floats, float]:
    """Band (3, 2 n) of the precision of slow and quick in turn, and its logarithm of determinant.

    In the upper form of scipy: the last row is the diagonal.
    """
    band = np.zeros((3, 2 * len(day)))
    steps = np.diff(day).astype(float)
    log_determinant = 0.0
    for part, (deviation, scale) in enumerate(misfit.parts()):
        keep = np.exp(-steps / scale)
        new = deviation**2 * np.concatenate([np.ones(1), 1.0 - keep**2])
        band[2, part::2] = 1.0 / new
        band[2, part:-2:2] += keep**2 / new[1:]
        band[0, part + 2 :: 2] = -keep / new[1:]
        log_determinant -= float(np.log(new).sum())
    return band, log_determinant


def _add_readings(band: Floats, seen: NDArray[np.int64], variance: Floats) -> None:
    """Add to a precision what readings on the days *seen* tell of slow and quick together."""
    for part in (0, 1):
        band[2, 2 * seen + part] += 1.0 / variance
    band[1, 2 * seen + 1] += 1.0 / variance


def simulate(misfit: Misfit, members: int, days: int, generator: np.random.Generator) -> Floats:
    """Draw the slow and the quick wandering (2, members, days), nothing known of either.

    Day by day, each from a source of its own: more days only add to what fewer would have been.
    """
    parts = []
    scales = ((misfit.slow, SLOW_DAYS), (misfit.quick, QUICK_DAYS))
    for (deviation, scale), own in zip(scales, generator.spawn(len(scales)), strict=True):
        keep = np.exp(-1.0 / scale)
        noise = np.ascontiguousarray(own.standard_normal((days, members)).T)
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
    """Expected wandering (members, days) given differences (members, n)."""
    band, _ = _precision(np.arange(days), misfit)
    _add_readings(band, observed, variance)
    right = np.zeros((2 * days, len(difference)))
    right[2 * observed] = right[2 * observed + 1] = (difference / variance).T
    parts = solveh_banded(band, right, overwrite_ab=True, overwrite_b=True, check_finite=False)
    return np.asarray((parts[::2] + parts[1::2]).T)
