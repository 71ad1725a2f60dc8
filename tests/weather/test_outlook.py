"""The weeks ahead: observed, forecast, then past years."""

from datetime import date, timedelta

import numpy as np
import pytest

from planner.air.days import Days
from planner.air.humidity import vapour_pressure
from planner.errors import WeatherError
from planner.weather.outlook import outlook

TODAY = date(2026, 1, 12)


def record(years: float, seed: int = 1) -> Days:
    """Invented weather up to the day before TODAY."""
    days = round(years * 365.25)
    day = np.datetime64(TODAY) - days + np.arange(days)
    generator = np.random.default_rng(seed)
    departure = np.zeros(days)
    for i in range(1, days):
        departure[i] = 0.8 * departure[i - 1] + 2.0 * generator.standard_normal()
    turn = 2 * np.pi * (day.astype(int) - 15) / 365.2425
    temperature = 9.0 - 11.0 * np.cos(turn) + departure
    pressure = vapour_pressure(
        np.clip(75 + 8 * generator.standard_normal(days), 30, 100), temperature
    )
    return Days(day, temperature, pressure, np.full(days, 24))


def foreseen(temperature: float, days: int = 9) -> Days:
    """A forecast of one temperature from TODAY on."""
    values = np.full(days, temperature)
    day = np.datetime64(TODAY) + np.arange(days)
    return Days(day, values, vapour_pressure(75.0, values), np.full(days, 24))


def ahead(observed: Days, forecast: Days | None = None, days: int = 120, seed: int = 0):
    """The outlook from 30 days before TODAY."""
    return outlook(
        observed,
        forecast,
        first=TODAY - timedelta(30),
        today=TODAY,
        last=TODAY + timedelta(days),
        seed=seed,
    )


def test_observed_days_are_alike_in_all_members():
    """The past is one truth, to the last digit that logarithms keep."""
    table = record(10)
    found = ahead(table)
    np.testing.assert_allclose(
        found.air.temperature[:, :30], np.tile(table.temperature[-30:], (400, 1))
    )
    np.testing.assert_allclose(found.air.vapour_pressure[7, :30], table.vapour_pressure[-30:])
    assert (found.origin[:30] == "observed").all()
    assert found.origin[-1] == "climate"
    assert found.years == pytest.approx(10, abs=0.01)


def test_spread_grows_through_the_forecast_without_a_seam():
    """A forecast leads, its spread grows with lead, and no day after it steps."""
    found = ahead(record(10), foreseen(-8.0))
    mean, spread = found.air.temperature.mean(axis=0), found.air.temperature.std(axis=0)
    assert mean[30] == pytest.approx(-8.0, abs=0.6)
    assert (np.diff(spread[30:39]) > 0).all()
    assert np.abs(np.diff(mean[30:70])).max() < 1.6
    assert mean[60] == pytest.approx(-2.0, abs=2.0)
    assert list(found.origin[30:34]) == ["forecast"] * 4


def test_days_from_today_on_are_not_used():
    """As of a day, the observed weather of that day and later is not yet known."""
    table = record(10)
    later = Days(
        np.append(table.day, np.datetime64(TODAY)),
        np.append(table.temperature, 40.0),
        np.append(table.vapour_pressure, 2000.0),
        np.append(table.hours, 24),
    )
    np.testing.assert_array_equal(ahead(later).air.temperature, ahead(table).air.temperature)


@pytest.mark.parametrize("years", [0.5, 3.2, 9.9, 10.1])
@pytest.mark.parametrize("forecast", [None, foreseen(-8.0)])
def test_a_longer_look_ahead_is_the_shorter_one_and_more(years, forecast):
    """Futures drawn without past years, and those of past years, over a month and over a year."""
    table = record(years)
    short, long = (ahead(table, forecast, days=days) for days in (30, 392))
    shared = len(short.air.days)
    for name in ("temperature", "vapour_pressure"):
        np.testing.assert_allclose(
            getattr(short.air, name), getattr(long.air, name)[:, :shared], rtol=1e-9
        )
    assert (short.origin == long.origin[:shared]).all()


def test_the_same_seed_gives_the_same_futures():
    """Asked twice the same, asked with another seed other members."""
    table = record(5)
    first, again, other = ahead(table), ahead(table), ahead(table, seed=1)
    np.testing.assert_array_equal(first.air.vapour_pressure, again.air.vapour_pressure)
    assert not np.array_equal(first.air.temperature, other.air.temperature)


@pytest.mark.parametrize("years", [0.1, 0.6, 1.5])
def test_short_records_say_so_and_stay_wide(years):
    """Under three years a note says so, and later weeks are nearly as wide or wider."""
    short = ahead(record(years), days=200)
    assert "of past weather are stored" in short.notes[0]
    spread = short.air.temperature[:, -20:].std(axis=0).mean()
    assert spread > 0.8 * ahead(record(10), days=200).air.temperature[:, -20:].std(axis=0).mean()
    assert not ahead(record(10)).notes


@pytest.mark.parametrize(("years", "said"), [(0.6, "219 days"), (1.2, "1.2 years")])
def test_a_short_record_is_told_in_days_and_then_in_years(years, said):
    """Own arithmetic: 0.6 x 365.25 days; from a year on in years."""
    assert ahead(record(years)).notes[0].startswith(f"Only {said} of past weather are stored")


def test_gaps_are_bridged_and_long_ones_left_open():
    """Two missing days are bridged, twelve in the past are open and come from the season."""
    table = record(10)
    keep = np.ones(len(table), bool)
    keep[-4:-2] = False
    keep[-25:-13] = False
    found = ahead(table.where(keep))
    assert found.air.temperature[:, 27].std() == pytest.approx(0.0, abs=1e-3)
    assert found.air.temperature[:, 11].std() > 1.0
    assert found.origin[11] == "climate"


def test_without_any_weather_it_says_what_to_do():
    """No observed day, no forecast: one sentence with the way out."""
    with pytest.raises(WeatherError, match="planner weather fetch"):
        ahead(Days.none())
    assert ahead(Days.none(), foreseen(3.0)).air.members == 400


def test_ranges_hold_what_they_promise():
    """Weekly temperature 3-12 weeks ahead in 40 invented records: 80 % ranges hold 72-88 %."""
    inside = []
    for seed in range(40):
        whole = record(11, seed)
        known = whole.before(TODAY - timedelta(120))
        found = outlook(
            known,
            None,
            first=TODAY - timedelta(119),
            today=TODAY - timedelta(120),
            last=TODAY - timedelta(1),
            members=200,
        )
        weekly = found.air.temperature[:, 14:84].reshape(200, 10, 7).mean(axis=2)
        truth = whole.temperature[-119:][14:84].reshape(10, 7).mean(axis=1)
        low, high = np.percentile(weekly, [10, 90], axis=0)
        inside.append((truth >= low) & (truth <= high))
    assert 0.72 < np.mean(inside) < 0.88
