"""The weather of the coming weeks as possible futures: observed, forecast, then past years."""

from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from planner.air.days import Air, Days
from planner.air.humidity import Floats
from planner.errors import WeatherError
from planner.weather.known import Known, known_days
from planner.weather.season import FULL_YEARS, YEAR, Season, fit_season
from planner.weather.skill import USUAL_SKILL, ForecastSkill
from planner.weather.traces import anomalies_of, draw_traces


@dataclass(frozen=True)
class Outlook:
    """Possible futures.

    Attributes
    ----------
    air : outdoors, (members, days)
    origin : (days,) observed, forecast or climate
    years : of observed weather behind it
    notes : sentences on what it lacks
    """

    air: Air
    origin: NDArray[np.str_]
    years: float
    notes: tuple[str, ...] = ()


def outlook(
    observed: Days,
    forecast: Days | None,
    *,
    first: date,
    today: date,
    last: date,
    members: int = 400,
    seed: int = 0,
    skill: ForecastSkill = USUAL_SKILL,
) -> Outlook:
    """Return possible weather from *first* to *last* as of *today*.

    Parameters
    ----------
    observed : of the place; days from *today* on are not used
    forecast : the latest, beginning with the day of its issue, or None
    first, last : both included
    members : how many futures
    seed : of the randomness; the same seed gives the same futures
    skill : how far to trust the forecast by its lead

    Returns
    -------
    Outlook
        Observed days are alike in all members, gaps up to three days bridged. Then the
        departure from the season that is known (forecast, else the last days') is carried with
        the share it is worth, and the rest comes from past years' traces of the same weeks,
        so that spread grows with lead and no seam shows.

    Raises
    ------
    WeatherError
        If there is neither an observed nor a forecast day.
    """
    observed = observed.before(today)
    record = _record(observed, forecast)
    generator = np.random.default_rng([seed, 2])
    season = fit_season(record, members, generator)
    days = np.arange(np.datetime64(first, "D"), np.datetime64(last, "D") + 1)
    number = days.astype(np.int64)
    known = known_days(observed, forecast, number, season, skill)
    rest = _traces(record, season, number, known, members, generator)
    values = season.at(number) + known.trust * known.departure + rest
    years = len(observed) / YEAR
    return Outlook(
        Air(days, values[0], np.exp(values[1])), known.origin, years, tuple(_notes(years))
    )


def _traces(
    record: Days,
    season: Season,
    number: NDArray[np.int64],
    known: Known,
    members: int,
    generator: np.random.Generator,
) -> Floats:
    """What is not known of the days (2, members, days): past years, by the share left open."""
    rest = np.zeros((2, members, len(number)))
    open_days = np.flatnonzero(known.trust < 1.0)
    if len(open_days):
        begin = open_days[0]
        past = anomalies_of(record, season)
        traces = draw_traces(past, season, number[begin:], members, generator)
        rest[:, :, begin:] = np.sqrt(1.0 - known.trust[begin:] ** 2) * traces
    return rest


def _record(observed: Days, forecast: Days | None) -> Days:
    """What the season is learned from: observed days; a forecast only where there are none."""
    if len(observed):
        return observed
    if forecast is None or not len(forecast):
        raise WeatherError(
            'There is no weather of this place yet. Fetch it with "planner weather fetch", or '
            'bring a table with "planner weather import FILE".'
        )
    return forecast


def _notes(years: float) -> list[str]:
    if years >= FULL_YEARS * 0.9:
        return []
    length = f"{years:.1f} years" if years >= 1.0 else f"{round(years * YEAR)} days"
    return [
        f"Only {length} of past weather are stored: the weeks beyond the forecast are a usual "
        "season with a wide spread. Ten years serve well."
    ]
