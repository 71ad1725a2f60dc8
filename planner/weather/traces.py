"""Possible weather about the season: traces of past years, or drawn where there are too few."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from planner.air.days import Days
from planner.air.humidity import Floats
from planner.weather.past import BRIDGED_DAYS
from planner.weather.season import ALIKE, YEAR, Season, two_rows

SHIFT_DAYS = 7  # a past year's trace may as well have come a week earlier or later
SHIFTS_OF_ALL = 45  # days; of so many together may the traces of few years be shifted
APART_DAYS = 60.0  # traces that far apart have nothing to do with each other
EVENED = 1.0  # traces that the spread of the whole record counts for beside that of the days ahead
LEAST_YEARS = 0.9  # of observed days, for their traces to serve
MOST_YEARS = 40
JUDGED_DAYS = 84  # of a trace, by which it is taken or not: those of a plan of twelve weeks
WHOLE = 0.9  # share of them that must have been observed

# Weather drawn without past years: passing and lasting part; scale in days, share of variance.
DRAWN = ((3.0, 0.8), (25.0, 0.2))


@dataclass(frozen=True)
class Anomalies:
    """Daily departures from the season over a whole record without a gap.

    Attributes
    ----------
    first : number of the first day
    values : (2, days)
    observed : (days,) false where a long gap was filled from another year
    """

    first: int
    values: Floats
    observed: NDArray[np.bool_]

    @property
    def years(self) -> float:
        """Years of observed days."""
        return float(self.observed.sum() / YEAR)


def anomalies_of(table: Days, season: Season) -> Anomalies:
    """Return the departures of observed days from the season's middle course."""
    day = table.day.astype(np.int64)
    every = np.arange(day[0], day[-1] + 1)
    departures = two_rows(table) - season.usual(day)
    values = np.stack([np.interp(every, day, row) for row in departures])
    near = _gap_lengths(every, day) <= BRIDGED_DAYS + 1
    return Anomalies(int(day[0]), _filled(values, near), near)


def _gap_lengths(every: NDArray[np.int64], have: NDArray[np.int64]) -> NDArray[np.int64]:
    after = np.searchsorted(have, every)
    return np.asarray(
        have[after] - have[np.maximum(np.searchsorted(have, every, side="right") - 1, 0)]
    )


def _filled(values: Floats, known: NDArray[np.bool_]) -> Floats:
    """Fill long gaps with the same days of the nearest year that has them, else with nothing."""
    values, missing = values.copy(), np.flatnonzero(~known)
    values[:, missing] = 0.0
    for k in range(1, MOST_YEARS):
        for sign in (-1, 1):
            source = missing + sign * round(k * YEAR)
            usable = (source >= 0) & (source < len(known))
            usable[usable] = known[source[usable]]
            values[:, missing[usable]] = values[:, source[usable]]
            missing = missing[~usable]
        if not len(missing):
            break
    return values


def draw_traces(
    past: Anomalies,
    season: Season,
    days: NDArray[np.int64],
    members: int,
    generator: np.random.Generator,
) -> Floats:
    """Return departures from the season on coming *days*, (2, members, days).

    Each member is a past year's trace of the same days, come a little earlier or later. Their mean
    is taken out: by how much a few years' mean of one day is off the season is chance, as the
    season was learned from all their days. About their own mean they spread less than about the
    true one, by sqrt((n - 1) / n) as in the estimate of a variance, and are widened by that.
    """
    years = _usable_years(past, days)
    if past.years < LEAST_YEARS or not len(years):
        return _drawn(season, len(days), members, generator)
    back, shift, alone = _picked(years, members)
    source = _within(
        past, days[None, :] - np.rint(back * YEAR).astype(int)[:, None] + shift[:, None]
    )
    values = past.values[:, source[generator.permutation(members)]]
    about = values - values.mean(axis=1, keepdims=True)
    about = about * np.sqrt(alone / (alone - 1.0))
    return np.asarray(about * _evened(past, about.var(axis=1), alone)[:, None, :])


def _evened(past: Anomalies, variance: Floats, alone: float) -> Floats:
    """By how much to widen or narrow each day, (2, days): a calm week may have been chance.

    Its *variance* (2, days) is drawn towards that of the whole record by as much as one more
    trace would.
    """
    whole = past.values[:, past.observed].var(axis=1)[:, None]
    drawn = (alone * variance + EVENED * whole) / (alone + EVENED)
    return np.asarray(np.sqrt(drawn / np.maximum(variance, 1e-12)))


def _picked(
    years: NDArray[np.int64], members: int
) -> tuple[NDArray[np.int64], NDArray[np.int64], float]:
    """How many years back each member lies and by how many days it is shifted, (members,) both.

    Few years are shifted by more, so that they give as many traces as many do; the last value is
    for how many traces that have nothing to do with each other they stand.
    """
    most = max(SHIFT_DAYS, round(SHIFTS_OF_ALL / len(years)))
    turn = np.arange(members) // len(years)
    rounds = max(members // len(years), 1)
    shift = np.rint(np.linspace(-most, most, rounds))[turn % rounds] if rounds > 1 else 0.0 * turn
    apart = 1.0 + 2.0 * most / APART_DAYS
    return years[np.arange(members) % len(years)], shift.astype(np.int64), len(years) * apart


def _usable_years(past: Anomalies, days: NDArray[np.int64]) -> NDArray[np.int64]:
    """How many years back a trace may start: nearly all its first days observed.

    Whatever the number of *days*, so that a longer look ahead is the shorter one and more.
    """
    first = days[0] + np.arange(JUDGED_DAYS)
    oldest = int((first[-1] - past.first) // YEAR)
    back = np.arange(1, min(oldest, MOST_YEARS) + 1)
    source = first[None, :] - np.rint(back * YEAR).astype(int)[:, None]
    seen = past.observed[_within(past, source)] if len(back) else np.empty((0, 1))
    return np.asarray(back[seen.mean(axis=1) >= WHOLE])


def _within(past: Anomalies, day: NDArray[np.int64]) -> NDArray[np.int64]:
    """Positions in the record; a trace that runs out of it goes on in the year before or after."""
    position = day - past.first
    year = round(YEAR)
    length = len(past.observed)
    over = np.maximum(-(-(position - length + 1) // year), 0)
    position = position - over * year
    under = np.maximum(-(position // year), 0)
    return np.asarray(np.clip(position + under * year, 0, length - 1))


def _drawn(season: Season, days: int, members: int, generator: np.random.Generator) -> Floats:
    total = np.zeros((2, members, days))
    for (scale, part), own in zip(DRAWN, generator.spawn(len(DRAWN)), strict=True):
        # Day by day, so that more days only add to what fewer would have been.
        noise = own.standard_normal((days, 2, members)).transpose(1, 2, 0)
        noise[1] = ALIKE * noise[0] + np.sqrt(1.0 - ALIKE**2) * noise[1]
        keep = np.exp(-1.0 / scale)
        for i in range(1, days):
            noise[:, :, i] = keep * noise[:, :, i - 1] + np.sqrt(1 - keep**2) * noise[:, :, i]
        total += np.sqrt(part) * noise
    return total * season.scatter[:, None, None]
