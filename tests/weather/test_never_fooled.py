"""Faults of answers that no reader sees alone: through the fetch, into the store, each service."""

from datetime import date, timedelta

import numpy as np
import pytest

from planner.air.humidity import saturation_pressure
from planner.weather import met_norway, open_meteo
from planner.weather import national_weather_service as us
from planner.weather.hours import days_of
from planner.weather.places import Place
from tests.replies import services, truth
from tests.replies.loopback import NAMES
from tests.weather.conftest import EXAMPLETON, PRAIRIE

TODAY = date(2026, 11, 25)
PAST = ("nasa-power", "open-meteo-archive")
# Without Retry-After: MET Norway asks to stop; Open-Meteo says in words what is used up, and
# without its words it is left alone too; the others are tried again.
TRIED = {"nasa-power": 3, "national-weather-service": 3}


@pytest.mark.parametrize("service", NAMES)
def test_too_many_requests_without_a_time_to_wait(fetching, store, speaker, service):
    """One warning, bounded tries, what is stored stays; the next day it is asked again."""
    speaker.faults[service] = ["busy"] * 20
    report = fetching(service)
    (warning,) = report.warnings
    assert "doesn't answer now (status 429)" in warning
    assert len(speaker.asked(service)) == TRIED.get(service, 1)
    assert report.fetched == []
    speaker.faults.clear()
    assert fetching(service, now=speaker.now + timedelta(days=3)).warnings == []


@pytest.mark.parametrize("status", [500, 502, 503, 504])
@pytest.mark.parametrize("service", NAMES)
def test_every_trouble_of_a_server_is_tried_three_times(fetching, speaker, service, status):
    """And told with its number."""
    speaker.faults[service] = [f"status {status}"] * 20
    (warning,) = fetching(service).warnings
    assert f"(status {status})" in warning
    assert len(speaker.asked(service)) == 3


@pytest.mark.parametrize("service", NAMES)
def test_a_redirect_to_another_host_is_refused(fetching, store, speaker, service):
    """A key or a contact goes to nobody else, and nobody else's weather comes in."""
    speaker.faults[service] = ["redirect http://127.0.0.2:9/elsewhere"] * 20
    (warning,) = fetching(service).warnings
    assert "sent us on to 127.0.0.2; not followed" in warning
    assert store.stored("Exampleton") == store.stored("Prairie") == []


@pytest.mark.parametrize("service", PAST)
def test_a_past_that_lies_in_the_future_is_left_out(fetching, store, speaker, service):
    """Whatever an archive says of tomorrow, the past ends yesterday."""

    def ahead(content):
        if service == "nasa-power":
            for column in content["properties"]["parameter"].values():
                column.update({"20261128": 4.0, "20261129": 4.0})
        else:
            table = content["hourly"]
            table["time"] += [
                f"2026-11-{day}T{hour:02}:00" for day in (28, 29) for hour in range(24)
            ]
            for key in ("temperature_2m", "dew_point_2m"):
                table[key] += [4.0] * 48
        return content

    speaker.change = ahead
    report = fetching(service)
    # In the clock of the place two days of Greenwich reach into a third.
    assert report.warnings[0].startswith(("Exampleton: 2 days of", "Exampleton: 3 days of"))
    assert "left out" in report.warnings[0]
    days = store.observed("Exampleton", date(2999, 12, 31), filled=False).day
    assert days[-1] < np.datetime64(TODAY)


def hours_of(service, content, place):
    """Read an hourly answer."""
    if service == "met":
        return met_norway.read_forecast(content, place)
    if service == "meteo":
        return open_meteo.read_hours(content, place, "Open-Meteo")
    return us.read_forecast(content, place, services.NOW)


def hourly(service):
    """Return an answer of an hourly service, and its place."""
    if service == "met":
        return services.met_norway(50.12, 15.0), EXAMPLETON
    if service == "meteo":
        return services.open_meteo(50.12, 15.0, date(2026, 11, 1), date(2026, 11, 24)), EXAMPLETON
    return services.us_grid(41.5, -90.0), PRAIRIE


def doubled(service, content):
    """Give some hours twice, the second time with other values, as a clock set back does."""
    if service == "met":
        steps = content["properties"]["timeseries"]
        steps[20:20] = [steps[20], steps[21]]
    elif service == "meteo":
        table = content["hourly"]
        for key in ("time", "temperature_2m", "dew_point_2m"):
            table[key][30:30] = table[key][30:32]
    else:
        for key in ("temperature", "dewpoint"):
            values = content["properties"][key]["values"]
            values[20:20] = values[20:22]
    return content


@pytest.mark.parametrize("service", ["met", "meteo", "us"])
def test_hours_that_come_twice_count_once(service):
    """No day has more hours than the clock, and its mean doesn't lean to the doubled ones."""
    content, place = hourly(service)
    plain = days_of(hours_of(service, content, place), place.timezone)
    again, _ = hourly(service)
    found = days_of(hours_of(service, doubled(service, again), place), place.timezone)
    assert found.hours.tolist() == plain.hours.tolist()
    np.testing.assert_allclose(found.vapour_pressure, plain.vapour_pressure, rtol=1e-9)


@pytest.mark.parametrize("zone", ["Asia/Kolkata", "Asia/Kathmandu", "America/St_Johns"])
@pytest.mark.parametrize("service", ["met", "meteo", "us"])
def test_days_of_half_hour_zones_have_their_24_hours(service, zone):
    """Their midnight lies between two hours of Greenwich; every whole day is whole."""
    content, place = hourly(service)
    days = days_of(hours_of(service, content, place), zone)
    # In Newfoundland the first of November 2026 has an hour more, as clocks are set back.
    days = days.where(days.day != np.datetime64("2026-11-01"))
    inner = days.hours[1:-1] if service != "met" else days.hours[1:2]
    assert set(inner.tolist()) == {24}


@pytest.mark.parametrize(
    ("service", "latitude", "longitude"),
    [
        ("nasa-power", 89.99, 179.99),
        ("nasa-power", -90.0, 0.0),
        ("met-norway", 78.22, 15.65),
        ("met-norway", -17.0, -179.996),
        ("open-meteo", -77.85, 166.67),
    ],
)
def test_poles_and_the_date_line_are_places_too(fetching, store, service, latitude, longitude):
    """Their weather comes, in days of their own clock."""
    place = Place("Exampleton", latitude, longitude, "Etc/GMT-12")
    report = fetching(service, places=[place])
    assert report.warnings == []
    assert len(store.stored("Exampleton")) > 5


def test_the_summer_clocks_long_day_has_25_hours(fetching, store, speaker):
    """25 October 2026 in Berlin, from hours in Greenwich time."""
    place = Place("Exampleton", 50.12, 15.0, "Europe/Berlin")
    assert fetching("open-meteo-archive", places=[place]).warnings == []
    days = store.observed("Exampleton", TODAY)
    at = {str(day): hours for day, hours in zip(days.day, days.hours, strict=True)}
    assert (at["2026-03-29"], at["2026-10-25"], at["2026-10-24"]) == (23, 25, 24)
    begins = np.datetime64("2026-10-24T22:00", "h")  # midnight of summer time
    n = (begins - np.datetime64("2000-01-01T00", "h")).astype(int) + np.arange(25)
    expected = saturation_pressure(truth.dew(n).round(1)).mean()
    seen = days.vapour_pressure[days.day == np.datetime64("2026-10-25")]
    assert seen == pytest.approx(expected, rel=1e-6)
