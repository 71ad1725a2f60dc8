"""Centre against sides: a blade that sits tilted, or is worn in the middle."""

import numpy as np

from planner.spread import Spread
from planner.watch.chart import CAREFUL_LIMIT, WEIGHT, Floats, ewma, ewma_half_width
from planner.watch.checks import Series
from planner.watch.documents import Sides

FEW = 3  # checks with both sides, below which nothing is said
WORTH_SAYING = 0.01  # mm, what a dial gauge shows

# Spread of left minus right, and of centre minus sides, in one check [mm]: guesses, as for the
# centre, two and one-and-a-half gaugings together; worth as many checks as there.
TILT_SPREAD, FALL_SPREAD, GUESS_WORTH = 0.014, 0.012, 8.0
# What both may be off before any check [mm]: guesses.
TILT_SD, CHANGE_SD = 0.03, 0.02


def sides(series: Series) -> Sides:
    """Return what left, right and centre say since the last restart."""
    own = series.current & np.isfinite(series.left) & np.isfinite(series.right)
    count = int(own.sum())
    if count < FEW:
        return Sides(count, None, None, None, "unknown")
    tilt = (series.left - series.right)[own]
    fall = (series.centre - (series.left + series.right) / 2)[own]
    weeks = series.weeks[own]
    tilt_spread, fall_spread = _spread(tilt, TILT_SPREAD), _spread(fall, FALL_SPREAD)
    tilted = _mean(tilt, tilt_spread, TILT_SD)
    change = _change(weeks - weeks[0], fall, fall_spread)
    return Sides(
        checks=count,
        tilt_mm=Spread.normal(*tilted),
        fall_mm=Spread.normal(float(fall.mean()), float(fall_spread * count**-0.5)),
        fall_change_mm=Spread.normal(*change),
        finding=_finding(tilt, tilt_spread, tilted, change),
    )


def _finding(
    tilt: Floats, spread: float, tilted: tuple[float, float], change: tuple[float, float]
) -> str:
    off = abs(float(ewma(tilt, start=0.0, weight=WEIGHT)[-1]))
    called = off > ewma_half_width(spread, limit=CAREFUL_LIMIT)
    if called and abs(tilted[0]) >= WORTH_SAYING:
        return "tilted"
    if abs(change[0]) >= max(WORTH_SAYING, CAREFUL_LIMIT * change[1]):
        return "worn"
    return "even"


def _spread(values: Floats, guess: float) -> float:
    """Spread of one value from neighbours' differences, on top of a guess."""
    differences = np.diff(values)
    own = 2 / 3 * len(differences)
    squares = float(np.sum(differences**2)) / 3
    return float(np.sqrt((GUESS_WORTH * guess**2 + squares) / (GUESS_WORTH + own)))


def _mean(values: Floats, spread: float, before: float) -> tuple[float, float]:
    """Mean and standard deviation of a level that is nought, give or take *before*, at first."""
    weight = len(values) / spread**2
    total = weight + 1 / before**2
    return float(values.mean()) * weight / total, float(total**-0.5)


def _change(weeks: Floats, values: Floats, spread: float) -> tuple[float, float]:
    """Change over the run by a straight line, with its standard deviation. [mm]"""
    length = float(weeks[-1])
    if length == 0:
        return 0.0, CHANGE_SD
    along = weeks / length - float((weeks / length).mean())
    weight = float(along @ along) / spread**2
    total = weight + 1 / CHANGE_SD**2
    return float(along @ values) / spread**2 / total, float(total**-0.5)
