"""How far the opening model's predictions are off beside plain regressions, split by time.

scikit-learn's cross_validate with TimeSeriesSplit over invented workshops of known kinds: each
model learns from the reeds so far and predicts the openings of those that come next. The rivals
know diameter, gouge and moisture of the same rows, and learn from those that were measured.
"""

import warnings

import numpy as np
from harness import Figure
from opening_workshops import as_table
from prior_workshops import CHOOSES, WANTED, workshop
from sklearn.base import BaseEstimator, RegressorMixin
from sklearn.dummy import DummyRegressor
from sklearn.ensemble import RandomForestRegressor
from sklearn.linear_model import BayesianRidge, LinearRegression
from sklearn.model_selection import TimeSeriesSplit, cross_validate

from planner.opening.estimator import OpeningRegressor

SIZES = (20, 60, 200)
SPLITS = 4
CANE = ["diameter_mm", "gouge_mm", "moisture_pct"]


class OfMeasured(RegressorMixin, BaseEstimator):
    """A plain regression of the openings that were measured on diameter, gouge and moisture."""

    def __init__(self, plain):
        self.plain = plain

    def fit(self, X, y):
        """Fit to the rows with an opening; their mean alone where there are only a few."""
        read = np.isfinite(y)
        enough = read.sum() > len(CANE) + 1
        self.fitted_ = (self.plain if enough else DummyRegressor()).fit(X[CANE][read], y[read])
        return self

    def predict(self, X):
        """Return the openings expected. [mm]"""
        return self.fitted_.predict(X[CANE])


RIVALS = {
    "mean so far": DummyRegressor(),
    "linear regression": LinearRegression(),
    "Bayesian ridge": BayesianRidge(),
    "random forest": RandomForestRegressor(100, random_state=0),
}


def off(model, X, y) -> float:
    """Mean absolute error of the openings that were measured. [mm]"""
    read = np.isfinite(y)
    return float(np.abs(model.predict(X[read]) - y[read]).mean()) if read.any() else np.nan


def run(*, quick: bool = False) -> list[Figure]:
    """Cross-validate over workshops of each size, half of them with verdicts among the rows."""
    workshops = 12 if quick else 30  # four leave the order of the models to chance
    return [figure for size in SIZES for figure in of_size(size, workshops)]


def of_size(size: int, workshops: int) -> list[Figure]:
    """Return the errors of the model beside those of each rival."""
    own: list[float] = []
    rival: dict[str, list[float]] = {name: [] for name in RIVALS}
    for seed in range(workshops):
        kind = ("mm", "both")[seed % 2]
        chance = np.random.default_rng([seed, size, 4])
        table, opening = as_table(workshop(chance, size, kind, CHOOSES[seed // 2 % 3]).history)
        own.append(_error(OpeningRegressor(*WANTED), table, opening))
        for name, plain in RIVALS.items():
            rival[name].append(_error(OfMeasured(plain), table, opening))
    return [
        Figure(
            f"{size} reeds: openings ahead off by, mean",
            [float(np.mean(own))],
            "mm",
            name,
            [float(np.mean(values))],
            "below the rival",
            float(np.mean(own)) < float(np.mean(values)),
        )
        for name, values in rival.items()
    ]


def _error(model, table, opening) -> float:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of rivals with fewer rows than they like
        scores = cross_validate(model, table, opening, cv=TimeSeriesSplit(SPLITS), scoring=off)
    return float(np.nanmean(scores["test_score"]))
