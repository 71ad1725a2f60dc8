"""Air by the hour: what stands for what, and what is too little to go by."""

import numpy as np
import pytest

from planner.air.humidity import saturation_pressure, vapour_pressure
from planner.weather.hours import Hours, days_of, filled_between, vapour_of

START = np.datetime64("2026-11-23T00:00:00")


def hours(count: int) -> Hours:
    """So many hours of the same air."""
    time = START + np.arange(count) * np.timedelta64(3600, "s")
    return Hours(time, np.full(count, 10.0), np.full(count, 900.0))


def test_the_dew_point_goes_before_the_humidity():
    """Where both are known, where one is, where none is."""
    dew_point = np.array([5.0, 5.0, np.nan, np.nan])
    humidity = np.array([99.0, np.nan, 60.0, np.nan])
    found = vapour_of(dew_point, humidity, np.full(4, 12.0))
    by_dew_point = float(saturation_pressure(5.0))
    assert found[:2] == pytest.approx([by_dew_point, by_dew_point])
    assert found[2] == pytest.approx(float(vapour_pressure(60.0, 12.0)))
    assert np.isnan(found[3])


def test_one_hour_has_no_neighbour_to_be_filled_to():
    """It stays as it is; and no hours make no days."""
    one = hours(1)
    assert filled_between(one, 6) is one
    assert len(days_of(hours(0), "UTC")) == 0


def test_columns_of_different_length_are_refused():
    """A slip of the program, not of the maker."""
    with pytest.raises(ValueError, match="columns of different length: 2 times"):
        Hours(hours(2).time, np.zeros(2), np.zeros(1))
