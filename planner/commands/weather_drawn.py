"""The page of a place's weather: ``weather show --plot``."""

from datetime import timedelta
from pathlib import Path
from typing import Any

import numpy as np

from planner import __version__
from planner.air.days import Days
from planner.commands.workshop import Workshop
from planner.report.figures import WeatherShown
from planner.report.index import write_listed
from planner.report.page import place_page
from planner.report.weather_page import render_weather
from planner.report.weather_words import by_clock
from planner.report.words import day
from planner.weather.documents import MonthMean, Shown

SHOWN = timedelta(days=396)  # a year and a month, so that this month lies beside the last year's
HECTOPASCAL = 100.0


def draw_weather(workshop: Workshop, stored: Shown) -> Path | None:
    """Write the page of what is stored of a place, and return where; None where nothing is.

    Raises
    ------
    RecordFull
        If the folder of the pages can't be written.
    """
    name, today = stored.place, stored.today
    observed = workshop.weather.observed(name, today)
    found = workshop.weather.forecast(name, today)
    ahead = found[0] if found else Days.none()
    seen = observed.where(observed.day >= np.datetime64(today - SHOWN, "D"))
    ahead = ahead.where(ahead.day >= np.datetime64(today, "D"))
    if not len(seen) and not len(ahead):
        return None
    settings = workshop.settings
    path = place_page(workshop.reports, "weather", name, today)
    html = render_weather(
        by_clock(stored, settings.place_named(name).place.timezone),
        _drawn(name, seen, ahead),
        tuple(_months(seen)),
        version=__version__,
        made_at=day(today, settings.dates),
        dates=settings.dates,
        fahrenheit=settings.fahrenheit,
    )
    write_listed(html, path, dates=settings.dates)
    return path


def _drawn(name: str, seen: Days, ahead: Days) -> WeatherShown:
    def both(values: str) -> list[Any]:
        return [*getattr(seen, values).tolist(), *getattr(ahead, values).tolist()]

    return WeatherShown(
        name,
        both("day"),
        both("temperature"),
        [value / HECTOPASCAL for value in both("vapour_pressure")],
        ahead.day[0].item() if len(ahead) else None,
    )


def _months(seen: Days) -> list[MonthMean]:
    """Means of the months of observed days, in their order."""
    month = seen.day.astype("datetime64[M]")
    return [
        MonthMean(
            str(which),
            int((month == which).sum()),
            float(seen.temperature[month == which].mean()),
            float(seen.vapour_pressure[month == which].mean()) / HECTOPASCAL,
        )
        for which in np.unique(month)
    ]
