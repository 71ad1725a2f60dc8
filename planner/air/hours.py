"""Hours to days of a time zone: always the mean of the vapour pressure."""

from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd

from planner.air.days import Dates, Days
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
