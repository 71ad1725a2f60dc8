"""Hygrometer readings of one room, and their means by the day."""

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from planner.air.days import Dates
from planner.air.humidity import Floats

HOURS = 24

# What one reading tells of its day's mean: the daily swing of a lived-in room. A guess from
# published logs of houses; a full day of hours averages it out.
SWING_HUMIDITY = 3.0  # %
SWING_TEMPERATURE = 1.0  # °C
# Noise that no averaging removes: a hygrometer's place in the room, its steps.
NOISE_HUMIDITY = 1.0  # %
NOISE_TEMPERATURE = 0.2  # °C


@dataclass(frozen=True)
class Readings:
    """Readings of one place in any order; spot readings and a logger's rows alike.

    Attributes
    ----------
    time : (n,) datetime64, UTC
    temperature : (n,) NaN where none was noted. [°C]
    relative_humidity : (n,) as the hygrometer showed it. [%]
    zone : IANA name of the time zone whose days the outdoor table keeps
    """

    time: NDArray[np.datetime64]
    temperature: Floats
    relative_humidity: Floats
    zone: str = "UTC"

    def __post_init__(self) -> None:
        n = len(self.time)
        if not (len(self.temperature) == len(self.relative_humidity) == n):
            raise ValueError(f"columns of different length: {n} times")

    def __len__(self) -> int:
        return len(self.time)

    @staticmethod
    def none() -> "Readings":
        """Return no readings."""
        return Readings(np.empty(0, "datetime64[s]"), np.empty(0), np.empty(0))


@dataclass(frozen=True)
class Series:
    """Daily means of one quantity, days without a value left out; arrays are (n,).

    Attributes
    ----------
    day : datetime64[D], ascending, each once
    value : mean of the day's hours
    variance : how far that may be from the mean over the whole day, squared
    """

    day: Dates
    value: Floats
    variance: Floats

    def __len__(self) -> int:
        return len(self.day)

    def where(self, keep: NDArray[np.bool_]) -> "Series":
        """Return the days where *keep* (n,) is true."""
        return Series(self.day[keep], self.value[keep], self.variance[keep])


def humidity_by_day(readings: Readings, offset: float = 0.0) -> Series:
    """Return daily relative humidity [%], an *offset* [%] of the hygrometer taken off."""
    series = _by_day(readings, readings.relative_humidity - offset, SWING_HUMIDITY, NOISE_HUMIDITY)
    return Series(series.day, np.clip(series.value, 0.0, 100.0), series.variance)


def temperature_by_day(readings: Readings) -> Series:
    """Return daily temperature [°C]."""
    return _by_day(readings, readings.temperature, SWING_TEMPERATURE, NOISE_TEMPERATURE)


def _by_day(readings: Readings, values: Floats, swing: float, noise: float) -> Series:
    """Means of hours, then of days, so that a burst of readings counts once."""
    sound = np.isfinite(values) & ~np.isnat(readings.time)
    hour = _local_hours(readings.time[sound], readings.zone)
    hours, by_hour = _group_means(hour, values[sound])
    days, by_day = _group_means(hours // HOURS, by_hour)
    count = np.unique(hours // HOURS, return_counts=True)[1]
    unseen = np.maximum(1.0 / np.maximum(count, 1) - 1.0 / HOURS, 0.0)
    return Series(days.astype("datetime64[D]"), by_day, noise**2 + swing**2 * unseen)


def _group_means(keys: NDArray[np.int64], values: Floats) -> tuple[NDArray[np.int64], Floats]:
    unique, inverse = np.unique(keys, return_inverse=True)
    count = np.bincount(inverse, minlength=len(unique))
    total = np.bincount(inverse, weights=values, minlength=len(unique))
    return unique, np.asarray(total / np.maximum(count, 1), dtype=float)


def _local_hours(time: NDArray[np.datetime64], zone: str) -> NDArray[np.int64]:
    """Hours since 1970 by the clock of *zone*; the offset is that of the UTC day's noon."""
    hours = time.astype("datetime64[h]").astype(np.int64)
    if zone == "UTC":
        return hours
    days, inverse = np.unique(hours // HOURS, return_inverse=True)
    clock = ZoneInfo(zone)
    offsets = [
        datetime.fromtimestamp((int(day) * HOURS + 12) * 3600, clock).utcoffset() for day in days
    ]
    shift = np.array([round(o.total_seconds() / 3600) if o else 0 for o in offsets], np.int64)
    return np.asarray(hours + shift[inverse] if len(days) else hours)
