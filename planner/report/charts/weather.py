"""The weather outdoors by the day: temperature above, vapour pressure below."""

from datetime import timedelta

from markupsafe import Markup

from planner.report import svg
from planner.report.charts.timeline import NARROW, WIDE, Panel, panel_over, stretches
from planner.report.figures import WeatherShown
from planner.report.words import NBSP, day, number, temperature

TOP, HEIGHT, BETWEEN, FOOT = 26.0, 130.0, 38.0, 36.0


def weather_picture(
    shown: WeatherShown,
    name: str,
    *,
    dates: str = "dmy",
    fahrenheit: bool = False,
    wide: bool = True,
) -> Markup:
    """Return the picture of a place's weather; nothing where there are no days.

    ``name`` is unique in the page. Days not stored are left open.
    """
    if not shown.days:
        return Markup("")
    layout = WIDE if wide else NARROW
    lower = TOP + HEIGHT + BETWEEN
    ends = (shown.days[0], shown.days[-1])
    warm = panel_over(
        ends,
        (min(shown.temperature_c), max(shown.temperature_c)),
        (layout, TOP, TOP + HEIGHT),
        unit=f"{NBSP}°C",
        least=10.0,
        dates=dates,
    )
    damp = panel_over(
        ends,
        (min(shown.vapour_pressure_hpa), max(shown.vapour_pressure_hpa)),
        (layout, lower, lower + HEIGHT),
        unit=f"{NBSP}hPa",
        least=5.0,
        dates=dates,
    )
    return svg.picture(
        name,
        f"Weather outdoors, {shown.place}",
        _described(shown, dates, fahrenheit=fahrenheit),
        (layout.width, lower + HEIGHT + FOOT),
        svg.text((0, TOP - 12), "temperature", "t head"),
        *warm.grid(),
        *_line(warm, shown, shown.temperature_c, "dry-line"),
        svg.text((0, lower - 12), "vapour pressure", "t head air"),
        *damp.grid(),
        *_line(damp, shown, shown.vapour_pressure_hpa, "air-line"),
        *damp.foot(layout.months),
        class_="wide" if wide else "narrow",
    )


def _line(panel: Panel, shown: WeatherShown, values: object, class_: str) -> list[Markup]:
    """The line, whole where observed and broken where forecast, open where days are missing."""
    assert isinstance(values, list | tuple)
    turn = shown.forecast_from or shown.days[-1] + timedelta(days=1)
    seen = sum(when < turn for when in shown.days)
    marks = []
    for part, style in (
        (slice(0, seen), class_),
        (slice(max(seen - 1, 0), len(shown.days)), f"{class_} broken"),
    ):
        if style.endswith("broken") and seen == len(shown.days):
            continue
        days, here = shown.days[part], values[part]
        for run in stretches(days, longest_gap=1) if days else []:
            marks.append(panel.line(days[run], here[run], style))
    if shown.forecast_from and 0 < seen < len(shown.days):
        marks.append(panel.moment(shown.forecast_from, "forecast"))
    return marks


def _described(shown: WeatherShown, dates: str, *, fahrenheit: bool) -> str:
    cold, hot = min(shown.temperature_c), max(shown.temperature_c)
    low, high = min(shown.vapour_pressure_hpa), max(shown.vapour_pressure_hpa)
    return (
        f"{day(shown.days[0], dates)} to {day(shown.days[-1], dates)}: daily means from "
        f"{temperature(cold, fahrenheit=fahrenheit)} to {temperature(hot, fahrenheit=fahrenheit)}, "
        f"vapour pressure from {number(low, 1)} to {number(high, 1)}{NBSP}hPa."
    )
