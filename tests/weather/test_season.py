"""The usual course of the year: its coefficients, its doubt and its trend, by other ways."""

import numpy as np
import pytest
import statsmodels.api as sm

from planner.air.days import Days
from planner.weather import season
from planner.weather.season import fit_season, harmonics

FIRST = np.datetime64("2016-03-01")
LOOK = 8.0  # days of weather that count as one look at the season
MEAN_SD, SWING_SD, WEATHER_SD = (12.0, 0.7), (9.0, 0.5), (4.0, 0.28)


def table(days: int, seed: int = 1) -> Days:
    """Weather about one wave a year."""
    day = FIRST + np.arange(days)
    noise = np.random.default_rng(seed).standard_normal((2, days))
    wave = np.cos(2 * np.pi * (day.astype(int) - 20) / 365.2425)
    vapour = np.exp(6.8 - 0.4 * wave + 0.2 * noise[1])
    return Days(day, 9.0 - 10.0 * wave + 3.0 * noise[0], vapour, np.full(days, 24))


@pytest.mark.parametrize("days", [20, 200, 500])
def test_a_short_record_is_a_ridge_regression(days):
    """Of one harmonic: least squares with the prior as further rows (Hoerl & Kennard, 1970).

    What is known before: the mean of the record give or take 12 °C, no swing give or take 9 °C; of
    the logarithm of vapour 0.7 and 0.5. A day counts an eighth of a look; its scatter is held to
    the usual 4 °C and 0.28 by five looks.
    """
    days_of = table(days)
    found = fit_season(days_of, 4_000, np.random.default_rng(3))
    columns = harmonics(days_of.day.astype(int), 1)
    for k, values in enumerate((days_of.temperature, np.log(days_of.vapour_pressure))):
        left = sm.OLS(values, columns).fit().resid
        looks = days / LOOK
        scatter = np.sqrt((looks * (left**2).mean() + 5 * WEATHER_SD[k] ** 2) / (looks + 5))
        assert found.scatter[k] == pytest.approx(scatter)
        weight = 1 / (scatter * LOOK**0.5)
        prior = np.diag([1 / MEAN_SD[k], 1 / SWING_SD[k], 1 / SWING_SD[k]])
        rows = np.vstack([weight * columns, prior])
        about = values.mean()
        solved = np.linalg.lstsq(rows, np.append(weight * (values - about), np.zeros(3)))[0]
        assert found.expected[:, k] == pytest.approx(solved + np.array([about, 0, 0]), abs=1e-8)
        # 4,000 draws: three standard errors of a standard deviation are 3.4 in 100.
        doubt = np.sqrt(np.diag(np.linalg.inv(rows.T @ rows)))
        np.testing.assert_allclose(found.weights[:, :, k].std(axis=0), doubt, rtol=0.05)
        np.testing.assert_allclose(
            found.weights[:, :, k].mean(axis=0), found.expected[:, k], atol=4 * doubt.max() / 60
        )


@pytest.mark.parametrize(("waves", "expected"), [(1, 2), (2, 2), (3, 3), (5, 5)])
def test_a_long_record_takes_as_many_waves_as_it_tells_of(waves, expected):
    """Nine years of 3 °C of daily weather; each planted wave swings by 4 °C. At least two."""
    plain = table(9 * 365)
    angle = 2 * np.pi * plain.day.astype(int) / 365.2425
    extra = sum(4.0 * np.cos(k * angle) for k in range(2, waves + 1))
    steep = Days(plain.day, plain.temperature + extra, plain.vapour_pressure, plain.hours)
    found = fit_season(steep, 1, np.random.default_rng(0))
    assert len(found.expected) == 1 + 2 * expected


def test_temperature_and_vapour_are_wrong_together():
    """A season that is warmer than thought is damper too: 0.85."""
    found = fit_season(table(300), 4_000, np.random.default_rng(3))
    at = found.at(np.array([17_000, 17_090]))
    assert at.shape == (2, 4_000, 2)
    assert np.corrcoef(at[0, :, 0], at[1, :, 0])[0, 1] == pytest.approx(0.85, abs=0.06)


@pytest.mark.parametrize("warming", [0.0, 0.1])
def test_a_trend_is_a_regression_of_yearly_means_held_to_what_is_usual(warming):
    """Statsmodels' slope and its standard error; 0.03 °C a year (0.002 of vapour) is usual."""
    days = 12 * 365
    day = FIRST.astype(int) + np.arange(days)
    noise = np.random.default_rng(8).standard_normal((2, days))
    anomalies = noise * np.array([[3.0], [0.2]]) + warming * (day - day.mean()) / 365.2425
    found = season._trend(day, anomalies, float(day.mean()))
    for k, usual in enumerate((0.03, 0.002)):
        means = anomalies[k].reshape(12, 365).mean(axis=1)
        when = day.reshape(12, 365).mean(axis=1) / 365.2425
        fitted = sm.OLS(means, sm.add_constant(when - when.mean())).fit()
        kept = usual**2 / (usual**2 + fitted.bse[1] ** 2)
        assert found[k] == pytest.approx(fitted.params[1] * kept)


def test_three_years_have_no_trend():
    """Of fewer than four full years nothing is said."""
    day = FIRST.astype(int) + np.arange(3 * 365 + 200)
    anomalies = np.tile(0.5 * (day - day[0]) / 365.0, (2, 1))
    assert season._trend(day, anomalies, float(day.mean())).tolist() == [0.0, 0.0]


def test_the_trend_turns_about_the_middle_of_the_record():
    """A year after the middle the usual is warmer by the trend, at the middle by nothing."""
    found = fit_season(table(9 * 365), 1, np.random.default_rng(0))
    middle = round(found.middle)
    columns = harmonics(np.array([middle, middle + 365]), (len(found.expected) - 1) // 2)
    drift = found.usual(np.array([middle, middle + 365])) - (columns @ found.expected).T
    assert drift[:, 0] == pytest.approx([0.0, 0.0], abs=1e-4)
    assert drift[:, 1] == pytest.approx(found.trend, rel=2e-3)
