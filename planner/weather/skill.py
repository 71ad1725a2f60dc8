"""How far a forecast, or the last day's weather, still tells of a day ahead."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from planner.air.days import Days
from planner.air.humidity import Floats
from planner.weather.season import fit_season, two_rows

PERSISTENCE_DAYS = 4.0  # an anomaly of the last days is gone after about a week
MOST_LEAD = 46  # days

# How the skill of a service at a place may be off the usual one: how likely that is held to be
# before any of its forecasts could be compared. Guesses.
HALF_SD = 2.5  # days
WIDTH_SD = 0.4  # of the logarithm
BEST_SD = 0.06  # below 1
# Forecasts of neighbouring days and leads go wrong together: so many count as one.
ALIKE = 8.0
CLOSEST = 0.999  # no forecast is nearer to the truth than the rounding of both
HALVES = np.arange(2.0, 24.01, 0.5)
WIDTHS = np.geomspace(0.8, 6.0, 15)
BESTS = np.arange(0.7, 1.0001, 0.025)
LEAST_DAYS = 300  # observed, for a season to take the departures from


@dataclass(frozen=True)
class ForecastSkill:
    """Correlation of forecast and observed departures from the season, falling with lead.

    ``best / (1 + exp((lead - half) / width))``. Without forecasts kept, that of a good global
    model for daily means: 0.95 on the second day, 0.75 after a week, 0.4 after ten days (a guess
    from published skill of upper-air fields, on the careful side for air near the ground).
    """

    half: float = 9.0
    width: float = 2.3
    best: float = 1.0

    def at(self, lead: Floats) -> Floats:
        """Return the correlation at *lead* days (n,) after the issue, (n,)."""
        return _correlation(lead, self.half, self.width, self.best)


def _correlation(
    lead: Floats | float, half: Floats | float, width: Floats | float, best: Floats | float
) -> Floats:
    return np.asarray(best / (1.0 + np.exp((np.asarray(lead) - half) / width)))


USUAL_SKILL = ForecastSkill()


@dataclass(frozen=True)
class Learned:
    """A skill, and how many foreseen days it was compared on (0: it is the usual one)."""

    skill: ForecastSkill
    days: int = 0


NOTHING_LEARNED = Learned(USUAL_SKILL)


def learned_skill(forecasts: Iterable[Days], observed: Days) -> Learned:
    """Return the skill of forecasts as what came has shown it; the usual one where nothing has.

    Parameters
    ----------
    forecasts : as issued, each beginning with the day of its issue, on the footing of *observed*
    observed : days of the place that were observed, not foreseen

    Returns
    -------
    The likeliest skill, given that departures are normal and an observed one is on average the
    foreseen one times the correlation; held to the usual by how few forecasts there are.
    """
    if len(observed) < LEAST_DAYS:
        return NOTHING_LEARNED
    lead, foreseen, seen = _pairs(forecasts, observed)
    if not len(lead):
        return NOTHING_LEARNED
    count = 2.0 * np.bincount(lead, minlength=MOST_LEAD) / ALIKE
    seen_squares, products, foreseen_squares = (
        np.bincount(lead, (a * b).sum(axis=0), minlength=MOST_LEAD) / ALIKE
        for a, b in ((seen, seen), (seen, foreseen), (foreseen, foreseen))
    )
    best, half, width = np.meshgrid(BESTS, HALVES, WIDTHS, indexing="ij")
    fitness = _before(half, width, best)
    for days in np.flatnonzero(count):
        r = np.minimum(_correlation(days + 0.5, half, width, best), CLOSEST)
        open_share = 1.0 - r**2
        left = seen_squares[days] - 2.0 * r * products[days] + r**2 * foreseen_squares[days]
        fitness = fitness - 0.5 * (count[days] * np.log(open_share) + left / open_share)
    i = np.unravel_index(np.argmax(fitness), fitness.shape)
    return Learned(ForecastSkill(float(half[i]), float(width[i]), float(best[i])), len(lead))


def _before(half: Floats, width: Floats, best: Floats) -> Floats:
    """Logarithm of how likely each skill is before any comparison, but for a constant."""
    usual = ForecastSkill()
    away = (
        (half - usual.half) / HALF_SD,
        np.log(width / usual.width) / WIDTH_SD,
        (best - usual.best) / BEST_SD,
    )
    return np.asarray(-0.5 * sum(part**2 for part in away))


def _pairs(forecasts: Iterable[Days], observed: Days) -> tuple[NDArray[np.int64], Floats, Floats]:
    """Return lead (n,), and foreseen and seen departures (2, n) in units of the usual weather."""
    tables = [table for table in forecasts if len(table)]
    if not tables:
        return np.empty(0, np.int64), np.empty((2, 0)), np.empty((2, 0))
    day = np.concatenate([table.day for table in tables]).astype(np.int64)
    lead = np.concatenate([(table.day - table.day[0]).astype(np.int64) for table in tables])
    have = observed.day.astype(np.int64)
    place = np.minimum(np.searchsorted(have, day), len(have) - 1)
    both = (have[place] == day) & (lead < MOST_LEAD)
    season = fit_season(observed, 1, np.random.default_rng(0))
    usual = season.usual(day[both])
    foreseen = np.concatenate([two_rows(table) for table in tables], axis=1)[:, both]
    seen = two_rows(observed)[:, place[both]]
    scale = season.scatter[:, None]
    return lead[both], (foreseen - usual) / scale, (seen - usual) / scale
