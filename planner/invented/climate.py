"""Invented daily weather: a year's course, and days that stray from it for some time."""

from datetime import date

import numpy as np

from planner.air.days import Air, Dates
from planner.air.humidity import Floats, dew_point, saturation_pressure
from planner.invented.truth import Climate

YEAR = 365.2425
# A day's weather keeps a part of yesterday's (quick), a spell's one of last week's (slow).
QUICK, SLOW = 0.72, 0.96
SLOW_SHARE = 0.35  # of the variance of the temperature
DRYNESS_KEPT = 0.6
DRYNESS_STRAY = 0.38  # of the logarithm of the distance of dew point and temperature
NEVER_CLOSER = 0.2  # °C, a day's mean is hardly ever fog all day
LAKE_SHIFT = 5.0  # days, standard deviation of the day on which the lake freezes
LAKE_TAKES = 1.5  # days over which the lake closes
LAKE_WARMS_FROM = 245.0  # day of the year from which the lake is warmer than the land
LAKE_BUILDS = 20.0  # days


def weather(climate: Climate, first: date, last: date, generator: np.random.Generator) -> Air:
    """Return invented outdoor air of one member from *first* to *last*, both included."""
    days = np.arange(np.datetime64(first, "D"), np.datetime64(last, "D") + 1)
    season = _day_of_year(days)
    warmth = np.cos(2.0 * np.pi * (season - climate.warmest) / YEAR)
    temperature = climate.mean + climate.amplitude * warmth
    temperature = temperature + _lake(climate, days, season, generator)
    summer, winter = climate.stray
    temperature = temperature + _between(winter, summer, warmth) * _stray(len(days), generator)
    usual = _between(climate.spread_winter, climate.spread_summer, warmth)
    dryness = usual * np.exp(DRYNESS_STRAY * _kept(DRYNESS_KEPT, len(days), generator))
    dew = temperature - NEVER_CLOSER - dryness
    return Air(days, temperature[None, :], saturation_pressure(dew)[None, :])


def forecast(
    truth: Air, issued: date, days: int, generator: np.random.Generator, error: float = 0.7
) -> Air:
    """Return a forecast of *days* days from *issued* on, off by *error* [°C] growing with lead."""
    first = np.datetime64(issued, "D")
    last = first + np.timedelta64(days - 1, "D")
    coming = truth.part(first.item(), last.item())
    off = np.cumsum(generator.normal(0.0, error, (2, days)), axis=1)
    temperature = coming.temperature[0] + off[0]
    dew = np.minimum(dew_point(coming.vapour_pressure[0]) + off[1], temperature - NEVER_CLOSER)
    return Air(coming.days, temperature[None, :], saturation_pressure(dew)[None, :])


def _day_of_year(days: Dates) -> Floats:
    return np.asarray((days - days.astype("datetime64[Y]")).astype(int) + 1.0)


def _between(winter: float, summer: float, warmth: Floats) -> Floats:
    return np.asarray(winter + (summer - winter) * (1.0 + warmth) / 2.0)


def _lake(climate: Climate, days: Dates, season: Floats, generator: np.random.Generator) -> Floats:
    """Warmth of an open lake in autumn (days,); each year it freezes on another day. [°C]"""
    years = days.astype("datetime64[Y]").astype(int)
    shifts = generator.normal(0.0, LAKE_SHIFT, years[-1] - years[0] + 1)
    frozen = climate.freezes + shifts[years - years[0]]
    builds = np.clip((season - LAKE_WARMS_FROM) / LAKE_BUILDS, 0.0, None)
    growth = np.minimum(builds, 4.0) / 4.0
    closed = 1.0 / (1.0 + np.exp(-(season - frozen) / LAKE_TAKES))
    return np.asarray(climate.lake * growth * (1.0 - closed))


def _stray(n: int, generator: np.random.Generator) -> Floats:
    slow, quick = _kept(SLOW, n, generator), _kept(QUICK, n, generator)
    return np.asarray(np.sqrt(SLOW_SHARE) * slow + np.sqrt(1.0 - SLOW_SHARE) * quick)


def _kept(share: float, n: int, generator: np.random.Generator) -> Floats:
    """A series (n,) of unit variance that keeps a *share* of its last value each day."""
    shocks = generator.standard_normal(n)
    out = np.empty(n)
    value = shocks[0]
    fresh = np.sqrt(1.0 - share * share)
    for i, shock in enumerate(shocks):
        value = shock if i == 0 else share * value + fresh * shock
        out[i] = value
    return out
