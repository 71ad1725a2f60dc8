"""Air by the day: observed tables with gaps, and possible futures without.

Vapour pressure is what is kept and averaged, never relative humidity.
"""

from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from planner.air.humidity import Floats, relative_humidity

Dates = NDArray[np.datetime64]  # of unit day

WHOLE_DAY_HOURS = 18  # a day with fewer hours behind it is thin


@dataclass(frozen=True)
class Days:
    """Outdoor air of one place, one row a day, gaps allowed.

    Attributes
    ----------
    day : (n,) datetime64[D], ascending, each once
    temperature : (n,) mean of the day. [°C]
    vapour_pressure : (n,) mean of the day. [Pa]
    hours : (n,) hours of the day that stand behind the means
    """

    day: Dates
    temperature: Floats
    vapour_pressure: Floats
    hours: NDArray[np.int64]

    def __post_init__(self) -> None:
        n = len(self.day)
        if not (len(self.temperature) == len(self.vapour_pressure) == len(self.hours) == n):
            raise ValueError(f"columns of different length: {n} days")
        if not (np.diff(self.day) > np.timedelta64(0, "D")).all():
            raise ValueError("days must ascend, each once")

    def __len__(self) -> int:
        return len(self.day)

    def where(self, keep: NDArray[np.bool_]) -> "Days":
        """Return the rows where *keep* (n,) is true."""
        return Days(
            self.day[keep], self.temperature[keep], self.vapour_pressure[keep], self.hours[keep]
        )

    def before(self, day: date) -> "Days":
        """Return the rows of days before *day*."""
        return self.where(self.day < np.datetime64(day, "D"))

    @staticmethod
    def none() -> "Days":
        """Return a table without rows."""
        return Days(
            np.empty(0, "datetime64[D]"), np.empty(0), np.empty(0), np.empty(0, dtype=np.int64)
        )


def mondays_of(day: Dates) -> Dates:
    """Return the Monday of the week of each day (n,)."""
    weeks = (day.astype("datetime64[D]").astype(np.int64) + 3) // 7  # day 0 was a Thursday
    return (weeks * 7 - 3).astype("datetime64[D]")


@dataclass(frozen=True)
class Air:
    """Air over consecutive days in one or more members (possible futures, draws).

    Attributes
    ----------
    days : (days,) datetime64[D], consecutive
    temperature : (members, days). [°C]
    vapour_pressure : (members, days). [Pa]
    """

    days: Dates
    temperature: Floats
    vapour_pressure: Floats

    def __post_init__(self) -> None:
        shape = self.temperature.shape
        if self.vapour_pressure.shape != shape or len(shape) != 2 or shape[1] != len(self.days):
            raise ValueError(
                f"{len(self.days)} days, but {shape} and {self.vapour_pressure.shape} of values"
            )
        if not (np.diff(self.days) == np.timedelta64(1, "D")).all():
            raise ValueError("days must be consecutive")

    @property
    def members(self) -> int:
        """How many members there are."""
        return int(self.temperature.shape[0])

    @property
    def relative_humidity(self) -> Floats:
        """Relative humidity of the daily means (members, days). [%]"""
        return relative_humidity(self.vapour_pressure, self.temperature)

    def part(self, first: date, last: date) -> "Air":
        """Return the days from *first* to *last*, both included."""
        keep = (self.days >= np.datetime64(first, "D")) & (self.days <= np.datetime64(last, "D"))
        return Air(self.days[keep], self.temperature[:, keep], self.vapour_pressure[:, keep])
