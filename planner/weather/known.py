"""What is known of each day: observed, else foreseen, else carried on from the last that is."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from planner.air.days import Days
from planner.air.humidity import Floats
from planner.weather.past import BRIDGED_DAYS
from planner.weather.season import Season, two_rows
from planner.weather.skill import PERSISTENCE_DAYS, ForecastSkill

OBSERVED, FORECAST, CLIMATE = "observed", "forecast", "climate"
WORTH_NAMING = 0.4  # correlation with the truth from which a day is said to rest on a forecast
MARGIN_DAYS = 30  # of a table kept about the days wanted


@dataclass(frozen=True)
class Known:
    """What is known of days.

    Attributes
    ----------
    departure : (2, draws, days) from the season
    trust : (days,) its correlation with the truth; 1 on observed days, 0 where nothing is known
    origin : (days,) observed, forecast or climate
    """

    departure: Floats
    trust: Floats
    origin: NDArray[np.str_]


def known_days(
    observed: Days,
    forecast: Days | None,
    number: NDArray[np.int64],
    season: Season,
    skill: ForecastSkill,
) -> Known:
    """Take for each day *number* (days,) the best that is known of it."""
    trust = np.zeros(len(number))
    departure = np.zeros((2, len(season.weights), len(number)))
    origin = np.full(len(number), CLIMATE, dtype="<U8")
    for table, kind in ((observed, OBSERVED), (forecast, FORECAST)):
        if table is None or not len(table):
            continue
        distance = _distance(table.day.astype(np.int64), number)
        worth = np.ones(len(number)) if kind == OBSERVED else _worth(table, number, skill)
        worth = worth * np.exp(-distance / PERSISTENCE_DAYS)
        better = worth > trust
        departure[:, :, better] = _departures(table, season, number)[:, :, better]
        trust = np.where(better, worth, trust)
        origin[better & (distance == 0) & (worth >= WORTH_NAMING)] = kind
    return Known(departure, trust, origin)


def _worth(forecast: Days, number: NDArray[np.int64], skill: ForecastSkill) -> Floats:
    issued, end = forecast.day[[0, -1]].astype(np.int64)
    return skill.at(np.clip(number, issued, end) - issued + 0.5)


def _distance(have: NDArray[np.int64], number: NDArray[np.int64]) -> Floats:
    """Days to the nearest day of a table; none within gaps short enough to bridge."""
    after, before = _neighbours(have, number)
    bridged = (before <= number) & (number <= after) & (after - before <= BRIDGED_DAYS + 1)
    nearest = np.minimum(np.abs(after - number), np.abs(number - before))
    return np.where(bridged, 0.0, nearest)


def _neighbours(
    have: NDArray[np.int64], number: NDArray[np.int64]
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    last = len(have) - 1
    after = have[np.minimum(np.searchsorted(have, number), last)]
    before = have[np.maximum(np.searchsorted(have, number, side="right") - 1, 0)]
    return after, before


def _departures(table: Days, season: Season, number: NDArray[np.int64]) -> Floats:
    """Departures (2, draws, days), straight lines between the table's days, the ends held."""
    day = table.day.astype(np.int64)
    near = (day >= number[0] - MARGIN_DAYS) & (day <= number[-1] + MARGIN_DAYS)
    if not near.any():
        near[[0, -1]] = True
    kept = table.where(near)
    day = kept.day.astype(np.int64)
    values = two_rows(kept)[:, None, :] - season.at(day)
    right = np.clip(np.searchsorted(day, number), 1, max(len(day) - 1, 1))
    left = right - 1
    right = np.minimum(right, len(day) - 1)
    step = np.maximum(day[right] - day[left], 1)
    weight = np.clip((number - day[left]) / step, 0.0, 1.0)
    return np.asarray(values[:, :, left] * (1.0 - weight) + values[:, :, right] * weight)
