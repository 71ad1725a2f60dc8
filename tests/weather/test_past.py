"""Past days: observed where they were, typical of the season where they weren't."""

from datetime import date

import numpy as np
import pytest

from planner.air.days import Days
from planner.weather.past import past_air


def _table(first: str, count: int) -> Days:
    day = np.arange(np.datetime64(first), np.datetime64(first) + count)
    season = np.cos(2 * np.pi * (day.astype(int) - 18) / 365.2425)
    return Days(day, 10 - 12 * season, 1000 * np.exp(-0.5 * season), np.full(count, 24))


def test_an_observed_day_is_kept_as_it_is():
    """Nothing is smoothed where something was observed."""
    table = _table("2023-01-01", 730)
    air, known = past_air(table, date(2023, 3, 1), date(2023, 3, 31))
    assert known.all()
    np.testing.assert_allclose(air.vapour_pressure[0], table.vapour_pressure[59:90])
    np.testing.assert_allclose(air.temperature[0], table.temperature[59:90])


def test_a_short_gap_is_bridged_and_a_long_one_is_typical_of_the_season():
    """Two missing days are bridged; a missing July is a July, not a line from June to August."""
    table = _table("2022-01-01", 1096)
    missing = np.isin(table.day, np.array(["2023-03-04", "2023-03-05"], "datetime64[D]"))
    july = (table.day >= np.datetime64("2023-07-01")) & (table.day < np.datetime64("2023-08-01"))
    air, known = past_air(table.where(~missing & ~july), date(2023, 1, 1), date(2023, 12, 31))
    assert known[62:64].all()
    assert not known[181:212].any()
    np.testing.assert_allclose(air.temperature[0, 181:212], table.temperature[july], atol=0.1)


@pytest.mark.parametrize(("missing", "bridged"), [(1, True), (3, True), (4, False)])
def test_a_gap_of_up_to_three_days_is_bridged(missing, bridged):
    """Weather holds that long."""
    table = _table("2022-01-01", 730)
    keep = np.ones(730, bool)
    keep[100 : 100 + missing] = False
    _, known = past_air(table.where(keep), date(2022, 4, 1), date(2022, 4, 30))
    assert known[~keep[90:120]].tolist() == [bridged] * missing
    assert known[keep[90:120]].all()


def test_days_before_the_first_observation_are_not_called_known():
    """A reed judged before the weather begins rests on a typical day."""
    _, known = past_air(_table("2023-01-01", 400), date(2022, 12, 1), date(2022, 12, 31))
    assert not known.any()


def test_a_few_days_of_weather_give_their_mean():
    """With a week of weather no season can be known."""
    air, _ = past_air(_table("2023-01-01", 7), date(2023, 6, 1), date(2023, 6, 2))
    assert air.temperature[0, 0] == pytest.approx(_table("2023-01-01", 7).temperature.mean())


def test_nothing_observed_is_refused():
    """There is nothing to fill from."""
    with pytest.raises(ValueError, match="no observed day"):
        past_air(Days.none(), date(2023, 1, 1), date(2023, 1, 2))
