"""How many checks an EWMA chart takes on average until it calls: its run lengths.

Everything is in multiples of the spread of one check.
"""

from functools import lru_cache

import numpy as np

from planner.watch.chart import WEIGHT, Floats

NODES = 48  # of the quadrature; 96 change no run length below 1,000 by more than 0.01
STEPS_AT_MOST = 400


@lru_cache(maxsize=512)
def run_length(shift: float, *, limit: float, weight: float = WEIGHT) -> float:
    """Return the mean number of checks until the EWMA leaves its steady limits.

    *shift* is how far the true mean lies off the aim from the first check on. Solved from the
    integral equation of Crowder, "A simple method for studying run-length distributions of
    exponentially weighted moving average charts", Technometrics 29 (1987), by Gauss-Legendre.
    """
    nodes, weights, start = _grid(limit, weight)
    kernel = _kernel(nodes, nodes, shift, weight) * weights
    lengths = np.linalg.solve(np.eye(len(nodes)) - kernel, np.ones(len(nodes)))
    return float(1.0 + (_kernel(start, nodes, shift, weight) * weights @ lengths)[0])


@lru_cache(maxsize=512)
def drift_run_length(drift: float, *, limit: float, weight: float = WEIGHT) -> float:
    """Return the mean number of checks until a steady drift is called.

    *drift* is how far the true mean moves from each check to the next, from the aim on. The
    density of the EWMA inside its limits is carried from check to check.
    """
    nodes, weights, start = _grid(limit, weight)
    inside = _kernel(start, nodes, drift, weight)[0] * weights
    total = 1.0
    for check in range(2, STEPS_AT_MOST):
        still = float(inside.sum())
        if still < 1e-9:
            break
        total += still
        inside = inside @ _kernel(nodes, nodes, drift * check, weight) * weights
    return total


def _grid(limit: float, weight: float) -> tuple[Floats, Floats, Floats]:
    """Nodes and weights over the span between the limits, and the aim as a start (1,)."""
    half = limit * np.sqrt(weight / (2 - weight))
    nodes, weights = np.polynomial.legendre.leggauss(NODES)
    return half * nodes, half * weights, np.zeros(1)


def _kernel(before: Floats, after: Floats, shift: float, weight: float) -> Floats:
    """Density of the EWMA after a check (before, after), given what it was before."""
    check = (after[None, :] - (1 - weight) * before[:, None]) / weight
    return np.asarray(np.exp(-0.5 * (check - shift) ** 2) / (weight * np.sqrt(2 * np.pi)))
