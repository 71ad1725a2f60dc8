"""Control charts of one quantity: the EWMA about an aim, and the two-sided CUSUM.

Values are in any one unit, in the order they were taken. Nothing here knows of reeds.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

WEIGHT = 0.2  # λ, the weight of the newest check
# Limits as multiples of the EWMA's own spread. Lucas & Saccucci, "Exponentially weighted moving
# average control schemes", Technometrics 32 (1990), give the theory; the multiples are those
# of three decimals that come nearest to the run lengths, by planner.watch.run_length.
LIMIT = 2.360  # a false alarm in 100 checks on average, two-sided, λ 0.2
CAREFUL_LIMIT = 2.859  # one in 370


def ewma(values: ArrayLike, *, start: float, weight: float = WEIGHT) -> Floats:
    """Return the exponentially weighted moving average after each value (n,).

    z_t = λ x_t + (1 - λ) z_{t-1}, z_0 = *start*: NIST/SEMATECH e-Handbook of Statistical
    Methods, 6.3.2.4.

    Raises
    ------
    ValueError
        If the weight isn't above 0 and at most 1.
    """
    if not 0 < weight <= 1:
        raise ValueError(f"weight of {weight:g}: it must be above 0 and at most 1")
    average, averages = start, []
    for value in np.asarray(values, dtype=float):
        average = weight * value + (1 - weight) * average
        averages.append(average)
    return np.array(averages, dtype=float)


def ewma_half_width(spread: float, *, weight: float = WEIGHT, limit: float = LIMIT) -> float:
    """Return how far the EWMA may stray from the aim: L s √(λ / (2 - λ)), the steady limit.

    The steady limit is used from the first check on, as in NIST/SEMATECH 6.3.2.4 and as in the
    published run lengths.
    """
    return float(limit * spread * np.sqrt(weight / (2 - weight)))


@dataclass
class Cusum:
    """The tabular cumulative sums below and above the aim, and for how many values each has held.

    S⁺_t = max(0, S⁺_{t-1} + x_t - aim - k) and likewise below: NIST/SEMATECH e-Handbook,
    6.3.2.3; the counts as in Montgomery, *Introduction to Statistical Quality Control*, ch. 9.
    ``slack`` is k; ``sums`` and ``counts`` hold the side below first, then the one above.
    """

    slack: float
    sums: tuple[float, float] = (0.0, 0.0)
    counts: tuple[int, int] = (0, 0)

    def add(self, deviation: float) -> None:
        """Take in how far the next value lies from the aim."""
        below = max(0.0, self.sums[0] - deviation - self.slack)
        above = max(0.0, self.sums[1] + deviation - self.slack)
        self.sums = below, above
        self.counts = (self.counts[0] + 1 if below else 0, self.counts[1] + 1 if above else 0)
