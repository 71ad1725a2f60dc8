"""Outdoor weather and rooms of known truth."""

import numpy as np
import pytest

from planner.air.days import Days
from planner.air.humidity import vapour_pressure


def weather(days: int = 800, seed: int = 1) -> Days:
    """Invented temperate weather from 1 January 2024 on."""
    generator = np.random.default_rng(seed)
    day = np.datetime64("2024-01-01") + np.arange(days)
    departure = np.zeros(days)
    for i in range(1, days):
        departure[i] = 0.8 * departure[i - 1] + 2.0 * generator.standard_normal()
    temperature = 9.0 - 11.0 * np.cos(2 * np.pi * np.arange(days) / 365.25) + departure
    humidity = np.clip(75.0 + 8.0 * generator.standard_normal(days), 30, 100)
    return Days(day, temperature, vapour_pressure(humidity, temperature), np.full(days, 24))


@pytest.fixture
def outdoor() -> Days:
    """Over two years of invented weather."""
    return weather()
