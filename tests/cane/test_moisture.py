"""Moisture of cane, against the wood table and by hand."""

from datetime import date
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.air.days import Air
from planner.air.humidity import vapour_pressure
from planner.cane.moisture import (
    NOTED_SD,
    USUAL_MOISTURE,
    moisture_content,
    moisture_on,
    moisture_over,
    noted_moisture,
)

TABLE = Path(__file__).parents[1] / "published" / "wood_handbook_moisture.csv"
ROWS = np.loadtxt(TABLE, delimiter=",", comments="#", skiprows=3)
FIRST = np.datetime64("2026-01-05")  # a Monday


def room(humidity: np.ndarray) -> Air:
    """A room at 21 °C with a daily relative humidity of shape (members, days)."""
    warm = np.full(humidity.shape, 21.0)
    days = FIRST + np.arange(humidity.shape[1])
    return Air(days, warm, vapour_pressure(humidity, warm))


@pytest.mark.parametrize(("temperature", "humidity", "moisture"), ROWS.tolist())
def test_moisture_matches_the_wood_handbook(temperature, humidity, moisture):
    """USDA Forest Products Laboratory, *Wood Handbook* (2010), ch. 4, table 4-2; cells from memory.

    The table gives one decimal of the equation.
    """
    assert moisture_content(humidity, temperature) == pytest.approx(moisture, abs=0.06)


@pytest.mark.parametrize(
    ("fahrenheit", "humidity", "moisture"), [(65, 60, 11.1), (65, 30, 6.2), (70, 25, 5.3)]
)
def test_moisture_matches_figures_that_wood_workers_go_by(fahrenheit, humidity, moisture):
    """Common practice, no source: the equation in °F, which departs by 0.01, to one decimal."""
    assert moisture_content(humidity, (fahrenheit - 32) / 1.8) == pytest.approx(moisture, abs=0.07)


@given(st.floats(0, 99.9), st.floats(0, 0.1), st.floats(0, 40))
def test_damper_air_makes_damper_cane(humidity, more, temperature):
    """Moisture never falls as humidity rises, but for the rounding of the last digits."""
    drier = moisture_content(humidity, temperature)
    assert moisture_content(humidity + more, temperature) >= drier * (1 - 1e-12)


def test_dry_air_dries_and_impossible_humidity_is_held():
    """0 % gives 0; above 100 % and below 0 % the limit counts; NaN stays NaN."""
    assert moisture_content(0.0, 21.0) == 0.0
    assert moisture_content(104.0, 21.0) == moisture_content(100.0, 21.0)
    assert moisture_content(-3.0, 21.0) == 0.0
    assert np.isnan(moisture_content(np.nan, 21.0))


def test_a_noted_humidity_is_that_of_a_room():
    """45 % noted beside a reed is the usual room's moisture: *Wood Handbook* (2010), table 4-2."""
    assert noted_moisture(45.0) == pytest.approx(USUAL_MOISTURE, abs=0.05)


def test_a_noted_humidity_is_as_sure_as_a_hygrometer():
    """One that reads 3 to 4 % wrong (common practice, no source) is that much moisture wrong."""
    drier, damper = noted_moisture(np.array([44.5, 45.5]))
    assert 3.0 <= NOTED_SD / (damper - drier) <= 4.0


def test_the_days_before_the_day_of_judging_count():
    """A reed judged on a day has the mean of the three days before, not that day's own."""
    humidity = np.array([[30.0, 40.0, 50.0, 90.0, 20.0]])
    expected = moisture_content(humidity[0, :3], 21.0).mean()
    assert moisture_on(room(humidity), np.array([FIRST + 3]))[0, 0] == pytest.approx(expected)


def test_days_that_are_not_known_are_left_out():
    """Of the days before, those the room knows count; with none of them nothing is known."""
    humidity = np.array([[30.0, 40.0, 50.0]])
    found = moisture_on(room(humidity), np.array([FIRST, FIRST + 1, FIRST + 3, FIRST + 40]))
    assert np.isnan(found[0, [0, 3]]).all()
    assert found[0, 1] == pytest.approx(float(moisture_content(30.0, 21.0)))


def test_a_week_is_the_mean_of_its_days():
    """The week's moisture is that of reeds judged on its seven days."""
    humidity = np.linspace(20, 70, 28)[None] + np.array([[0.0], [5.0]])
    air, monday = room(humidity), FIRST + 14
    by_day = moisture_on(air, monday + np.arange(7))
    week = moisture_over(air, np.array([monday]), 7)
    np.testing.assert_allclose(week[:, 0], by_day.mean(axis=1))


def test_a_span_knows_the_days_it_has():
    """A span that runs past the room's days is the mean of those it has, or nothing."""
    air = room(np.full((1, 10), 50.0))
    spans = np.array([FIRST + 8, FIRST + 60])
    found = moisture_over(air, spans, 21)
    assert found[0, 0] == pytest.approx(float(moisture_content(50.0, 21.0)))
    assert np.isnan(found[0, 1])


def test_a_dry_spell_dries_the_cane():
    """A heated room in frost leaves cane some 3 % drier than the same room in summer."""
    winter = moisture_over(room(np.full((1, 14), 25.0)), np.array([FIRST + 7]), 7)
    summer = moisture_over(room(np.full((1, 14), 45.0)), np.array([FIRST + 7]), 7)
    assert 2.5 < (summer - winter)[0, 0] < 3.5
    assert date.fromisoformat(str(FIRST)).weekday() == 0
