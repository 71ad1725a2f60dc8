"""The page of a place's weather: the last year and the days ahead, and what it all rests on."""

from planner.report.charts.weather import weather_picture
from planner.report.figures import WeatherShown
from planner.report.page import both, page
from planner.report.weather_words import moved_sentences, stored_sentences
from planner.report.words import MONTHS
from planner.weather.documents import MonthMean, Shown


def render_weather(
    stored: Shown,
    drawn: WeatherShown,
    months: tuple[MonthMean, ...],
    *,
    version: str,
    made_at: str,
    dates: str = "dmy",
    fahrenheit: bool = False,
) -> str:
    """Return what is stored of a place's weather as one self-contained HTML page.

    ``drawn`` are the days of the picture and ``months`` its table; ``made_at`` is the moment the
    page was made, as it shall be shown; ``dates`` is the workshop's order.
    """
    return page(
        "weather.html.jinja",
        dates=dates,
        stored=stored,
        held=tuple(stored_sentences(stored, dates)),
        moved=tuple(moved_sentences(stored.moves)),
        picture=both(weather_picture, drawn, name="weather", dates=dates, fahrenheit=fahrenheit),
        months=months,
        month_name=_month_name,
        fahrenheit=fahrenheit,
        version=version,
        made_at=made_at,
    )


def _month_name(month: str) -> str:
    """A month as the picture has it: ``2026-11`` is ``Nov 2026``."""
    year, number = month.split("-")
    return f"{MONTHS[int(number) - 1]} {year}"
