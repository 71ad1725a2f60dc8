"""Days to weeks, and days of one member out of a table with gaps."""

from datetime import date, timedelta

import numpy as np

from planner.air.days import Air, Dates, Days
from planner.air.humidity import Floats


def monday_of(day: date) -> date:
    """Return the Monday of the week of *day*."""
    return day - timedelta(days=day.weekday())


def week_means(days: Dates, values: Floats, mondays: Dates) -> Floats:
    """Return the means of daily *values* (..., days) over the weeks of *mondays* (weeks,).

    *days* (days,) are consecutive. A week counts with the days that are there; a week without a
    day, or with a NaN in it, is NaN.
    """
    first = (mondays.astype("datetime64[D]") - days[0]).astype(int)
    sums = np.concatenate(
        [np.zeros((*values.shape[:-1], 1)), np.cumsum(values, axis=-1, dtype=float)], axis=-1
    )
    start = np.clip(first, 0, len(days))
    end = np.clip(first + 7, 0, len(days))
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray((sums[..., end] - sums[..., start]) / (end - start), dtype=float)


def one_member(table: Days, first: date, last: date) -> Air:
    """Return the days *first* to *last* of a table as air of one member.

    Gaps up to the ends are filled by a straight line between the neighbours (the ends held), so
    that lags have something to run on.

    Raises
    ------
    ValueError
        If the table has no row at all.
    """
    if not len(table):
        raise ValueError("no day of weather to fill from")
    days = np.arange(np.datetime64(first, "D"), np.datetime64(last, "D") + 1)
    known = table.day.astype(int)
    wanted = days.astype(int)
    return Air(
        days,
        np.interp(wanted, known, table.temperature)[None, :],
        np.interp(wanted, known, table.vapour_pressure)[None, :],
    )
