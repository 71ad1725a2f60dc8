"""Sources of the same air brought onto one footing, before they meet in one outlook.

A forecast is made for the point, a reanalysis for the mean height of a cell of 50 km, a station
stands somewhere else again: left as they are, every seam between two of them would be a step.
First each source is moved to the height of the place, then by its mean difference, over the days
that both have, from the source that tells most of the place.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from planner.air.days import Days
from planner.air.humidity import Floats, saturation_pressure
from planner.weather.season import two_rows

# °C/m: International Standard Atmosphere, ISO 2533.
TEMPERATURE_LAPSE = -6.5e-3
# 1/m, of the logarithm of vapour pressure: the mean over the months (0.33 to 0.42 per km) of
# Kunkel (1989), Simple procedures for extrapolation of humidity variables in the mountainous
# western United States, J. Climate 2, as tabulated by Liston and Elder (2006), A meteorological
# distribution system for high-resolution terrestrial modeling, J. Hydrometeorology 7, table 1.
VAPOUR_LAPSE = -0.38e-3
MOST_METRES = 5000.0  # more between a source and its place is a slip in one of the heights

# What two sources of one place usually differ by, once at one height, and from day to day. The
# first is what a difference is held to while few days are shared. Guesses. [°C, 1]
USUAL_DIFFERENCE = np.array([1.0, 0.07])
USUAL_SCATTER = np.array([1.5, 0.10])
MEMORY_DAYS = 4.0  # days that count as one independent look at the difference
COUNTED_DAYS = 1100  # the last three years: services change their models
SCATTER_LOOKS = 5.0  # what the usual scatter counts for beside the seen one


@dataclass(frozen=True)
class Told:
    """What one source tells of a place; *height* [m] is where its values stand, None at the place.

    ``days`` of a forecast source are those foreseen a day or two ahead.
    """

    source: str
    days: Days
    height: float | None = None


@dataclass(frozen=True)
class Move:
    """By how much a source is moved: *rows* (2,) temperature [°C] and logarithm of vapour.

    ``shared`` are the days that it has in common with the source that is the footing.
    """

    rows: Floats
    shared: int = 0

    def of(self, days: Days) -> Days:
        """Return days moved; no damper than saturated."""
        if not self.rows.any():
            return days
        temperature = days.temperature + self.rows[0]
        vapour = days.vapour_pressure * np.exp(self.rows[1])
        vapour = np.minimum(vapour, saturation_pressure(temperature))
        return replace(days, temperature=temperature, vapour_pressure=vapour)


NOT_MOVED = Move(np.zeros(2))


def footing(
    observed: Sequence[Told], foreseen: Sequence[Told] = (), *, height: float | None = None
) -> Mapping[str, Move]:
    """Return by how much each source is to be moved, by its name.

    Parameters
    ----------
    observed : past days of each source that observes, the best source first
    foreseen : days foreseen, of each source of forecasts
    height : of the place [m]; None where it isn't known, and then that of the forecasts counts,
        which are made for the point

    Returns
    -------
    The source with the most observed days is the footing: it is moved for height alone.
    """
    if height is None:
        height = next((told.height for told in foreseen if told.height is not None), None)
    moves = {told.source: _for_height(told, height) for told in (*observed, *foreseen)}
    if not observed:
        return moves
    first = max(observed, key=lambda told: len(told.days))
    ground = moves[first.source].of(first.days)
    for told in (*observed, *foreseen):
        if told is not first:
            raised = moves[told.source]
            rows, shared = difference(raised.of(told.days), ground)
            moves[told.source] = Move(raised.rows + rows, shared)
    return moves


def _for_height(told: Told, height: float | None) -> Move:
    if height is None or told.height is None or abs(height - told.height) > MOST_METRES:
        return NOT_MOVED
    above = height - told.height
    return Move(np.array([TEMPERATURE_LAPSE, VAPOUR_LAPSE]) * above)


def difference(table: Days, ground: Days) -> tuple[Floats, int]:
    """Return what is to be added to *table*, (2,), and how many days both have.

    The mean difference over the shared days, held to nought by how few they are: with the usual
    difference u and the mean's own variance v it is kept to u² / (u² + v).
    """
    _, here, there = np.intersect1d(
        table.day[-COUNTED_DAYS:], ground.day, assume_unique=True, return_indices=True
    )
    if not len(here):
        return np.zeros(2), 0
    here = here + max(len(table) - COUNTED_DAYS, 0)
    apart = two_rows(ground)[:, there] - two_rows(table)[:, here]
    mean = apart.mean(axis=1)
    looks = len(here) / MEMORY_DAYS
    squares = ((apart - mean[:, None]) ** 2).mean(axis=1)
    scatter = (looks * squares + SCATTER_LOOKS * USUAL_SCATTER**2) / (looks + SCATTER_LOOKS)
    kept = USUAL_DIFFERENCE**2 / (USUAL_DIFFERENCE**2 + scatter / looks)
    return np.asarray(kept * mean), len(here)
