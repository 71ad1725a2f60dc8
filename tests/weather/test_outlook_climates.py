"""The weeks ahead under other skies: south of the equator, leap days, short records, gaps, trends.

All weather is invented, so that what will come is known.
"""

from datetime import date, timedelta

import numpy as np
import pytest

from planner.air.days import Days
from planner.air.humidity import saturation_pressure
from planner.weather.outlook import outlook
from planner.weather.season import fit_season

YEAR = 365.2425
COLDEST_NORTH, COLDEST_SOUTH = 18, 200  # day of the year
SPREAD_C = 3.3  # of daily weather


def climate(
    last: date, years: float, *, seed: int = 0, coldest: int = COLDEST_NORTH, warming: float = 0.0
) -> Days:
    """Weather of *years* up to *last*: a season, weather of days and of months, a trend [°C/a]."""
    days = round(years * YEAR)
    day = np.datetime64(last) - days + 1 + np.arange(days)
    generator = np.random.default_rng(seed)
    weather = np.zeros(days)
    for scale, share in ((3.0, 0.85), (30.0, 0.15)):
        keep, noise = np.exp(-1.0 / scale), generator.standard_normal(days)
        for i in range(1, days):
            noise[i] = keep * noise[i - 1] + np.sqrt(1 - keep**2) * noise[i]
        weather += np.sqrt(share) * noise
    turn = np.cos(2 * np.pi * (day.astype(int) - coldest) / YEAR)
    warm = 10.0 - 10.0 * turn + SPREAD_C * weather + warming * np.arange(-days + 1, 1) / YEAR
    dry = np.clip(4.0 - turn + generator.standard_normal(days), 0.5, None)
    return Days(day, warm, saturation_pressure(warm - dry), np.full(days, 24))


def ahead(table: Days, today: date, days: int = 84, **more):
    """The outlook from *today*."""
    return outlook(table, None, first=today, today=today, last=today + timedelta(days - 1), **more)


def test_south_of_the_equator_july_is_the_cold_month():
    """The season is learned from the place, not taken from the calendar."""
    today = date(2026, 7, 1)
    table = climate(today - timedelta(1), 10, coldest=COLDEST_SOUTH)
    found = ahead(table, today, 190)
    monthly = found.air.temperature.mean(axis=0)
    july, january = monthly[14:35].mean(), monthly[-10:].mean()
    assert july == pytest.approx(0.3, abs=1.5)
    assert january == pytest.approx(19.0, abs=2.5)
    vapour = found.air.vapour_pressure.mean(axis=0)
    assert vapour[-10:].mean() > 2.0 * vapour[14:35].mean()


@pytest.mark.parametrize("today", [date(2028, 2, 20), date(2028, 2, 29), date(2027, 12, 20)])
def test_a_leap_day_ahead_is_a_day_as_any_other(today):
    """29 February lies among its neighbours; the days are consecutive, none left out."""
    found = ahead(climate(today - timedelta(1), 12), today, 120)
    days = found.air.days
    at = int((np.datetime64("2028-02-29") - days[0]).astype(int))
    assert (np.diff(days) == np.timedelta64(1, "D")).all()
    mean, spread = found.air.temperature.mean(axis=0), found.air.temperature.std(axis=0)
    assert mean[at] == pytest.approx(mean[max(at - 1, 0) : at + 2].mean(), abs=1.0)
    if at > 10:
        assert spread[at] == pytest.approx(spread[at - 3 : at + 4].mean(), rel=0.15)


def test_a_record_without_any_leap_day_serves_as_well():
    """Typical years and some archives have none."""
    today = date(2028, 2, 20)
    table = climate(today - timedelta(1), 12)
    text = table.day.astype(str)
    without = table.where(~np.char.endswith(text, "02-29"))
    whole, lacking = ahead(table, today), ahead(without, today)
    np.testing.assert_allclose(
        lacking.air.temperature.mean(axis=0), whole.air.temperature.mean(axis=0), atol=0.3
    )


def inside(years: float, seeds: int = 40) -> tuple[float, float]:
    """Share of weeks 3 to 12 inside the 80 % range, and its width over the true weather's own."""
    hits, widths = [], []
    for seed in range(seeds):
        # The season that the twelve weeks fall in changes from case to case.
        today = date(2026, 1, 12) - timedelta(days=29 * (seed % 13))
        whole = climate(today + timedelta(83), years + 84 / YEAR, seed=seed)
        found = ahead(whole.before(today), today, members=200)
        weekly = found.air.temperature.reshape(200, 12, 7).mean(axis=2)[:, 2:]
        truth = whole.temperature[-84:].reshape(12, 7).mean(axis=1)[2:]
        low, high = np.percentile(weekly, [10, 90], axis=0)
        hits.append((truth >= low) & (truth <= high))
        widths.append(high - low)
    return float(np.mean(hits)), float(np.mean(widths))


