"""The same invented truth, told by every service, is the same air in the store."""

from datetime import date, timedelta

import numpy as np
import pytest

from tests.replies import truth

TODAY = date(2026, 11, 25)
TOLD = (truth.vapour, truth.temperature)
# Relative and absolute [Pa]. A dew point rounded to 0.1 °C is 0.37 % of vapour pressure at worst,
# to hundredths a tenth of that; 0.005 g/kg of specific humidity is 0.8 Pa.
ROUNDING = {
    "met-norway": (3.7e-3, 0.0),
    "open-meteo": (3.7e-3, 0.0),
    "national-weather-service": (3.7e-4, 0.0),
    "nasa-power": (3e-4, 0.8),
    "open-meteo-archive": (3.7e-3, 0.0),
}


def told(days, offset):
    """Return the true vapour pressures and temperatures of days that follow one another."""
    first, count = days.day[0].item(), len(days)
    return [truth.day_means(values, first, count, offset) for values in TOLD]


@pytest.mark.parametrize("service", ["nasa-power", "open-meteo-archive"])
def test_past_days_hold_the_truth_within_the_rounding_of_the_service(fetching, store, service):
    """Every day of a year and more."""
    report = fetching(service, years=1)
    assert report.warnings == []
    days = store.observed("Exampleton", TODAY)
    assert len(days) > 600
    vapour, warm = told(days, 1)
    relative, absolute = ROUNDING[service]
    np.testing.assert_allclose(days.vapour_pressure, vapour, rtol=relative, atol=absolute)
    np.testing.assert_allclose(days.temperature, warm, atol=0.06)


@pytest.mark.parametrize(
    ("service", "place", "offset"),
    [
        ("met-norway", "Exampleton", 1),
        ("open-meteo", "Exampleton", 1),
        ("national-weather-service", "Prairie", -6),
    ],
)
def test_forecasts_hold_the_truth_within_the_rounding_of_the_service(
    fetching, store, service, place, offset
):
    """The days given by the hour: all of them, of MET Norway the first."""
    assert fetching(service).warnings == []
    days, issued, _ = store.forecast(place, TODAY)
    assert issued == TODAY
    hourly = days.where(days.hours == 24)
    if service == "met-norway":
        hourly = hourly.before(TODAY + timedelta(days=2))
    assert len(hourly) >= 1
    vapour, warm = told(hourly, offset)
    np.testing.assert_allclose(hourly.vapour_pressure, vapour, rtol=ROUNDING[service][0])
    np.testing.assert_allclose(hourly.temperature, warm, atol=0.06)


def test_six_hourly_steps_still_give_the_mean_of_their_days(fetching, store):
    """MET Norway's later days: four values, joined by lines, a few percent at the worst."""
    fetching("met-norway")
    days, _, _ = store.forecast("Exampleton", TODAY)
    assert len(days) == 8
    vapour, _ = told(days, 1)
    np.testing.assert_allclose(days.vapour_pressure, vapour, rtol=0.03)


def test_an_ensemble_is_the_mean_of_its_members(fetching, store):
    """Five members about the truth; the mean of a curved function is a little higher."""
    fetching("open-meteo-ensemble")
    days, _, source = store.forecast("Exampleton", TODAY)
    assert source == "Open-Meteo ensemble"
    assert len(days) > 30
    vapour, _ = told(days, 1)
    np.testing.assert_allclose(days.vapour_pressure, vapour, rtol=6e-3)
