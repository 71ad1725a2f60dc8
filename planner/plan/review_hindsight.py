"""What the whole history says of each reed of a season, in joint draws with the effects.

The opening of a reed at the reference, its level and its lot's offset, is known the better the
more reeds of that time and lot were judged; and a draw in which diameter does more leaves another
level to explain the same openings. Both are kept: given a draw of the effects, level and lots are
a Gaussian process over time and lots (Rasmussen & Williams, *Gaussian Processes for Machine
Learning*, 2006, ch. 2), about the means that the opening model found.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from planner.opening.draws import EffectDraws
from planner.opening.observations import Floats, Observations
from planner.plan.review_rivals import Hindsight

LEVEL_SD = 0.15  # mm, of the level at the start of the window: next to unknown
VERDICT_WORTH = 0.5  # of a reed in mm, about: 0.64 where limits lie at the mean, less beside it
CELLS_AT_MOST = 400  # days and lots told apart; more, and days are taken together
SEED = 20


@dataclass(frozen=True)
class Found:
    """The opening model's means for each reed (n,), NaN for reeds it couldn't use. [mm]"""

    level: Floats
    lot: Floats
    reed_sd: float
    lot_sd: float


def hindsight(
    seen: Observations, found: Found, draws: EffectDraws, rows: NDArray[np.int64]
) -> Hindsight:
    """Return what is known of the reeds at *rows* of the history in each of the draws."""
    reference = draws.reference
    level, lot = _filled(found.level)[rows], np.nan_to_num(found.lot)[rows]
    base = (level + lot)[None, :] + _about(seen, found, draws, rows)
    reed_sd = found.reed_sd * draws.spread / draws.spread.mean()
    return Hindsight(
        base=base,
        diameter=draws.diameter,
        gouge=draws.gouge,
        moisture=draws.moisture,
        spread=reed_sd,
        low=draws.low,
        high=draws.high,
        cane=seen.moisture[rows],
        lot=lot,
        level=level,
        reference=(reference.diameter, reference.gouge, reference.moisture),
    )


def _filled(values: Floats) -> Floats:
    """Values with the gaps closed from the neighbours in order."""
    known = np.flatnonzero(np.isfinite(values))
    if not len(known):
        return np.zeros(len(values))
    return np.interp(np.arange(len(values)), known, values[known])


def _about(seen: Observations, found: Found, draws: EffectDraws, rows: NDArray[np.int64]) -> Floats:
    """How level and lot of each reed in each draw differ from their means (draws, rows)."""
    cell, day, lot = _cells(seen, rows)
    measured = np.isfinite(seen.opening[rows])
    weight = np.bincount(cell, np.where(measured, 1.0, VERDICT_WORTH))
    wander = float(draws.wander.mean())
    prior = _prior(day, lot, wander, found.lot_sd)
    noise = np.diag(found.reed_sd**2 / weight)
    smoother = np.linalg.solve(prior + noise, prior).T
    covariance = prior - smoother @ prior
    value, direction = np.linalg.eigh((covariance + covariance.T) / 2)
    root = direction * np.sqrt(np.maximum(value, 0.0))
    chance = np.random.default_rng(SEED).standard_normal((len(draws), len(weight)))
    moved = _explained(seen, draws, rows, cell) @ smoother.T
    return np.asarray((chance @ root.T - moved)[:, cell])


def _prior(day: Floats, lot: NDArray[np.int64], wander: float, lot_sd: float) -> Floats:
    since = day - day.min()
    level = LEVEL_SD**2 + wander**2 * np.minimum(since[:, None], since[None, :])
    same = (lot[:, None] == lot[None, :]) & ((lot[:, None] >= 0) | np.eye(len(lot), dtype=bool))
    return np.asarray(level + lot_sd**2 * same)


def _cells(
    seen: Observations, rows: NDArray[np.int64]
) -> tuple[NDArray[np.int64], Floats, NDArray[np.int64]]:
    """Number (rows,) of the cell of day and lot of each reed; day and lot of each cell."""
    days = seen.day[rows].astype("datetime64[D]").astype(np.int64)
    for together in (1, 7, 14, 28, 91):
        kept = np.stack([days // together, seen.lot[rows]], axis=1)
        cells, cell = np.unique(kept, axis=0, return_inverse=True)
        if len(cells) <= CELLS_AT_MOST:
            break
    return cell.ravel(), cells[:, 0].astype(float) * together, cells[:, 1]


def _explained(
    seen: Observations, draws: EffectDraws, rows: NDArray[np.int64], cell: NDArray[np.int64]
) -> Floats:
    """What the effects explain of each cell beyond their means (draws, cells). [mm]"""
    reference = draws.reference
    diameter = (seen.diameter_low + seen.diameter_high)[rows] / 2 - reference.diameter
    gouge = np.nan_to_num(seen.gouge[rows] - reference.gouge)
    moisture = seen.moisture[rows] - reference.moisture
    count = np.bincount(cell)
    total = np.zeros((len(draws), len(count)))
    for effect, values in (
        (draws.diameter, diameter),
        (draws.gouge, gouge),
        (draws.moisture, moisture),
    ):
        total += (effect - effect.mean())[:, None] * (np.bincount(cell, values) / count)
    return total
