"""Two hygrometers read side by side: how far they are apart."""

from dataclasses import dataclass

import numpy as np

from planner.room.readings import Readings

SIDE_BY_SIDE = 10.0  # minutes
# Good hygrometers agree within 2-3 % (common practice, no source); a pair alone proves little.
APART, APART_ONCE = 2.0, 4.0  # % RH
FEW_PAIRS = 3


@dataclass(frozen=True)
class Disagreement:
    """How far readings taken side by side lie apart: their number, and the median. [% RH]"""

    pairs: int
    apart_pct: float

    @property
    def deviation(self) -> float:
        """Standard deviation of either's error, if either may be the wrong one. [% RH]"""
        return self.apart_pct / 2.0


def disagreement(readings: Readings) -> Disagreement | None:
    """Return how far two hygrometers are apart; None where they agree or only one was read.

    A second reading is one taken within ten minutes of another, and much sooner than the readings
    usually follow each other: a logger's rows are no pairs.
    """
    known = np.isfinite(readings.relative_humidity) & ~np.isnat(readings.time)
    order = np.argsort(readings.time[known], kind="stable")
    minute = readings.time[known][order].astype("datetime64[s]").astype(float) / 60.0
    if len(minute) < 2:
        return None
    steps = np.diff(minute)
    usual = float(np.median(steps[steps > 0])) if (steps > 0).any() else np.inf
    beside = steps <= min(SIDE_BY_SIDE, usual / 2.0)
    differences = np.abs(np.diff(readings.relative_humidity[known][order]))[beside]
    if not len(differences):
        return None
    apart = float(np.median(differences))
    limit = APART if len(differences) >= FEW_PAIRS else APART_ONCE
    return Disagreement(len(differences), apart) if apart >= limit else None
