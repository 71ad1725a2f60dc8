"""Humid air against handbook values and a reference library."""

from pathlib import Path

import numpy as np
import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.air.humidity import (
    dew_point,
    excess_pressure,
    relative_humidity,
    saturation_pressure,
    vapour_density,
    vapour_pressure,
    vapour_pressure_of_specific_humidity,
)

TABLE = Path(__file__).parents[1] / "published" / "saturation_pressure_water.csv"
ROWS = np.loadtxt(TABLE, delimiter=",", comments="#", skiprows=3)

temperatures = st.floats(-40, 45)
humidities = st.floats(1, 100)


@pytest.mark.parametrize(("temperature", "pressure"), ROWS.tolist())
def test_saturation_pressure_over_water(temperature, pressure):
    """Hyland & Wexler (1983), as *ASHRAE Handbook: Fundamentals* (2017), ch. 1, eq. 6 has it.

    Magnus departs from it by up to 0.3 % at -20 and at 30 °C.
    """
    assert saturation_pressure(temperature) == pytest.approx(pressure, rel=3.2e-3)


@pytest.mark.parametrize("temperature", [5.0, 15.0, 20.0, 25.0, 35.0])
@pytest.mark.parametrize("humidity", [30.0, 60.0, 90.0])
def test_agrees_with_psychrolib_above_freezing(temperature, humidity):
    """Psychrolib 2.5 (ASHRAE equations); below a dew point of 0 °C it counts over ice, we don't.

    0.1 K, which is the two formulas' difference.
    """
    psychrolib.SetUnitSystem(psychrolib.SI)
    pressure = vapour_pressure(humidity, temperature)
    expected = psychrolib.GetTDewPointFromRelHum(temperature, humidity / 100)
    if expected > 0:
        assert dew_point(pressure) == pytest.approx(expected, abs=0.1)
    pascal = psychrolib.GetVapPresFromRelHum(temperature, humidity / 100)
    assert pressure == pytest.approx(pascal, rel=3.2e-3)


@pytest.mark.parametrize(
    ("outdoor", "humidity", "indoor"),
    [(-20, 70, 3.76), (-10, 80, 9.80), (0, 80, 20.91), (5, 80, 29.84), (15, 60, 43.75)],
)
def test_outdoor_air_warmed_to_20_degrees(outdoor, humidity, indoor):
    """What a heated room has with no moisture added: Hyland & Wexler (1983) over water.

    0.15 % RH: the water formulas differ by 0.07.
    """
    assert relative_humidity(vapour_pressure(humidity, outdoor), 20.0) == pytest.approx(
        indoor, abs=0.15
    )


def test_a_gram_in_a_cubic_metre():
    """1 g/m³ at 20 °C is 135.3 Pa (ideal gas, by hand: 0.001 x 461.523 x 293.15)."""
    assert excess_pressure(1.0, 20.0) == pytest.approx(135.3, abs=0.05)
    assert vapour_density(135.3, 20.0) == pytest.approx(1.0, abs=5e-4)


def test_specific_humidity():
    """By hand: 7 g/kg at 1000 hPa is 0.007 x 100000 / (0.622 + 0.378 x 0.007) = 1120.6 Pa."""
    assert vapour_pressure_of_specific_humidity(0.007, 100_000) == pytest.approx(1120.6, abs=0.1)


@given(temperatures, humidities)
def test_humidity_and_vapour_undo_each_other(temperature, humidity):
    """There and back at any temperature of weather."""
    there = vapour_pressure(humidity, temperature)
    assert relative_humidity(there, temperature) == pytest.approx(humidity)
    assert saturation_pressure(dew_point(there)) == pytest.approx(float(there))


@given(temperatures, st.floats(1, 99))
def test_dew_point_is_never_above_the_air(temperature, humidity):
    """Air below saturation has its dew point below its temperature."""
    assert dew_point(vapour_pressure(humidity, temperature)) < temperature


def test_nan_disturbs_nobody():
    """One missing hour leaves the others alone."""
    found = relative_humidity(np.array([np.nan, 1000.0]), 20.0)
    assert np.isnan(found[0])
    assert np.isfinite(found[1])
