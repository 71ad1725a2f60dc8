"""The evidence of a misfit, beside the dense normal distribution that it stands for."""

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from planner.room.fitting import _log_evidence
from planner.room.misfit import QUICK_DAYS, SLOW_DAYS, Correlation, Misfit


@pytest.mark.parametrize("other", [Misfit(1.0, 4.0), Misfit(6.0, 0.5)])
def test_the_evidence_is_that_of_the_readings_with_the_parameters_integrated_out(other):
    """Readings of a linear model are normal about it: scipy's density, up to one constant.

    Covariance: both Ornstein-Uhlenbeck processes, the readings' noise, and the prior's covariance
    through the derivatives.
    """
    generator = np.random.default_rng(6)
    day = np.cumsum(generator.integers(1, 6, 30))
    noise = generator.uniform(0.2, 4.0, 30)
    residual, slopes = generator.normal(0, 4, 30), generator.normal(0, 1, (30, 3))
    before = np.diag([2.0, 1.0, 0.5]) ** 2
    apart = np.abs(day[:, None] - day[None, :])

    def density(misfit: Misfit) -> float:
        wandering = misfit.slow**2 * np.exp(-apart / SLOW_DAYS)
        wandering = wandering + misfit.quick**2 * np.exp(-apart / QUICK_DAYS)
        covariance = wandering + np.diag(noise) + slopes @ before @ slopes.T
        return float(multivariate_normal(np.zeros(30), covariance).logpdf(residual))

    def evidence(misfit: Misfit) -> float:
        columns = np.column_stack([residual, slopes])
        return _log_evidence(np.linalg.inv(before), columns, Correlation(day, noise, misfit))

    usual = Misfit(3.0, 2.0)
    gain = evidence(other) - evidence(usual)
    assert gain == pytest.approx(density(other) - density(usual), abs=1e-4)
