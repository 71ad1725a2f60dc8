"""The wandering's sums, beside dense covariances written out by their definition."""

import numpy as np
import pytest

from planner.room.misfit import (
    QUICK_DAYS,
    SLOW_DAYS,
    Correlation,
    Misfit,
    carried,
    innovations,
)

MISFIT = Misfit(3.0, 2.0)


def dense(left: np.ndarray, right: np.ndarray, misfit: Misfit = MISFIT) -> np.ndarray:
    """Covariance of two Ornstein-Uhlenbeck processes: s² exp(-|t - u| / scale), and their sum."""
    apart = np.abs(left[:, None] - right[None, :])
    return misfit.slow**2 * np.exp(-apart / SLOW_DAYS) + misfit.quick**2 * np.exp(
        -apart / QUICK_DAYS
    )


def sparse_days(n: int = 40) -> tuple[np.ndarray, np.ndarray]:
    """Days with gaps, and the variance of their readings."""
    generator = np.random.default_rng(0)
    return np.cumsum(generator.integers(1, 9, n)), generator.uniform(0.1, 9.0, n)


@pytest.mark.parametrize("misfit", [MISFIT, Misfit(0.0, 1.0), Misfit(5.0, 0.0)])
def test_the_banded_solve_is_the_dense_one(misfit):
    """Solution and determinant for days with gaps."""
    day, variance = sparse_days()
    columns = np.random.default_rng(1).standard_normal((len(day), 3))
    full = dense(day, day, misfit) + np.diag(variance)
    found = Correlation(day, variance, misfit)
    np.testing.assert_allclose(found.solve(columns), np.linalg.solve(full, columns), atol=1e-6)
    assert found.log_determinant == pytest.approx(np.linalg.slogdet(full)[1], abs=1e-4)


def test_innovations_are_the_rows_of_the_cholesky_factor():
    """What is new in each reading given those before: the inverse of the lower factor."""
    day, variance = sparse_days()
    residual = np.random.default_rng(2).standard_normal(len(day))
    lower = np.linalg.cholesky(dense(day, day) + np.diag(variance))
    found = innovations(day, variance, residual, MISFIT)
    np.testing.assert_allclose(found, np.linalg.solve(lower, residual), atol=1e-9)


def test_what_is_carried_is_the_conditional_expectation():
    """Mean over 4000 members, within four standard errors of kriging by the definition."""
    day = np.array([3, 4, 9, 20, 21])
    variance = np.array([1.0, 2.0, 0.5, 1.0, 4.0])
    residual = np.array([6.0, 4.0, -3.0, 5.0, 8.0])
    every = np.arange(40)
    weights = np.linalg.solve(dense(day, day) + np.diag(variance), dense(day, every))
    left = np.diag(dense(every, every)) - (dense(day, every) * weights).sum(axis=0)
    members = np.tile(residual, (4000, 1))
    found = carried(MISFIT, 40, day, variance, members, np.random.default_rng(3))
    error = np.sqrt(left / 4000)
    assert (np.abs(found.mean(axis=0) - residual @ weights) < 4 * error).all()
    np.testing.assert_allclose(found.std(axis=0), np.sqrt(left), rtol=0.06)


@pytest.mark.parametrize(("seen", "least", "most"), [(399, 6.0, 9.0), (0, -0.6, 0.6)])
def test_a_single_reading_moves_its_day_and_not_the_next_year(seen, least, most):
    """Read 9 % high: that day is near it, and a day 399 days later knows nothing of it."""
    generator = np.random.default_rng(4)
    found = carried(MISFIT, 400, np.array([seen]), np.ones(1), np.full((900, 1), 9.0), generator)
    assert least < found[:, -1].mean() < most
