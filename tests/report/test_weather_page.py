"""The page of a place's weather: picture, table beside it, and what it rests on."""

from datetime import UTC, date, datetime, timedelta

from planner.report.figures import WeatherShown
from planner.report.weather_page import render_weather
from planner.weather.credits import MET_NORWAY, NASA_POWER
from planner.weather.documents import ForecastLine, Gap, Holding, MonthMean, Moved, Shown
from tests.report.page_walk import walk

TODAY = date(2026, 11, 23)
DAY = timedelta(days=1)


def weather_page(place: str = "Quillhaven", *, fahrenheit: bool = False) -> str:
    """Return the page of an invented place: 60 days, ten of them missing, nine ahead."""
    days = [TODAY + n * DAY for n in range(-60, 9) if not -30 <= n < -20]
    gap = Gap(TODAY - 30 * DAY, TODAY - 21 * DAY)
    fetched = datetime(2026, 11, 23, 6, 0, tzinfo=UTC)
    stored = Shown(
        place,
        TODAY,
        (Holding("NASA POWER", "observed", 50, 0, days[0], TODAY - DAY, fetched, (gap,)),),
        ForecastLine("MET Norway", TODAY, TODAY + 8 * DAY, 41, 320, ((1, 0.96), (8, 0.55))),
        fetched,
        (MET_NORWAY, NASA_POWER),
        moves=(Moved("MET Norway", -1.2, 4.0, 40),),
    )
    drawn = WeatherShown(
        place,
        days,
        [8.0 - n / 10 for n in range(len(days))],
        [9.0 - n / 20 for n in range(len(days))],
        TODAY,
    )
    months = (MonthMean("2026-10", 21, 6.4, 8.1), MonthMean("2026-11", 22, 3.0, 6.9))
    return render_weather(
        stored, drawn, months, version="0", made_at="23 Nov 2026", fahrenheit=fahrenheit
    )


def plain(html: str) -> str:
    """Return the text of a page with plain spaces."""
    return walk(html).text.replace("\u00a0", " ").replace("\u2060", "")


def test_the_picture_has_its_words_and_its_table():
    """Whoever can't see it reads the same: the latest month first."""
    page = walk(weather_page())
    assert [svg.attributes["role"] for svg in page.all("svg")] == ["img", "img"]
    titles = [element.text for element in page.all("title") if "svg" in element.around]
    assert set(titles) == {"Weather outdoors, Quillhaven"}
    rows = [element.text for element in page.all("th") if element.attributes.get("scope") == "row"]
    assert rows == ["Nov 2026", "Oct 2026"]


def test_what_it_rests_on_is_told_with_licences():
    """Sources, gaps, the last forecast, and how they were brought together."""
    text = plain(weather_page())
    assert "NASA POWER, observed: 50 days" in text
    assert "10 days missing between them" in text
    assert (
        "MET Norway, issued Mon 23 Nov 2026, to Tue 1 Dec 2026 (41 forecasts kept as issued)"
        in text
    )
    assert "MET Norway is moved by -1.2 °C and +4 % of vapour" in text
    assert "(40 days in common)" in text
    assert "96 at 1 day, 55 at 8 days; compared on 320 foreseen days" in text
    assert "Langley Research Center" in text


def test_fahrenheit_is_shown_beside_where_it_is_asked_for():
    """3 °C is 37 °F."""
    assert "3 °C (37 °F)" in plain(weather_page(fahrenheit=True))
    assert "°F" not in plain(weather_page())


def test_a_name_cannot_break_the_page():
    """Whatever a place is called."""
    html = weather_page('<script>alert("1")</script>')
    assert "<script" not in html
    assert '<script>alert("1")</script>' in walk(html).text
