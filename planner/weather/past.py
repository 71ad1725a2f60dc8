"""Outdoor air of past days, one member: what was observed, and a typical day where nothing was."""

from datetime import date

import numpy as np
from numpy.typing import NDArray

from planner.air.days import Air, Days
from planner.air.humidity import Floats

BRIDGED_DAYS = 3  # a gap up to this long is bridged by a straight line, as weather holds that long
YEAR_DAYS = 365.2425
ENOUGH_FOR_A_SEASON = 300  # days; with fewer the mean of what is there is the typical day


def past_air(observed: Days, first: date, last: date) -> tuple[Air, NDArray[np.bool_]]:
    """Return outdoor air from *first* to *last*, and which of its days rest on observations.

    Parameters
    ----------
    observed : the place's table, not empty
    first, last : both included

    Returns
    -------
    Air of one member, and (days,) true where the day was observed or lies in a short gap. The other
    days are typical ones of the season (mean and first harmonic of all that was observed).

    Raises
    ------
    ValueError
        If nothing was observed.
    """
    if not len(observed):
        raise ValueError("no observed day of weather to fill from")
    days = np.arange(np.datetime64(first, "D"), np.datetime64(last, "D") + 1)
    wanted, have = days.astype(int), observed.day.astype(int)
    known = _near(wanted, have)
    columns = [
        np.where(known, np.interp(wanted, have, values), _typical(have, values, wanted))[None, :]
        for values in (observed.temperature, np.log(observed.vapour_pressure))
    ]
    return Air(days, columns[0], np.exp(columns[1])), known


def _near(wanted: NDArray[np.int64], have: NDArray[np.int64]) -> NDArray[np.bool_]:
    """Whether a day is observed, or lies in a gap short enough to bridge."""
    after = np.searchsorted(have, wanted)
    following = have[np.minimum(after, len(have) - 1)]
    preceding = have[np.maximum(after - 1, 0)]
    exact = following == wanted
    inside = (after > 0) & (after < len(have)) & (following - preceding <= BRIDGED_DAYS + 1)
    return np.asarray(exact | inside)


def _typical(have: NDArray[np.int64], values: Floats, wanted: NDArray[np.int64]) -> Floats:
    """Mean and first harmonic of the year at the *wanted* days, fitted by least squares."""
    if len(have) < ENOUGH_FOR_A_SEASON:
        return np.full(len(wanted), values.mean())
    weights, *_ = np.linalg.lstsq(_harmonic(have), values, rcond=None)
    return np.asarray(_harmonic(wanted) @ weights)


def _harmonic(days: NDArray[np.int64]) -> Floats:
    angle = 2 * np.pi * days / YEAR_DAYS
    return np.column_stack([np.ones(len(days)), np.cos(angle), np.sin(angle)])
