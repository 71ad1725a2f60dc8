"""The usual course of the year at a place, and how sure it is.

Everything ahead is worked out in two rows: temperature [°C] and the logarithm of the vapour
pressure [Pa], so that vapour stays positive and its spread grows with it.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from planner.air.days import Days
from planner.air.humidity import Floats

YEAR = 365.2425
FULL_YEARS = 3.0  # from here on past years serve as they are, and two harmonics or more
FEWEST, MOST = 2, 5  # harmonics of a long record; monsoons need more than two

# What is known of any place before its weather: mean and yearly swing (one harmonic, cosine and
# sine), wide enough for deserts and islands; weather about it. Guesses.
MEAN_PRIOR = np.array([12.0, 0.7])
SWING_PRIOR = np.array([9.0, 0.5])
WEATHER_PRIOR = np.array([4.0, 0.28])
ALIKE = 0.85  # correlation of temperature and vapour, of the season as of the weather
MEMORY_DAYS = 8.0  # days of weather that count as one independent look at the season

# Warming of the last decades a year; a short record's own trend is held to it. [°C, 1]
TREND_PRIOR = np.array([0.03, 0.002])


@dataclass(frozen=True)
class Season:
    """Harmonic course of the year with a slow trend.

    Attributes
    ----------
    middle : day number about which the trend turns
    expected : (columns, 2) its coefficients
    weights : (draws, columns, 2) how they may be
    trend : (2,) change a year
    scatter : (2,) standard deviation of daily weather about it
    """

    middle: float
    expected: Floats
    weights: Floats
    trend: Floats
    scatter: Floats

    def at(self, day: NDArray[np.int64]) -> Floats:
        """Return the usual values as they may be, (2, draws, days), on day numbers (days,)."""
        columns = self._columns(day)
        course = np.stack([self.weights[:, :, k] @ columns.T for k in range(2)])
        return np.asarray(course + self._drift(day)[:, None, :])

    def usual(self, day: NDArray[np.int64]) -> Floats:
        """Return the usual values as expected, (2, days), on day numbers (days,)."""
        return np.asarray((self._columns(day) @ self.expected).T + self._drift(day))

    def _columns(self, day: NDArray[np.int64]) -> Floats:
        return harmonics(day, (len(self.expected) - 1) // 2)

    def _drift(self, day: NDArray[np.int64]) -> Floats:
        return np.asarray(self.trend[:, None] * ((day - self.middle) / YEAR))


def two_rows(table: Days) -> Floats:
    """Return temperature [°C] and logarithm of vapour pressure [Pa], (2, n)."""
    return np.stack([table.temperature, np.log(np.maximum(table.vapour_pressure, 1.0))])


def harmonics(day: NDArray[np.int64], order: int) -> Floats:
    """Return a constant and *order* pairs of cosine and sine over the year, (n, 1 + 2 order)."""
    angle = 2.0 * np.pi * day / YEAR
    waves = [f(k * angle) for k in range(1, order + 1) for f in (np.cos, np.sin)]
    return np.column_stack([np.ones(len(day)), *waves])


def fit_season(table: Days, draws: int, generator: np.random.Generator) -> Season:
    """Fit the usual course of the year: two harmonics or more, one where the record is short.

    Parameters
    ----------
    table : observed days, not empty
    draws : how many ways it may be, for all that the record tells
    generator : source of their randomness
    """
    day, values = table.day.astype(np.int64), two_rows(table)
    middle = float(day.mean())
    order = _order(day, values) if len(table) >= FULL_YEARS * YEAR * 0.9 else 1
    columns = harmonics(day, order)
    scatter = _scatter(columns, values)
    expected, roots = _coefficients(columns, values, scatter)
    trend = _trend(day, values - (columns @ expected).T, middle)
    noise = generator.standard_normal((2, draws, columns.shape[1]))
    noise[1] = ALIKE * noise[0] + np.sqrt(1.0 - ALIKE**2) * noise[1]
    away = np.stack([noise[k] @ roots[k].T for k in range(2)], axis=-1)
    return Season(middle, expected, expected + away, trend, scatter)


def _order(day: NDArray[np.int64], values: Floats) -> int:
    """How many harmonics the record tells of: the least Bayesian information criterion.

    References
    ----------
    Schwarz (1978), Estimating the dimension of a model, Annals of Statistics 6, 461-464; here with
    independent looks in place of days.
    """
    columns = harmonics(day, MOST)
    centred = values - values.mean(axis=1, keepdims=True)
    # Nested models from one factor: what each further column explains of the squares.
    ridge = 1e-6 * len(day) * np.eye(columns.shape[1])  # a record of Januaries alone stays soluble
    root = np.linalg.cholesky(columns.T @ columns + ridge)
    explained = np.cumsum(np.linalg.solve(root, columns.T @ centred.T) ** 2, axis=0).T
    orders = np.arange(FEWEST, MOST + 1)
    left = (centred**2).sum(axis=1, keepdims=True) - explained[:, 2 * orders]
    looks = len(day) / MEMORY_DAYS
    parameters = 2.0 * (1.0 + 2.0 * orders)
    fitness = looks * np.log(np.maximum(left, 1e-12)).sum(axis=0) + parameters * np.log(looks)
    return int(orders[np.argmin(fitness)])


def _coefficients(columns: Floats, values: Floats, scatter: Floats) -> tuple[Floats, Floats]:
    """Expected coefficients (columns, 2), and roots of their covariances (2, columns, columns)."""
    start = values.mean(axis=1)
    waves = columns.shape[1] - 1
    expected, roots = [], []
    for k in range(2):
        # Each harmonic is expected to be half the one below.
        halved = np.repeat(0.5 ** np.arange(waves // 2), 2)
        known = np.concatenate([[MEAN_PRIOR[k]], SWING_PRIOR[k] * halved])
        look = MEMORY_DAYS * scatter[k] ** 2
        precision = np.diag(known**-2.0) + columns.T @ columns / look
        weights = np.linalg.solve(precision, columns.T @ (values[k] - start[k]) / look)
        weights[0] += start[k]
        expected.append(weights)
        roots.append(np.linalg.cholesky(np.linalg.inv(precision)))
    return np.stack(expected, axis=1), np.stack(roots)


def _trend(day: NDArray[np.int64], anomalies: Floats, middle: float) -> Floats:
    """Change a year (2,) from yearly means, held to the prior by how unsure they are."""
    year = (day[-1] - day) // 365
    count = np.bincount(year)
    full = count >= 300
    if full.sum() < 4:
        return np.zeros(2)
    means = np.stack([np.bincount(year, row)[full] / count[full] for row in anomalies])
    when = (np.bincount(year, day)[full] / count[full] - middle) / YEAR
    when = when - when.mean()
    slope = means @ when / (when @ when)
    left = means - means.mean(axis=1, keepdims=True) - slope[:, None] * when
    variance = (left**2).sum(axis=1) / (len(when) - 2) / (when @ when)
    return np.asarray(slope * TREND_PRIOR**2 / (TREND_PRIOR**2 + variance))


def _scatter(columns: Floats, values: Floats) -> Floats:
    """Spread of daily weather about the season (2,), held to the usual in a short record."""
    weights, *_ = np.linalg.lstsq(columns, values.T, rcond=None)
    squares = ((values - (columns @ weights).T) ** 2).mean(axis=1)
    looks = values.shape[1] / MEMORY_DAYS
    return np.asarray(np.sqrt((looks * squares + 5.0 * WEATHER_PRIOR**2) / (looks + 5.0)))
