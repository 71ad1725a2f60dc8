"""Judged reeds as the rows of a regression, sorted out and centred."""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from planner.opening.draws import Reference
from planner.opening.observations import UNJUDGED, Floats, Observations
from planner.opening.priors import Priors

Integers = NDArray[np.int64]

EFFECTS = ("diameter", "gouge", "moisture", "dry")
UNKNOWN_MOISTURE_SD = 2.0  # %, a room's year (guess)
FINE_DAYS = 30  # the last judging days keep a level of their own
COARSE_BLOCKS = 40


@dataclass(frozen=True)
class Rows:
    """Rows of the regression; every array is (n,) but ``x``.

    Attributes
    ----------
    kept : index into the observations that were given
    x : (n, 4) diameter, gouge, moisture less the reference, and 1 for a dry reed among soaked ones
    x_variance : (n, 3) variance of the first three about the value taken
    opening : NaN where only a verdict was given. [mm]
    verdict : as in the observations
    reading_variance : of the rounding to the steps in which openings are read. [mm²]
    lot : -1 where none was noted
    block : stretch of days over which the level is held
    block_day : (blocks,) middle of each stretch, in days since the first judged reed
    block_reeds : (blocks,) reeds of each stretch
    day : days since the first judged reed
    """

    kept: Integers
    x: Floats
    x_variance: Floats
    opening: Floats
    verdict: NDArray[np.int8]
    reading_variance: float
    lot: Integers
    lots: int
    block: Integers
    block_day: Floats
    block_reeds: Floats
    day: Floats
    all_dry: bool
    gouge_usual: float

    def __len__(self) -> int:
        return len(self.opening)

    @cached_property
    def measured(self) -> NDArray[np.bool_]:
        """Rows whose opening was read."""
        return np.isfinite(self.opening)

    @cached_property
    def judged_only(self) -> NDArray[np.bool_]:
        """Rows with a verdict and no reading."""
        return ~self.measured

    @cached_property
    def both(self) -> NDArray[np.bool_]:
        """Rows with a reading and a verdict."""
        return np.asarray(self.measured & (self.verdict != UNJUDGED))


def latest(rows: Rows, count: int) -> Rows:
    """Return the last *count* rows by themselves."""
    cut = slice(len(rows) - count, None)
    first = int(rows.block[cut][0])
    block = rows.block[cut] - first
    return replace(
        rows,
        kept=rows.kept[cut],
        x=rows.x[cut],
        x_variance=rows.x_variance[cut],
        opening=rows.opening[cut],
        verdict=rows.verdict[cut],
        lot=rows.lot[cut],
        block=block,
        block_day=rows.block_day[first:],
        block_reeds=np.bincount(block).astype(float),
        day=rows.day[cut],
    )


def make_rows(
    observations: Observations, reference: Reference, priors: Priors, resolution: float = 0.0
) -> Rows:
    """Return the usable observations as rows of the regression.

    *resolution* is how finely openings are read; the readings may show that it is coarser. [mm]
    """
    kept = usable(observations)
    diameter_low, diameter_high = observations.diameter_low[kept], observations.diameter_high[kept]
    gouge, gouge_variance, usual = _gouges(observations.gouge[kept], reference, priors)
    moisture, moisture_sd = _moistures(observations, kept, reference)
    opening = observations.opening[kept].astype(float)
    dry = observations.dry[kept]
    all_dry = bool(dry.any() and dry[np.isfinite(opening)].all())
    day = (observations.day[kept] - observations.day[kept][:1]).astype(float)
    block = _blocks(day)
    reeds = np.bincount(block, minlength=1).astype(float)
    return Rows(
        kept=kept,
        x=np.column_stack(
            [
                (diameter_low + diameter_high) / 2 - reference.diameter,
                gouge - reference.gouge,
                moisture - reference.moisture,
                dry & (not all_dry),
            ]
        ),
        x_variance=np.column_stack(
            [(diameter_high - diameter_low) ** 2 / 12.0, gouge_variance, moisture_sd**2]
        ),
        opening=opening,
        verdict=observations.verdict[kept],
        reading_variance=max(reading_step(opening), resolution) ** 2 / 12.0,
        lot=observations.lot[kept],
        lots=len(observations.lots),
        block=block,
        block_day=np.bincount(block, day, 1) / np.maximum(reeds, 1.0),
        block_reeds=reeds,
        day=day,
        all_dry=all_dry,
        gouge_usual=usual,
    )


def usable(observations: Observations) -> Integers:
    """Return the index of the observations that say something the model can use."""
    opening = observations.opening
    says = (np.isfinite(opening) & (opening >= 0.0)) | (observations.verdict != UNJUDGED)
    known = np.isfinite(observations.diameter_low) & np.isfinite(observations.diameter_high)
    return np.flatnonzero(says & known & (~np.isfinite(opening) | (opening >= 0.0)))


def reading_step(opening: Floats) -> float:
    """Return the step in which openings were read: 0.1, 0.05, 0.02 or 0.01 mm, 0 if finer."""
    read = opening[np.isfinite(opening)]
    if not len(read):
        return 0.0
    for step in (0.1, 0.05, 0.02, 0.01):
        if np.mean(np.abs(read / step - np.round(read / step)) < 1e-6) > 0.95:
            return step
    return 0.0


def _gouges(gouge: Floats, reference: Reference, priors: Priors) -> tuple[Floats, Floats, float]:
    """Gouges with the usual one where none was noted, their variance, and the usual one."""
    noted = gouge[np.isfinite(gouge)]
    # The gouge set as usual counts like four noted ones.
    usual = (4.0 * reference.gouge + noted.sum()) / (4.0 + len(noted))
    square = 4.0 * priors.gouge_sd**2 + np.sum((noted - usual) ** 2)
    missing = ~np.isfinite(gouge)
    variance = np.where(missing, square / (4.0 + len(noted)), 0.0)
    return np.where(missing, usual, gouge), variance, float(usual)


def _moistures(
    observations: Observations, kept: Integers, reference: Reference
) -> tuple[Floats, Floats]:
    moisture, sd = observations.moisture[kept], observations.moisture_sd[kept]
    unknown = ~np.isfinite(moisture)
    spread = np.where(np.isfinite(sd), sd, 0.0)
    return (
        np.where(unknown, reference.moisture, moisture),
        np.where(unknown, UNKNOWN_MOISTURE_SD, spread),
    )


def _blocks(day: Floats) -> Integers:
    """Number the stretches of days: the latest days one by one, earlier ones in even groups."""
    _, number = np.unique(day, return_inverse=True)
    number = np.asarray(number, dtype=np.int64).reshape(-1)
    if not len(number):
        return number
    early = max(int(number[-1]) + 1 - FINE_DAYS, 0)
    if early > COARSE_BLOCKS:
        coarse = np.arange(early) * COARSE_BLOCKS // early
        fine = COARSE_BLOCKS + np.arange(int(number[-1]) + 1 - early)
        number = np.concatenate([coarse, fine])[number]
    return number
