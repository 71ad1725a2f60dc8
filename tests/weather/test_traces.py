"""Departures from the season: gaps, the years that serve, and weather drawn without any."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.air.days import Days
from planner.weather import traces
from planner.weather.season import Season
from planner.weather.traces import Anomalies, anomalies_of, draw_traces

FIRST = np.datetime64("2020-01-01")
FLAT = Season(
    middle=0.0,
    expected=np.array([[10.0, 7.0], [0.0, 0.0], [0.0, 0.0]]),
    weights=np.zeros((1, 3, 2)),
    trend=np.zeros(2),
    scatter=np.array([3.0, 0.2]),
)


def table(departure: np.ndarray, keep: np.ndarray | None = None) -> Days:
    """Days that depart from a season without seasons by so much [°C], vapour by a tenth."""
    n = len(departure)
    every = Days(FIRST + np.arange(n), 10.0 + departure, np.exp(7.0 + 0.1 * departure), np.ones(n))
    return every if keep is None else every.where(keep)


def noise(days: int) -> np.ndarray:
    """Departures that no two days share."""
    return np.random.default_rng(4).normal(0, 2, days)


def without(days: int, *gaps: tuple[int, int]) -> np.ndarray:
    """Mark all days but those of the gaps, first and length."""
    keep = np.ones(days, bool)
    for first, length in gaps:
        keep[first : first + length] = False
    return keep


def test_departures_are_those_of_the_table():
    """Temperature, and the logarithm of the vapour pressure."""
    departure = noise(40)
    past = anomalies_of(table(departure), FLAT)
    np.testing.assert_allclose(past.values, [departure, 0.1 * departure], atol=1e-12)
    assert past.observed.all()


def test_a_gap_of_three_days_is_bridged_and_one_of_four_is_not_observed():
    """As weather holds: a straight line between the days beside it."""
    departure = noise(60)
    past = anomalies_of(table(departure, without(60, (10, 3), (30, 4))), FLAT)
    assert np.flatnonzero(~past.observed).tolist() == [30, 31, 32, 33]
    line = departure[9] + (departure[13] - departure[9]) * np.array([0.25, 0.5, 0.75])
    np.testing.assert_allclose(past.values[0, 10:13], line)


@pytest.mark.parametrize(
    ("missing", "taken"), [((800, 60), -365), ((100, 60), 365), ((1200, 200), -365)]
)
def test_a_long_gap_has_the_weather_of_the_nearest_year_that_has_those_days(missing, taken):
    """The year before; in the first year the one after."""
    departure = noise(1500)
    past = anomalies_of(table(departure, without(1500, missing)), FLAT)
    gap = np.arange(missing[0], sum(missing))
    np.testing.assert_allclose(past.values[0, gap], departure[gap + taken])
    assert not past.observed[gap].any()


def test_days_missing_in_every_year_depart_by_nothing():
    """No January was ever observed: it is taken as usual."""
    past = anomalies_of(table(noise(800), without(800, (20, 30), (385, 30), (750, 30))), FLAT)
    assert not past.values[:, 20:50].any()


@given(st.integers(-3_000, 3_000))
def test_a_trace_that_runs_out_of_the_record_goes_on_at_the_same_time_of_year(day):
    """Whole years before or after, within the record; days within it are themselves."""
    past = Anomalies(500, np.zeros((2, 1000)), np.ones(1000, bool))
    (found,) = traces._within(past, np.array([500 + day]))
    assert 0 <= found < 1000
    assert (found - day) % 365 == 0
    if 0 <= day < 1000:
        assert found == day


def test_only_years_that_saw_those_days_lend_their_traces():
    """Five years, of which the second and the fourth back lack them: three kinds of futures.

    Each year departs by a constant of its own, so that a trace shows its year.
    """
    year = np.arange(5 * 365 + 2) * 5 // (5 * 365 + 2)
    own = np.array([0.0, 1.0, 4.0, 9.0, 16.0])[year]
    last = len(own)
    keep = without(last, (last - 2 * 365 + 60, 120), (last - 4 * 365 + 60, 120))
    past = anomalies_of(table(own, keep), FLAT)
    days = (FIRST + last).astype(int) + np.arange(100, 130)
    drawn = draw_traces(past, FLAT, days, 60, np.random.default_rng(1))
    assert np.unique(drawn[0, :, 15].round(6), return_counts=True)[1].tolist() == [20, 20, 20]
    assert drawn.mean(axis=1) == pytest.approx(0.0, abs=1e-9)


def test_weather_drawn_without_past_years_is_as_wide_and_as_lasting_as_stated():
    """First-order autoregressions: four fifths of 3 days, a fifth of 25; both rows at 0.85.

    Own arithmetic: after 7 days 0.8 exp(-7/3) + 0.2 exp(-7/25) = 0.229. Of 20,000 members three
    standard errors are 0.02; of a variance 3 in 100.
    """
    past = anomalies_of(table(noise(30)), FLAT)
    days = (FIRST + 30).astype(int) + np.arange(40)
    drawn = draw_traces(past, FLAT, days, 20_000, np.random.default_rng(2))
    for day in (0, 20, 39):
        np.testing.assert_allclose(drawn[:, :, day].std(axis=1), FLAT.scatter, rtol=0.02)
        rows = np.corrcoef(drawn[0, :, day], drawn[1, :, day])[0, 1]
        assert rows == pytest.approx(0.85, abs=0.01)
    for row in drawn:
        later = np.corrcoef(row[:, 20], row[:, 27])[0, 1]
        assert later == pytest.approx(0.229, abs=0.022)
        assert np.corrcoef(row[:, 20], row[:, 21])[0, 1] == pytest.approx(0.766, abs=0.01)


def test_a_day_without_vapour_is_the_driest_and_no_trouble():
    """A service that rounds deep frost to 0 Pa."""
    days = table(noise(40))
    dry = Days(days.day, days.temperature, np.where(np.arange(40) == 20, 0.0, 900.0), days.hours)
    past = anomalies_of(dry, FLAT)
    assert np.isfinite(past.values).all()
    assert past.values[1].argmin() == 20
