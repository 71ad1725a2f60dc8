"""Vapour pressure, dew point and relative humidity.

Temperatures in °C, pressures in Pa, relative humidity in % over liquid water at every
temperature, as weather services and hygrometers report it. All functions broadcast; NaN stays NaN.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

# Magnus coefficients over water, WMO-No. 8, Guide to Instruments and Methods of Observation,
# annex on humidity formulae (coefficients from memory; checked against the reference libraries).
MAGNUS_PA = 611.2
MAGNUS_B = 17.62
MAGNUS_C = 243.12  # °C

VAPOUR_GAS_CONSTANT = 461.523  # J/(kg K)
MASS_RATIO = 0.622  # water vapour to dry air
KELVIN = 273.15


def saturation_pressure(temperature: ArrayLike) -> Floats:
    """Saturation vapour pressure over liquid water [Pa] at a temperature [°C].

    References
    ----------
    Magnus formula, WMO-No. 8, annex on humidity formulae; stated from -45 to 60 °C, and used a
    little below that too, where outdoor vapour is next to nothing.
    """
    temperature = np.asarray(temperature, dtype=float)
    return MAGNUS_PA * np.exp(MAGNUS_B * temperature / (MAGNUS_C + temperature))


def dew_point(vapour_pressure: ArrayLike) -> Floats:
    """Dew point over liquid water [°C] of a vapour pressure [Pa]; inverse of Magnus."""
    ratio = np.log(np.asarray(vapour_pressure, dtype=float) / MAGNUS_PA)
    return MAGNUS_C * ratio / (MAGNUS_B - ratio)


def vapour_pressure(relative_humidity: ArrayLike, temperature: ArrayLike) -> Floats:
    """Vapour pressure [Pa] of air at a relative humidity [%] and temperature [°C]."""
    return np.asarray(relative_humidity, dtype=float) / 100.0 * saturation_pressure(temperature)


def relative_humidity(vapour_pressure: ArrayLike, temperature: ArrayLike) -> Floats:
    """Relative humidity [%] of air with a vapour pressure [Pa] at a temperature [°C].

    Not cut at 100 %: more than that says that the air would have condensed.
    """
    return 100.0 * np.asarray(vapour_pressure, dtype=float) / saturation_pressure(temperature)


def vapour_density(vapour_pressure: ArrayLike, temperature: ArrayLike) -> Floats:
    """Water vapour in the air [g/m³] (ideal gas) at a vapour pressure [Pa], temperature [°C]."""
    kelvin = np.asarray(temperature, dtype=float) + KELVIN
    density = 1000.0 * np.asarray(vapour_pressure, dtype=float) / (VAPOUR_GAS_CONSTANT * kelvin)
    return np.asarray(density, dtype=float)


def excess_pressure(excess: ArrayLike, temperature: ArrayLike) -> Floats:
    """Vapour pressure [Pa] that a moisture excess [g/m³] adds to air at a temperature [°C]."""
    kelvin = np.asarray(temperature, dtype=float) + KELVIN
    added = np.asarray(excess, dtype=float) / 1000.0 * VAPOUR_GAS_CONSTANT * kelvin
    return np.asarray(added, dtype=float)


def vapour_pressure_of_specific_humidity(
    specific_humidity: ArrayLike, air_pressure: ArrayLike
) -> Floats:
    """Vapour pressure [Pa] of a specific humidity [kg/kg] at an air pressure [Pa].

    References
    ----------
    e = q p / (ε + (1 - ε) q), ε = 0.622: WMO-No. 8, annex on humidity formulae (from memory).
    """
    q = np.asarray(specific_humidity, dtype=float)
    pressure = q * np.asarray(air_pressure, dtype=float) / (MASS_RATIO + (1.0 - MASS_RATIO) * q)
    return np.asarray(pressure, dtype=float)
