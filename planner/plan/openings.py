"""How far reeds will stand open, and how far to leave them open at the bench."""

import numpy as np
from scipy.special import ndtri

from planner.opening.draws import EffectDraws
from planner.opening.observations import Floats

PARTS = 8  # reeds drawn about each member, one from each eighth of the normal distribution
GOLDEN = 0.6180339887498949  # spreads the members evenly within each eighth


def mean_openings(draws: EffectDraws, diameter: Floats, gouge: Floats, moisture: Floats) -> Floats:
    """Mean opening (members, weeks) [mm] of cane of a diameter and gouge (weeks,) a week."""
    reference = draws.reference
    return np.asarray(
        draws.level[:, None]
        + draws.diameter[:, None] * (diameter - reference.diameter)
        + draws.gouge[:, None] * (gouge - reference.gouge)
        + draws.moisture[:, None] * (moisture - reference.moisture),
        dtype=float,
    )


def reed_openings(draws: EffectDraws, mean: Floats, days_ahead: Floats) -> Floats:
    """Openings (members x 8, weeks) [mm] of single reeds about *mean* (members, weeks)."""
    wander = np.minimum(draws.wander[:, None] * np.sqrt(days_ahead), draws.wander_limit)
    spread = np.hypot(draws.spread[:, None], wander)
    within = np.arange(len(mean)) * GOLDEN % 1.0
    deviates = ndtri((np.arange(PARTS)[:, None] + np.clip(within, 0.001, 0.999)) / PARTS)
    reeds = mean + spread * deviates[:, :, None]
    return np.asarray(reeds.reshape(-1, mean.shape[1]))


def bench_openings(draws: EffectDraws, moisture: Floats, bench_moisture: Floats) -> Floats:
    """Openings at the bench (members, weeks) [mm] that settle into the middle of the range there.

    The reed moves by the moisture effect times the change of moisture from the bench to where it
    is played.
    """
    middle = (draws.low + draws.high) / 2.0
    return np.asarray(
        middle[:, None] - draws.moisture[:, None] * (moisture - bench_moisture), dtype=float
    )
