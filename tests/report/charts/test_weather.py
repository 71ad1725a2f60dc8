"""The picture of a place's weather."""

from dataclasses import replace

from planner.report.charts.weather import weather_picture
from tests.report import invented
from tests.report.page_walk import Page, walk


def lines(page: Page) -> list[str]:
    """The classes of its lines."""
    classes = [element.attributes.get("class", "") for element in page.elements]
    return sorted(name for name in classes if "dry-line" in name or "air-line" in name)


def test_missing_days_are_left_open_and_the_forecast_is_broken():
    """A week is missing: two whole lines a quantity, and a broken one for the days ahead."""
    shown = invented.weather()
    assert lines(walk(weather_picture(shown, "w"))) == [
        "air-line", "air-line", "air-line broken", "dry-line", "dry-line", "dry-line broken",
    ]  # fmt: skip
    observed = replace(shown, forecast_from=None)
    assert not [name for name in lines(walk(weather_picture(observed, "w"))) if "broken" in name]


def test_without_days_there_is_no_picture():
    """Nor an empty frame."""
    nothing = replace(invented.weather(), days=[], temperature_c=[], vapour_pressure_hpa=[])
    assert weather_picture(nothing, "w") == ""
