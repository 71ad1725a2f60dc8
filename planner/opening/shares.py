"""The share of coming reeds in the wanted range, over all that is unsure."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from planner.opening.draws import EffectDraws
from planner.opening.observations import Floats

CHUNK = 400_000  # single-precision figures at a time; they stay in the processor's cache
_TAIL = 6.0  # standard deviations
_FIRST, _THIRD, _FIFTH = (np.float32(c) for c in (0.79771757, 0.03679867, -0.00031590))


def share_in_range(
    draws: EffectDraws, diameter: Floats, gouge: Floats, moisture: Floats, days_ahead: Floats
) -> Floats:
    """Return the expected share in the wanted range, (weeks, diameters, gouges).

    Parameters
    ----------
    draws : effects; draw *k* goes with member *k*, in turn where there are more members
    diameter : (d,) [mm]
    gouge : (g,) [mm]
    moisture : (members, weeks) of the cane. [%]
    days_ahead : (weeks,) days since the last judged reed
    """
    weeks = moisture.shape[1]
    shape = (weeks, len(diameter), len(gouge))
    out = np.empty(shape)
    for week, part in _by_weeks(draws, diameter, gouge, moisture, days_ahead):
        out[week] = part.mean(axis=-1, dtype=np.float64).reshape(-1, *shape[1:])
    return out


def share_samples(
    draws: EffectDraws, diameter: Floats, gouge: Floats, moisture: Floats, days_ahead: Floats
) -> Floats:
    """Return the share in range of each member, (members, weeks), for one choice a week.

    Arguments as in :func:`share_in_range`, but *diameter* and *gouge* are (weeks,) or single.
    """
    draws = paired(draws, len(moisture))
    mean, sd = opening_moments(draws, diameter, gouge, moisture, days_ahead)
    low, high = (draws.low[:, None] - mean) / sd, (draws.high[:, None] - mean) / sd
    return np.asarray(_normal_share(low) - _normal_share(high), dtype=float)


def opening_moments(
    draws: EffectDraws, diameter: Floats, gouge: Floats, moisture: Floats, days_ahead: Floats
) -> tuple[Floats, Floats]:
    """Return mean and standard deviation (members, weeks) of a coming reed's opening. [mm]"""
    draws = paired(draws, len(moisture))
    at = draws.reference
    mean = (
        draws.level[:, None]
        + draws.diameter[:, None] * (np.asarray(diameter) - at.diameter)
        + draws.gouge[:, None] * (np.asarray(gouge) - at.gouge)
        + draws.moisture[:, None] * (moisture - at.moisture)
    )
    return mean, reed_sd(draws, days_ahead)


def opening_quantiles(
    draws: EffectDraws,
    diameter: Floats,
    gouge: Floats,
    moisture: Floats,
    days_ahead: Floats,
    levels: Floats,
) -> Floats:
    """Return quantiles (levels, weeks) of a coming reed's opening. [mm]

    *diameter* and *gouge* are (weeks,) or single, *levels* between 0 and 1.
    """
    return mixture_quantiles(*opening_moments(draws, diameter, gouge, moisture, days_ahead), levels)


def mixture_quantiles(mean: Floats, sd: Floats, levels: Floats) -> Floats:
    """Return quantiles (levels, n) of even mixtures of normal distributions (members, n)."""
    levels = np.asarray(levels, dtype=float)[:, None]
    low, high = (mean - _TAIL * sd).min(axis=0), (mean + _TAIL * sd).max(axis=0)
    low, high = (
        np.broadcast_to(low, (len(levels), len(low))),
        np.broadcast_to(high, (len(levels), len(high))),
    )
    for _ in range(20):  # halving: 6 sd to a hundredth of a micrometre
        middle = (low + high) / 2
        below = (1.0 - _normal_share((middle[:, None] - mean) / sd)).mean(axis=1) < levels
        low, high = np.where(below, middle, low), np.where(below, high, middle)
    return np.asarray((low + high) / 2, dtype=float)


def reed_sd(draws: EffectDraws, days_ahead: Floats) -> Floats:
    """Spread of a single reed about its draw's expectation, (draws, weeks). [mm]"""
    wander = draws.wander[:, None] ** 2 * np.maximum(np.asarray(days_ahead, dtype=float), 0.0)
    variance = draws.spread[:, None] ** 2 + np.minimum(wander, draws.wander_limit**2)
    return np.asarray(np.sqrt(variance), dtype=float)


def paired(draws: EffectDraws, members: int) -> EffectDraws:
    """Return draws repeated or cut to the number of members, member *k* with draw *k*."""
    if len(draws) == members:
        return draws
    turn = np.arange(members) % len(draws)
    return replace(
        draws,
        level=draws.level[turn],
        diameter=draws.diameter[turn],
        gouge=draws.gouge[turn],
        moisture=draws.moisture[turn],
        spread=draws.spread[turn],
        wander=draws.wander[turn],
        low=draws.low[turn],
        high=draws.high[turn],
    )


def _by_weeks(
    draws: EffectDraws, diameter: Floats, gouge: Floats, moisture: Floats, days_ahead: Floats
) -> Iterator[tuple[slice, np.ndarray]]:
    """Yield shares (weeks, diameters x gouges, members) of a few weeks at a time."""
    draws = paired(draws, len(moisture))
    at = draws.reference
    cane = np.outer(np.repeat(diameter, len(gouge)) - at.diameter, draws.diameter) + np.outer(
        np.tile(gouge, len(diameter)) - at.gouge, draws.gouge
    )  # (d g, members)
    sd = reed_sd(draws, days_ahead).T  # (weeks, members)
    air = draws.level + draws.moisture * (moisture.T - at.moisture)
    step = max(1, CHUNK // max(cane.size, 1))
    scaled = {
        "low": ((draws.low - air) / sd).astype(np.float32),
        "width": ((draws.high - draws.low) / sd).astype(np.float32),
        "inverse": (1.0 / sd).astype(np.float32),
    }
    cane = cane.astype(np.float32)
    for first in range(0, len(sd), step):
        week = slice(first, first + step)
        low = scaled["low"][week, None] - cane * scaled["inverse"][week, None]
        yield week, _normal_share(low) - _normal_share(low + scaled["width"][week, None])


def _normal_share(z: np.ndarray) -> np.ndarray:
    """Share of a standard normal distribution above *z*, within 0.00002, in *z*'s precision.

    A hyperbolic tangent of an odd polynomial, its coefficients fitted here to the exact share: in
    single precision seven times as fast as the error function, and far below what is sure of a
    share.
    """
    z = np.clip(z, -_TAIL, _TAIL)
    square = z * z
    inner = z * (_FIRST + square * (_THIRD + square * _FIFTH))
    return np.asarray(0.5 - 0.5 * np.tanh(inner), dtype=z.dtype)
