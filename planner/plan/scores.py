"""Scores of forecasts against what came: how far off, how well calibrated.

All take arrays, ignore nothing, and are lower for better unless said otherwise.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import chdtrc, ndtr

Floats = NDArray[np.float64]
PIT_BINS = 5  # with under about 50 values more bins only show noise


def crps_normal(seen: ArrayLike, mean: ArrayLike, deviation: ArrayLike) -> Floats:
    """Return the continuous ranked probability score of normal forecasts, in their unit.

    Gneiting & Raftery, "Strictly proper scoring rules, prediction, and estimation", Journal of
    the American Statistical Association 102 (2007), eq. 21. Broadcasts.
    """
    deviation = np.asarray(deviation, dtype=float)
    z = (np.asarray(seen, dtype=float) - np.asarray(mean, dtype=float)) / deviation
    density = np.exp(-0.5 * z**2) / np.sqrt(2 * np.pi)
    return np.asarray(deviation * (z * (2 * ndtr(z) - 1) + 2 * density - 1 / np.sqrt(np.pi)))


def crps_members(seen: ArrayLike, members: Floats, *, fair: bool = False) -> Floats:
    """Return the CRPS of forecasts given as members (members, ...) of what is *seen* (...).

    E|X - y| - ½ E|X - X'|: Gneiting & Raftery (2007), eq. 20; *fair* takes X and X' from
    different members, so that few members aren't held against a forecast (Ferro, Quarterly
    Journal of the Royal Meteorological Society 140, 2014).
    """
    ordered = np.sort(np.asarray(members, dtype=float), axis=0)
    count = len(ordered)
    rank = np.arange(1, count + 1).reshape((count,) + (1,) * (ordered.ndim - 1))
    # The mean difference of all pairs from the order alone (Gini).
    pairs = 2 * ((2 * rank - count - 1) * ordered).sum(axis=0)
    spread = pairs / (count * (count - 1) if fair else count**2)
    away = np.abs(ordered - np.asarray(seen, dtype=float)).mean(axis=0)
    return np.asarray(away - spread / 2, dtype=float)


def brier(probability: ArrayLike, came: ArrayLike) -> float:
    """Return the Brier score of the *probability* (n,) of what *came* (n,), 0 or 1."""
    return float(np.mean((np.asarray(probability, dtype=float) - np.asarray(came, float)) ** 2))


@dataclass(frozen=True)
class BrierParts:
    """Brier = reliability - resolution + uncertainty (+ within, where forecasts are grouped).

    Less reliability is better calibrated, more resolution tells good from bad better.
    """

    reliability: float
    resolution: float
    uncertainty: float
    within: float


def brier_parts(
    probability: ArrayLike, came: ArrayLike, groups: NDArray[np.int64] | None = None
) -> BrierParts:
    """Return the parts of the Brier score over groups of forecasts.

    Without *groups* (n,) equal forecasts form a group, which is Murphy's, "A new vector partition
    of the probability score", Journal of Applied Meteorology 12 (1973); with groups of unlike
    forecasts the spread within is a part of its own (Stephenson, Coelho & Jolliffe, Weather and
    Forecasting 23, 2008).
    """
    p, o = np.asarray(probability, dtype=float), np.asarray(came, dtype=float)
    number = np.unique(p, return_inverse=True)[1] if groups is None else groups
    number = np.unique(number, return_inverse=True)[1]
    count = np.bincount(number)
    forecast, observed = np.bincount(number, p) / count, np.bincount(number, o) / count
    rate = float(o.mean())
    share = count / len(p)
    reliability = float(np.sum(share * (forecast - observed) ** 2))
    resolution = float(np.sum(share * (observed - rate) ** 2))
    uncertainty = rate * (1 - rate)
    return BrierParts(
        reliability,
        resolution,
        uncertainty,
        brier(p, o) - reliability + resolution - uncertainty,
    )


def coverage(seen: ArrayLike, low: ArrayLike, high: ArrayLike) -> float:
    """Return the share of what was *seen* (n,) that lay within *low* to *high* (n,)."""
    seen = np.asarray(seen, dtype=float)
    return float(np.mean((seen >= np.asarray(low)) & (seen <= np.asarray(high))))


def pit_members(seen: ArrayLike, members: Floats) -> Floats:
    """Return where what was *seen* (n,) fell among the members (members, n): 0 to 1.

    The middle of the place among them, ties halved, so that it is repeatable.
    """
    seen = np.asarray(seen, dtype=float)
    below = (members < seen).sum(axis=0) + 0.5 * (members == seen).sum(axis=0)
    return np.asarray((below + 0.5) / (len(members) + 1), dtype=float)


def pit_counts(
    pit: Floats, bins: int = PIT_BINS, *, effective: float | None = None
) -> tuple[NDArray[np.int64], float]:
    """Return how many values fell into each of equal *bins*, and the chance of such unevenness.

    The chance is that of Pearson's chi-square against even counts; small means miscalibrated.
    Where values hang together, *effective* is how many of them tell by themselves, by which the
    chi-square is brought down (Rao & Scott, Annals of Statistics 12, 1984, their first
    correction).
    """
    counts = np.histogram(pit, bins=bins, range=(0.0, 1.0))[0].astype(np.int64)
    if not len(pit):
        return counts, 1.0
    even = len(pit) / bins
    part = 1.0 if effective is None else effective / len(pit)
    return counts, float(chdtrc(bins - 1, part * float(((counts - even) ** 2 / even).sum())))
