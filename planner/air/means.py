"""Hours to days, days to weeks: always the mean of the vapour pressure."""

from datetime import date, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd

from planner.air.days import Air, Dates, Days
from planner.air.humidity import Floats


def days_of_hours(times: Dates, temperature: Floats, vapour_pressure: Floats, zone: str) -> Days:
    """Return daily means over the days of a time zone.

    Parameters
    ----------
    times : (n,) datetime64, UTC, in any order
        Several values within one hour count as their mean; a value in an hour counts once.
    temperature : (n,). [°C]
    vapour_pressure : (n,). [Pa]
    zone : IANA name of the time zone whose days are wanted

    Returns
    -------
    Days
        ``hours`` tells how many hours of each day had both values. Hours with a NaN don't count;
        days without any hour are left out.

    Raises
    ------
    zoneinfo.ZoneInfoNotFoundError
        If the time zone isn't known.
    """
    sound = np.isfinite(temperature) & np.isfinite(vapour_pressure) & ~np.isnat(times)
    local = pd.DatetimeIndex(times[sound]).tz_localize("UTC").tz_convert(ZoneInfo(zone))
    # Full hours of the local clock, which in some zones aren't those of UTC.
    past_the_hour = pd.to_timedelta(local.minute * 60 + local.second, unit="s")
    frame = pd.DataFrame(
        {"temperature": temperature[sound], "vapour_pressure": vapour_pressure[sound]},
        index=(local.tz_convert("UTC") - past_the_hour).floor("s"),
    )
    hourly = frame.groupby(level=0).mean()
    local = pd.DatetimeIndex(hourly.index).tz_convert(ZoneInfo(zone))
    daily = hourly.groupby(local.tz_localize(None).normalize()).agg(
        temperature=("temperature", "mean"),
        vapour_pressure=("vapour_pressure", "mean"),
        hours=("temperature", "size"),
    )
    return Days(
        daily.index.to_numpy().astype("datetime64[D]"),
        daily["temperature"].to_numpy(dtype=float),
        daily["vapour_pressure"].to_numpy(dtype=float),
        daily["hours"].to_numpy(dtype=np.int64),
    )


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
