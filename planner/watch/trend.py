"""Where a slowly drifting setting stands now and how fast it moves, from scattered checks."""

from dataclasses import dataclass

import numpy as np

from planner.watch.chart import Floats

# Before the first check after a restart: how far the setting may be off its aim [mm] and how
# fast it may drift [mm per week]; how much both wander in a week. Guesses: a gouger is set to
# within about 0.02 mm, and a blade that loses 0.01 mm a week is a bad one.
SET_SD = 0.02
DRIFT_SD = 0.005
LEVEL_WANDER = 0.001
DRIFT_WANDER = 0.0007


@dataclass(frozen=True)
class Trend:
    """Level [mm] and drift [mm per week] as of a moment: means (2,) and covariance (2, 2)."""

    mean: Floats
    covariance: Floats

    def after(self, weeks: float) -> "Trend":
        """Return what is known *weeks* later without another check."""
        move = np.array([[1.0, weeks], [0.0, 1.0]])
        wander = DRIFT_WANDER**2 * np.array([[weeks**3 / 3, weeks**2 / 2], [weeks**2 / 2, weeks]])
        wander[0, 0] += LEVEL_WANDER**2 * weeks
        return Trend(move @ self.mean, move @ self.covariance @ move.T + wander)

    def checked(self, value: float, spread: float) -> "Trend":
        """Return what is known after a check of *value*, itself good to *spread*. [mm]"""
        gain = self.covariance[:, 0] / (self.covariance[0, 0] + spread**2)
        return Trend(
            self.mean + gain * (value - self.mean[0]),
            self.covariance - np.outer(gain, self.covariance[0]),
        )


def trend(weeks: Floats, values: Floats, *, aim: float, spread: float) -> Trend:
    """Return the trend as of the last of the checks *values* (n,) [mm] at times *weeks* (n,).

    A local linear trend, filtered: Harvey, *Forecasting, Structural Time Series Models and the
    Kalman Filter* (1989), ch. 2 and 3.
    """
    state = Trend(np.array([aim, 0.0]), np.diag([SET_SD**2, DRIFT_SD**2]))
    before = weeks[0] if len(weeks) else 0.0
    for time, value in zip(weeks, values, strict=True):
        state = state.after(float(time - before)).checked(float(value), spread)
        before = time
    return state
