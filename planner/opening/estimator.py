"""The opening model as a scikit-learn estimator: for splits, scores and plain rivals.

The planner's own commands call :func:`planner.opening.model.fit_opening`; this module alone loads
pandas and scikit-learn, and only where models are compared.
"""

from typing import Any, Self

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtr
from sklearn.base import BaseEstimator, RegressorMixin
from sklearn.metrics import r2_score
from sklearn.utils.validation import (
    check_consistent_length,
    check_is_fitted,
    column_or_1d,
    validate_data,
)

from planner.cane.moisture import USUAL_MOISTURE
from planner.opening.draws import Reference
from planner.opening.model import OpeningFit, fit_opening
from planner.opening.observations import Floats
from planner.opening.posterior import NAMES
from planner.opening.priors import PRIORS, Priors
from planner.opening.reed_table import in_order_of_time, named, observations_of
from planner.opening.rows import UNKNOWN_MOISTURE_SD, usable
from planner.opening.shares import mixture_quantiles, opening_moments

# Where no reed says: the middle of oboe tubes and gouges (common practice, no source). [mm]
USUAL_DIAMETER, USUAL_GOUGE = 10.5, 0.59


class OpeningRegressor(RegressorMixin, BaseEstimator):  # type: ignore[misc]
    """Regression of the opening on diameter, gouge and moisture, with all that the model knows.

    *X* is a table of judged reeds with the columns of the record: ``diameter_mm`` or
    ``diameter_low_mm`` and ``diameter_high_mm``; and, where known, ``gouge_mm``, ``date``,
    ``measured``, ``room_rh_pct``, or ``moisture_pct`` of the cane with ``moisture_sd_pct``; for
    fitting also ``lot`` and ``verdict``. Other columns are passed over. An array has the columns
    ``diameter_mm``, ``gouge_mm`` and ``moisture_pct``, or the first ones of them. *y* is the
    opening [mm], NaN where a reed has only a verdict.

    A prediction is of a reed of a lot not yet seen; rows without a date are as of the last
    judged reed. The rows of a table that is split by time must be in the order of time.

    Parameters
    ----------
    low_mm, high_mm : the wanted range; None where it is to be learned
    usual_diameter_mm, usual_gouge_mm : about which the effects are centred; None for the median of
        the reeds
    usual_moisture_pct : as that
    resolution_mm : how finely openings are read; coarser where they show it
    priors : what is believed before the first reed; None for the planner's own
    draws : from the posterior, for predictions
    random_state : seed of the draws

    Attributes
    ----------
    fit_ : the fitted model, with its effects, grade and notes
    """

    def __init__(
        self,
        low_mm: float | None = None,
        high_mm: float | None = None,
        *,
        usual_diameter_mm: float | None = None,
        usual_gouge_mm: float | None = None,
        usual_moisture_pct: float = USUAL_MOISTURE,
        resolution_mm: float = 0.0,
        priors: Priors | None = None,
        draws: int = 400,
        random_state: int = 0,
    ) -> None:
        self.low_mm = low_mm
        self.high_mm = high_mm
        self.usual_diameter_mm = usual_diameter_mm
        self.usual_gouge_mm = usual_gouge_mm
        self.usual_moisture_pct = usual_moisture_pct
        self.resolution_mm = resolution_mm
        self.priors = priors
        self.draws = draws
        self.random_state = random_state

    def fit(self, X: Any, y: ArrayLike) -> Self:
        """Fit the model to judged reeds.

        Raises
        ------
        ValueError
            If a diameter is missing, some reeds have a date and others none, the lengths differ,
            a figure is infinite, or no reed says anything.
        """
        if y is None:
            raise ValueError(
                "the opening model requires y to be passed, but the target y is None: the openings "
                "in mm, NaN for a verdict alone"
            )
        table = self._table(X, reset=True)
        opening = column_or_1d(y, dtype=np.float64, warn=True)
        check_consistent_length(table, opening)
        if np.isinf(opening).any():
            raise ValueError("y holds an infinite opening")
        seen = in_order_of_time(observations_of(table, opening))
        if len(seen) and not len(usable(seen)):
            raise ValueError(
                "no reed has both a diameter and an opening of 0 mm or more, or a verdict"
            )
        self.dated_ = "date" in table
        read = np.isfinite(seen.opening)
        self.all_dry_ = bool(seen.dry.any() and seen.dry[read].all())
        middle = (seen.diameter_low + seen.diameter_high) / 2
        self.fit_: OpeningFit = fit_opening(
            seen,
            reference=Reference(
                _usual(self.usual_diameter_mm, middle, USUAL_DIAMETER),
                _usual(self.usual_gouge_mm, seen.gouge, USUAL_GOUGE),
                self.usual_moisture_pct,
            ),
            wanted=(self.low_mm, self.high_mm),
            resolution=self.resolution_mm,
            priors=self.priors or PRIORS,
        )
        return self

    def predict(self, X: Any, *, return_std: bool = False) -> Floats | tuple[Floats, Floats]:
        """Return the expected opening (n,) and, if asked for, a single reed's spread (n,). [mm]"""
        mean, sd = self._moments(X)
        expected = np.asarray(mean.mean(axis=0), dtype=float)
        if not return_std:
            return expected
        return expected, np.asarray(np.sqrt(np.mean(sd**2, axis=0) + mean.var(axis=0)))

    def predict_quantiles(self, X: Any, levels: ArrayLike) -> Floats:
        """Return quantiles (levels, n) of a coming reed's opening [mm]; *levels* within 0 to 1."""
        return mixture_quantiles(*self._moments(X), np.atleast_1d(np.asarray(levels, dtype=float)))

    def predict_share(self, X: Any) -> Floats:
        """Return the chance (n,) that a reed comes out in the wanted range."""
        mean, sd = self._moments(X)
        draws = self.fit_.draws(self.draws, self.random_state)
        low, high = draws.low[:, None], draws.high[:, None]
        return np.asarray((ndtr((high - mean) / sd) - ndtr((low - mean) / sd)).mean(axis=0))

    def score(self, X: Any, y: ArrayLike, sample_weight: ArrayLike | None = None) -> float:
        """Return R² of the measured openings: 1 is perfect, 0 no better than their mean.

        Reeds with a verdict alone have no opening to hold a prediction against and are left out;
        NaN where fewer than two openings are left, as R² is not defined there.
        """
        seen = np.asarray(y, dtype=float)
        read = np.isfinite(seen)
        if read.sum() < 2:
            return float("nan")
        weight = None if sample_weight is None else np.asarray(sample_weight)[read]
        return float(r2_score(seen[read], np.asarray(self.predict(X))[read], sample_weight=weight))

    def __sklearn_tags__(self) -> Any:
        """Tell that what isn't cane can't be predicted well."""
        tags = super().__sklearn_tags__()
        tags.regressor_tags.poor_score = True
        return tags

    def _table(self, X: Any, *, reset: bool = False) -> pd.DataFrame:
        """Return the reeds as a table with the columns of the record."""
        if isinstance(X, pd.DataFrame) and all(isinstance(name, str) for name in X.columns):
            if reset:
                validate_data(self, X, skip_check_array=True, reset=True)
            return X
        return named(validate_data(self, X, reset=reset, dtype=np.float64))

    def _moments(self, X: Any) -> tuple[Floats, Floats]:
        """Return mean and spread (draws, n) of each reed in each draw of what isn't known."""
        check_is_fitted(self, "fit_")
        reeds = observations_of(self._table(X))
        draws, priors = self.fit_.draws(self.draws, self.random_state), self.priors or PRIORS
        at = draws.reference
        no_gouge, no_moisture = np.isnan(reeds.gouge), np.isnan(reeds.moisture)
        gouge_sd = np.where(no_gouge, priors.gouge_sd, 0.0)
        moisture_sd = np.where(no_moisture, UNKNOWN_MOISTURE_SD, reeds.moisture_sd)
        moisture = np.where(no_moisture, at.moisture, reeds.moisture)
        mean, sd = opening_moments(
            draws,
            (reeds.diameter_low + reeds.diameter_high) / 2,
            np.where(no_gouge, at.gouge, reeds.gouge),
            np.broadcast_to(moisture, (len(draws), len(reeds))),
            self._days_ahead(reeds.day),
        )
        variance = (
            sd**2
            + draws.diameter[:, None] ** 2 * (reeds.diameter_high - reeds.diameter_low) ** 2 / 12.0
            + (draws.gouge[:, None] * gouge_sd) ** 2
            + (draws.moisture[:, None] * moisture_sd) ** 2
        )
        if reeds.dry.any() and not self.all_dry_:
            offset, doubt = (m[NAMES.index("dry")] for m in self.fit_.posterior.moments())
            mean, variance = mean + reeds.dry * offset, variance + reeds.dry * doubt**2
        return mean, np.sqrt(variance)

    def _days_ahead(self, day: NDArray[np.datetime64]) -> Floats:
        last = self.fit_.posterior.last_day
        if last is None or not self.dated_:
            return np.zeros(len(day))
        days = (day - np.datetime64(last, "D")).astype(float)
        return np.where(np.isnat(day), 0.0, np.maximum(days, 0.0))


def _usual(given: float | None, values: Floats, otherwise: float) -> float:
    known = values[np.isfinite(values)]
    if given is not None or not len(known):
        return otherwise if given is None else given
    return float(np.median(known))
