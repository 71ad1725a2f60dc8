"""Days, members and weeks."""

from datetime import date

import numpy as np
import pytest

from planner.air.days import Air, Days, mondays_of
from planner.air.hours import days_of_hours
from planner.air.weeks import monday_of

FIRST = np.datetime64("2026-02-27")


def table(days: int = 4) -> Days:
    """A table of days from 27 February 2026 on."""
    return Days(
        FIRST + np.arange(days),
        np.arange(days, dtype=float),
        1000.0 + np.arange(days),
        np.full(days, 24),
    )


def test_days_must_ascend():
    """A day twice, or out of order, is our own mistake."""
    with pytest.raises(ValueError, match="ascend"):
        Days(np.array([FIRST, FIRST]), np.zeros(2), np.zeros(2), np.zeros(2, int))
    with pytest.raises(ValueError, match="different length"):
        Days(np.array([FIRST]), np.zeros(2), np.zeros(2), np.zeros(2, int))


def test_before_leaves_out_the_day_itself():
    """As of a day, its own weather isn't known yet."""
    assert len(table().before(date(2026, 3, 1))) == 2
    assert len(Days.none()) == 0


def test_air_checks_its_shape():
    """Days must be consecutive and the values fit them."""
    with pytest.raises(ValueError, match="consecutive"):
        Air(FIRST + np.array([0, 2]), np.zeros((1, 2)), np.zeros((1, 2)))
    with pytest.raises(ValueError, match="2 days, but"):
        Air(FIRST + np.arange(2), np.zeros((1, 3)), np.zeros((1, 3)))


def test_part_has_both_ends():
    """A part is cut by days, both included."""
    days = table()
    air = Air(days.day, days.temperature[None], days.vapour_pressure[None])
    part = air.part(date(2026, 2, 28), date(2026, 3, 1))
    assert part.temperature.tolist() == [[1.0, 2.0]]
    assert air.members == 1


def test_vapour_is_averaged_not_humidity():
    """Two hours at 0 and 30 °C and 80 %: the mean vapour is the mean of the two pressures."""
    times = np.array(["2026-07-01T06:00", "2026-07-01T12:00"], "datetime64[s]")
    found = days_of_hours(times, np.array([0.0, 30.0]), np.array([489.0, 3387.0]), "UTC")
    assert found.vapour_pressure.tolist() == [1938.0]
    assert found.hours.tolist() == [2]


def test_hours_fall_on_the_days_of_the_place():
    """Six in the morning UTC is still the day before in Denver; gaps in hours don't count."""
    times = np.array(["2026-07-01T05:00", "2026-07-01T07:00", "2026-07-01T08:00"], "datetime64[s]")
    found = days_of_hours(times, np.array([1.0, 2.0, np.nan]), np.full(3, 900.0), "America/Denver")
    assert [str(day) for day in found.day] == ["2026-06-30", "2026-07-01"]
    assert found.temperature.tolist() == [1.0, 2.0]


def test_values_within_an_hour_of_the_places_clock_count_once():
    """In Kolkata, 5:30 ahead of UTC, these four are of the two hours from 15 and from 16 o'clock.

    Own arithmetic: the hours have 15 and 75 °C, the day 45; by the hours of UTC it would be 63.3.
    """
    quarters = ("10:00", "10:15", "10:59:59", "11:00")
    times = np.array([f"2026-07-01T{at}" for at in quarters], "datetime64[s]")
    found = days_of_hours(times, np.array([10.0, 20.0, 50.0, 100.0]), np.ones(4), "Asia/Kolkata")
    assert found.hours.tolist() == [2]
    assert found.temperature.tolist() == [45.0]


def test_weeks_begin_on_monday():
    """Also before 1970, from which days are counted; each day as alone."""
    days = np.arange("1969-12-20", "1970-01-20", dtype="datetime64[D]")
    found = mondays_of(days)
    assert found.dtype == days.dtype
    assert found.tolist() == [monday_of(day) for day in days.tolist()]
    assert monday_of(date(2026, 3, 1)) == date(2026, 2, 23)  # a Sunday
