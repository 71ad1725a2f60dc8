"""Moisture content of cane, by the isotherm of wood.

No isotherm of cane (Arundo donax) is published that we could check; related grasses take up about
as much water as wood between 20 and 65 % relative humidity, and more where it is damper. So the
wood isotherm is a stand-in: what counts is the change from week to week, and its size is learned
by the opening model from the maker's own reeds.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from planner.air.days import Air, Dates
from planner.air.humidity import Floats

DAYS_BEFORE = 3  # gouged cane follows the day's air, a tied blank that of a few days

USUAL_MOISTURE = 8.5  # %, a room at 21 °C and 45 %: Wood Handbook, table 4-2
ROOM_TEMPERATURE = 21.0  # °C, for a humidity noted without one; 1 °C is worth 0.03 % moisture
NOTED_SD = 0.6  # a hygrometer good to 3-4 % RH (common practice, no source) at 0.16 % per % RH


def moisture_content(relative_humidity: ArrayLike, temperature: ArrayLike) -> Floats:
    """Equilibrium moisture content [% of dry mass] at a humidity [%] and temperature [°C].

    Broadcasts. Humidities outside 0..100 % are taken as 0 or 100 %; NaN stays NaN.

    References
    ----------
    Hailwood-Horrobin equation with two hydrates: USDA Forest Products Laboratory, *Wood Handbook*,
    2010, ch. 4, eq. 4-4 and 4-5; coefficients in °C from Simpson, FPL-RN-0268.
    """
    h = np.clip(np.asarray(relative_humidity, dtype=float), 0.0, 100.0) / 100.0
    t = np.asarray(temperature, dtype=float)
    mass = 349.0 + t * (1.29 + 0.0135 * t)
    k = 0.805 + t * (0.000736 - 0.00000273 * t)
    k1 = 6.27 - t * (0.00938 + 0.000303 * t)
    k2 = 1.91 + t * (0.0407 - 0.000293 * t)
    kh = k * h
    first = k1 * kh
    second = first * k2 * kh
    bound = (first + 2.0 * second) / (1.0 + first + second)
    return np.asarray(1800.0 / mass * (kh / (1.0 - kh) + bound), dtype=float)


def noted_moisture(relative_humidity: ArrayLike) -> Floats:
    """Moisture content of cane [%], within NOTED_SD, at humidities [%] noted beside reeds (n,)."""
    return moisture_content(relative_humidity, ROOM_TEMPERATURE)


def moisture_on(indoor: Air, days: Dates, days_before: int = DAYS_BEFORE) -> Floats:
    """Moisture content of cane judged on given days, settled over the days before.

    Parameters
    ----------
    indoor : air of the room
    days : (n,) datetime64[D], the days of judging
    days_before : how many days before the day of judging are averaged

    Returns
    -------
    (members, n) moisture content [%]; the mean of those of the *days_before* days that *indoor*
    has, NaN where it has none of them.
    """
    content = moisture_content(indoor.relative_humidity, indoor.temperature)
    position = np.asarray((days.astype("datetime64[D]") - indoor.days[0]).astype(np.int64))
    return _means(content, position - days_before, position)


def moisture_over(
    indoor: Air, starts: Dates, length: int, days_before: int = DAYS_BEFORE
) -> Floats:
    """Moisture content of cane judged or played on any day of given spans: their means.

    Parameters
    ----------
    indoor : air of the room; it should begin *days_before* days before the first span
    starts : (spans,) datetime64[D], first days of the spans
    length : days of a span
    days_before : how many days before each day are averaged

    Returns
    -------
    (members, spans) moisture content [%]; NaN for a span of which *indoor* knows no day.
    """
    first = starts.astype("datetime64[D]")
    days: Dates = np.add.outer(first, np.arange(length)).ravel()
    daily = moisture_on(indoor, days, days_before)
    daily = daily.reshape(indoor.members, len(starts), length)
    known = np.isfinite(daily)
    count = known.sum(axis=-1)
    total = np.where(known, daily, 0.0).sum(axis=-1)
    return np.where(count > 0, total / np.maximum(count, 1), np.nan)


def _means(values: Floats, start: NDArray[np.int64], end: NDArray[np.int64]) -> Floats:
    """Means of *values* (members, days) from *start* (n,) to before *end*; NaN where empty."""
    days = values.shape[1]
    sums = np.concatenate([np.zeros((len(values), 1)), np.cumsum(values, axis=1)], axis=1)
    low, high = np.clip(start, 0, days), np.clip(end, 0, days)
    count = high - low
    total = sums[:, high] - sums[:, low]
    return np.where(count > 0, total / np.maximum(count, 1), np.nan)