@pytest.mark.parametrize("years", [0.3, 1.0, 2.0, 4.0])
def test_with_few_years_the_ranges_still_hold_what_they_promise(years):
    """A month, a year, two: by a harmonic with an honest spread; four: by their traces."""
    share, _ = inside(years)
    assert 0.72 < share < 0.93


def test_the_ranges_narrow_as_years_come_in():
    """What isn't known of the season is part of the spread."""
    widths = [inside(years, 12)[1] for years in (0.3, 1.0, 10.0)]
    assert widths[0] > 1.15 * widths[1] > 1.15 * 0.95 * widths[2]


@pytest.mark.parametrize("kind", ["every third July", "a year and a half", "two days in five"])
def test_gaps_in_the_past_move_the_outlook_little(kind):
    """Twelve years with holes tell of the coming July nearly what whole ones do."""
    today = date(2026, 6, 1)
    table = climate(today - timedelta(1), 12)
    month = table.day.astype("datetime64[M]").astype(int) % 12
    year = table.day.astype("datetime64[Y]").astype(int) + 1970
    keep = {
        "every third July": ~((month == 6) & (year % 3 == 0)),
        "a year and a half": (table.day < np.datetime64("2019-02-01"))
        | (table.day >= np.datetime64("2020-08-01")),
        "two days in five": np.random.default_rng(3).random(len(table)) > 0.4,
    }[kind]
    whole, holed = ahead(table, today), ahead(table.where(keep), today)
    weekly = [found.air.temperature.reshape(400, 12, 7).mean(axis=2) for found in (whole, holed)]
    mean, spread = ([getattr(w, f)(axis=0)[2:] for w in weekly] for f in ("mean", "std"))
    np.testing.assert_allclose(mean[1], mean[0], atol=1.2)
    np.testing.assert_allclose(spread[1].mean(), spread[0].mean(), rtol=0.25)
    assert np.isfinite(holed.air.vapour_pressure).all()


def test_a_warm_trend_over_decades_is_followed():
    """0.05 °C a year for forty years: the outlook is as warm as now, not as the mean of then."""
    off, mean_off = [], []
    for seed in range(12):
        today = date(2026, 1, 12)
        whole = climate(today + timedelta(83), 40.23, seed=seed, warming=0.05)
        found = ahead(whole.before(today), today, members=200)
        expected = 10.0 - 10.0 * np.cos(
            2 * np.pi * (found.air.days.astype(int) - COLDEST_NORTH) / YEAR
        )
        off.append((found.air.temperature.mean(axis=0) - expected)[21:].mean())
        mean_off.append(whole.temperature[:-84].mean() - 10.0)
    assert np.mean(mean_off) < -0.8  # what the plain mean of the forty years would be off by
    assert abs(np.mean(off)) < 0.35


def test_a_trend_is_taken_from_decades_and_hardly_from_ten_years():
    """Warm years at the end of a short record are weather more than climate."""
    generator = np.random.default_rng(0)
    today = date(2026, 1, 12)
    short, long = (
        [
            fit_season(climate(today, years, seed=seed, warming=warming), 1, generator).trend[0]
            for seed in range(12)
        ]
        for years, warming in ((10, 0.0), (40, 0.05))
    )
    assert np.abs(short).mean() < 0.02
    assert np.mean(long) == pytest.approx(0.045, abs=0.01)


def monsoon(last: date, years: float, seed: int = 0) -> Days:
    """Dry heat, then within weeks a warm wet season: no course of the year that two waves hold."""
    table = climate(last, years, seed=seed)
    phase = ((table.day.astype(int) - 18) % YEAR) / YEAR
    wet = 1.0 / (1.0 + np.exp(-(phase - 0.42) * 60)) - 1.0 / (1.0 + np.exp(-(phase - 0.72) * 60))
    vapour = 1000.0 * np.exp(0.9 * wet + 0.1 * (table.vapour_pressure / 900.0 - 1.0))
    return Days(table.day, table.temperature, vapour, table.hours)


def test_a_monsoon_is_foreseen_as_steep_as_it_comes():
    """Two weeks before it the air is dry, four after it damp: as many harmonics as that takes."""
    today = date(2026, 5, 1)
    found = ahead(monsoon(today - timedelta(1), 12), today, 120)
    vapour = found.air.vapour_pressure.mean(axis=0)
    truth = monsoon(today + timedelta(119), 12.33).vapour_pressure[-120:]
    weekly = [values[:119].reshape(17, 7).mean(axis=1) for values in (vapour, truth)]
    np.testing.assert_allclose(weekly[0], weekly[1], rtol=0.12)


def test_a_record_of_one_month_a_year_still_gives_an_outlook():
    """Only Januaries: the rest of the year is guessed, wide, and no number is missing."""
    today = date(2026, 2, 1)
    table = climate(today - timedelta(1), 40)
    january = table.day.astype("datetime64[M]").astype(int) % 12 == 0
    found = ahead(table.where(january), today, 200)
    assert np.isfinite(found.air.vapour_pressure).all()
    assert np.isfinite(found.air.temperature).all()
