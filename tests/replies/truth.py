"""An invented truth of outdoor air, from which every service's answer is made.

Hours are counted from :data:`START`, in UTC.
"""

from datetime import UTC, date, datetime, timedelta

import numpy as np

from planner.air.humidity import dew_point, saturation_pressure, vapour_pressure

START = datetime(2000, 1, 1, tzinfo=UTC)
PRESSURE = 98_700.0  # Pa


def hours(first: datetime, count: int, step: int = 1) -> np.ndarray:
    """Return *count* hours from *first*, *step* apart."""
    return (first - START) // timedelta(hours=1) + step * np.arange(count)


def stamps(hours: np.ndarray) -> list[str]:
    """Return hours as ``2026-11-25T08:00:00``."""
    return np.datetime_as_string(np.datetime64("2000-01-01T00:00:00") + hours * 3600).tolist()


def temperature(n: np.ndarray) -> np.ndarray:
    """Temperature [°C]: a season, a passing week, a day."""
    return (
        9.0
        - 9.0 * np.cos(2 * np.pi * (n / 24 - 20) / 365.25)
        + 3.0 * np.sin(2 * np.pi * n / 24 / 6.3)
        + 2.5 * np.sin(2 * np.pi * (n - 9) / 24)
    )


def vapour(n: np.ndarray) -> np.ndarray:
    """Vapour pressure [Pa]: 55 to 85 % of saturation, slowly changing."""
    return vapour_pressure(70.0 + 15.0 * np.sin(2 * np.pi * n / 24 / 4.1), temperature(n))


def dew(n: np.ndarray) -> np.ndarray:
    """Dew point [°C]."""
    return dew_point(vapour(n))


def humidity(n: np.ndarray) -> np.ndarray:
    """Relative humidity [%]."""
    return 100.0 * vapour(n) / saturation_pressure(temperature(n))


def specific(n: np.ndarray) -> np.ndarray:
    """Specific humidity [kg/kg] at the invented air pressure."""
    e = vapour(n)
    return 0.622 * e / (PRESSURE - 0.378 * e)


def day_means(values, first: date, count: int, offset_hours: int = 0) -> np.ndarray:
    """Means of a quantity over *count* days that begin at midnight of a fixed offset."""
    begins = datetime(first.year, first.month, first.day, tzinfo=UTC)
    n = hours(begins - timedelta(hours=offset_hours), 24 * count)
    return values(n).reshape(count, 24).mean(axis=1)
