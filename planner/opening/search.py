"""The highest point of a smooth surface of a few dimensions within bounds.

A quasi-Newton search of our own instead of a library's: for six unknowns at the most it is a
page, it stops by the height that is still to be won, and it spares the import of an optimiser,
which takes longer than the whole fit of a short history.

References
----------
J. Nocedal and S. J. Wright, *Numerical Optimization*, 2nd ed., Springer 2006, chapter 6 (BFGS).
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from planner.opening.observations import Floats

LONGEST = 1.0  # step in any one direction; logarithms mostly
HALVINGS = 8
ENOUGH_RISE = 1e-4  # of what the slope promises (Armijo's rule)

HeightAndSlope = Callable[[Floats], tuple[float, Floats]]


@dataclass(frozen=True)
class Found:
    """Where a search ended.

    Attributes
    ----------
    vector : (k,) the highest point found
    inverse : (k, k) what the search has learned of the inverse of the negative curvature
    settled : False if it ran out of steps before the top
    """

    vector: Floats
    inverse: Floats
    settled: bool


def highest(
    surface: HeightAndSlope,
    start: Floats,
    bounds: tuple[Floats, Floats],
    inverse: Floats,
    *,
    close: float,
    steps: int,
) -> Found:
    """Climb from a start to the highest point within bounds.

    Parameters
    ----------
    surface : gives height and gradient (k,) at a vector (k,); a height of -inf is out of reach
    start : (k,)
    bounds : lower and upper ones, (k,) each
    inverse : (k, k) a guess of the inverse of the negative curvature
    close : stop where a quadratic surface would rise no more than that
    steps : give up after so many
    """
    here = np.clip(start, *bounds)
    height, slope = surface(here)
    for _ in range(steps):
        way = _way_up(here, slope, bounds, inverse)
        if 0.5 * slope @ way <= close:
            return Found(here, inverse, settled=True)
        way = way * min(1.0, LONGEST / np.abs(way).max())
        next_one = _step(surface, here, height, slope, way, bounds)
        if next_one is None:
            return Found(here, inverse, settled=False)
        there, height, next_slope = next_one
        inverse = _learned(inverse, there - here, slope - next_slope)
        here, slope = there, next_slope
    return Found(here, inverse, settled=False)


def _way_up(here: Floats, slope: Floats, bounds: tuple[Floats, Floats], inverse: Floats) -> Floats:
    """The step to the top of the quadratic surface; none against a bound that is reached."""
    low, high = bounds
    free = ~(((here <= low) & (slope < 0)) | ((here >= high) & (slope > 0)))
    inside = np.where(free[:, None] & free[None, :], inverse, 0.0)
    return np.asarray(inside @ slope, dtype=float)


def _step(
    surface: HeightAndSlope,
    here: Floats,
    height: float,
    slope: Floats,
    way: Floats,
    bounds: tuple[Floats, Floats],
) -> tuple[Floats, float, Floats] | None:
    """Go as much of the way as the surface rises enough for; None if it rises nowhere."""
    part = 1.0
    for _ in range(HALVINGS):
        there = np.clip(here + part * way, *bounds)
        reached, next_slope = surface(there)
        if reached >= height + ENOUGH_RISE * float(slope @ (there - here)):
            return there, reached, next_slope
        part *= 0.4
    return None


def _learned(inverse: Floats, step: Floats, change: Floats) -> Floats:
    """Update the inverse by what a step has shown (Nocedal & Wright, equation 6.17)."""
    bent = float(step @ change)
    if bent <= 1e-8 * float(np.sqrt((step @ step) * (change @ change))):
        return inverse
    turn = np.eye(len(step)) - np.outer(step, change) / bent
    return np.asarray(turn @ inverse @ turn.T + np.outer(step, step) / bent, dtype=float)
