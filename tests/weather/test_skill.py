"""What forecasts are worth, learned from those that were kept."""

from datetime import timedelta

import numpy as np
import pytest
from scipy.stats import norm

from planner.air.days import Days
from planner.weather import skill
from planner.weather.outlook import outlook
from planner.weather.skill import (
    NOTHING_LEARNED,
    USUAL_SKILL,
    ForecastSkill,
    learned_skill,
)

TODAY = np.datetime64("2026-01-12")
YEARS_OF_DAYS = 2200


def departures(seed: int) -> np.ndarray:
    """Invented weather about the season, of standard deviation 1, (2, days)."""
    generator = np.random.default_rng(seed)
    out = generator.standard_normal((2, YEARS_OF_DAYS))
    for i in range(1, YEARS_OF_DAYS):
        out[:, i] = 0.8 * out[:, i - 1] + 0.6 * out[:, i]
    return out


def air(departure: np.ndarray, number: np.ndarray) -> Days:
    """Air on days counted from TODAY, about an invented season."""
    day = TODAY + number
    turn = 2 * np.pi * (day.astype(int) - 15) / 365.2425
    temperature = 9.0 - 11.0 * np.cos(turn) + 4.0 * departure[0]
    vapour = 850.0 * np.exp(-0.6 * np.cos(turn) + 0.28 * departure[1])
    return Days(day, temperature, vapour, np.full(len(day), 24))


def history(true: ForecastSkill, issues: int, seed: int = 0) -> tuple[list[Days], Days]:
    """Forecasts of a service with a known skill on the last *issues* days, and what came."""
    weather = departures(seed)
    generator = np.random.default_rng([seed, 1])
    number = np.arange(-YEARS_OF_DAYS, 0)
    forecasts = []
    for issued in range(-issues, 0):
        lead = np.arange(9)
        r = true.at(lead + 0.5)
        seen = weather[:, np.minimum(issued + lead + YEARS_OF_DAYS, YEARS_OF_DAYS - 1)]
        # Errors that last, as those of a model run do.
        noise = generator.standard_normal((2, 9))
        for i in range(1, 9):
            noise[:, i] = 0.8 * noise[:, i - 1] + 0.6 * noise[:, i]
        forecasts.append(air(r * seen + np.sqrt(1 - r**2) * noise, issued + lead))
    return forecasts, air(weather, number)


@pytest.mark.parametrize(
    "true", [ForecastSkill(5.0, 1.5), ForecastSkill(9.0, 2.3), ForecastSkill(12.0, 3.0, 0.93)]
)
def test_the_skill_of_a_service_is_recovered_from_a_year_of_its_forecasts(true):
    """Correlation within 0.08 at every lead, in the mean of five invented years."""
    lead = np.arange(9) + 0.5
    found = [learned_skill(*history(true, 365, seed)).skill.at(lead) for seed in range(5)]
    np.testing.assert_allclose(np.mean(found, axis=0), true.at(lead), atol=0.08)


@pytest.mark.parametrize("issues", [10, 60])
def test_the_skill_learned_is_the_likeliest_by_the_density_itself(issues):
    """Scipy's normal densities over the same grid, eight pairs counting as one.

    An observed departure is the foreseen one times r, give or take (1 - r²)^0.5, in units of the
    usual weather; before that the half is 9 days give or take 2.5, the width 2.3 by a factor of
    exp(0.4), the best 1 give or take 0.06.
    """
    forecasts, observed = history(ForecastSkill(6.0, 2.0), issues)
    lead, foreseen, seen = skill._pairs(forecasts, observed)
    best, half, width = np.meshgrid(skill.BESTS, skill.HALVES, skill.WIDTHS, indexing="ij")
    density = norm.logpdf(half, 9.0, 2.5) + norm.logpdf(np.log(width), np.log(2.3), 0.4)
    density = density + norm.logpdf(best, 1.0, 0.06)
    for days in np.unique(lead):
        r = np.minimum(best / (1 + np.exp((days + 0.5 - half) / width)), 0.999)[..., None]
        own = lead == days
        pairs = norm.logpdf(seen[:, own].ravel(), r * foreseen[:, own].ravel(), (1 - r**2) ** 0.5)
        density = density + pairs.sum(axis=-1) / 8
    at = np.unravel_index(density.argmax(), density.shape)
    found = learned_skill(forecasts, observed)
    assert found.days == len(lead)
    assert found.skill == ForecastSkill(float(half[at]), float(width[at]), float(best[at]))


def test_few_forecasts_move_the_usual_skill_a_little_and_none_not_at_all():
    """A bad week isn't yet a bad service."""
    poor = ForecastSkill(4.0, 1.5)
    assert learned_skill([], history(poor, 1)[1]) == NOTHING_LEARNED
    learned = [learned_skill(*history(poor, issues)) for issues in (4, 30, 365)]
    halves = [found.skill.half for found in learned]
    assert [found.days for found in learned] == [10, 234, 3249]
    assert 9.0 >= halves[0] > halves[1] >= halves[2]
    assert halves[0] > 6.5


def test_with_too_short_a_past_for_a_season_the_usual_skill_stands():
    """Departures need something to depart from."""
    forecasts, observed = history(ForecastSkill(4.0, 1.5), 100)
    short = observed.where(observed.day >= TODAY - 200)
    assert learned_skill(forecasts, short) == NOTHING_LEARNED


def test_forecasts_of_days_that_have_not_come_count_for_nothing():
    """The newest reach into the future."""
    forecasts, observed = history(ForecastSkill(4.0, 1.5), 60)
    known = observed.before((TODAY - 60).item())
    assert learned_skill(forecasts, known) == NOTHING_LEARNED


def spread(skill: ForecastSkill) -> np.ndarray:
    """Standard deviation of temperature over the nine days of a forecast and the next two."""
    _, observed = history(USUAL_SKILL, 1)
    found = outlook(
        observed,
        air(np.full((2, 9), -1.0), np.arange(9)),
        first=TODAY.item(),
        today=TODAY.item(),
        last=TODAY.item() + timedelta(10),
        skill=skill,
    )
    return found.air.temperature.std(axis=0)


def test_the_spread_grows_with_lead_and_faster_where_forecasts_were_poor():
    """From the second day on the poorer service's futures lie wider."""
    good, poor = spread(ForecastSkill(10.0, 2.3)), spread(ForecastSkill(5.0, 1.5))
    assert (np.diff(good[:9]) > 0).all()
    assert (poor[2:8] > 1.2 * good[2:8]).all()


def test_ranges_of_forecast_days_hold_what_they_promise():
    """80 % ranges, days 2 to 9, skill learned: 74 to 86 % of what came in 60 invented cases."""
    true = ForecastSkill(6.0, 2.0)
    skill = learned_skill(*history(true, 365, seed=50)).skill
    inside = []
    for seed in range(100, 160):
        forecasts, observed = history(true, 9, seed)
        known, truth = observed.before((TODAY - 9).item()), observed.temperature[-9:]
        found = outlook(
            known,
            forecasts[0],
            first=(TODAY - 9).item(),
            today=(TODAY - 9).item(),
            last=(TODAY - 1).item(),
            members=200,
            skill=skill,
        )
        low, high = np.percentile(found.air.temperature, [10, 90], axis=0)
        inside.append(((truth >= low) & (truth <= high))[1:])
    assert 0.74 < np.mean(inside) < 0.86
