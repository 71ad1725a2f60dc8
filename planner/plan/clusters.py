"""Reeds of one week or one lot hang together: what that leaves of their number.

They share the room that nobody foresaw, or a lot's offset, so that twenty reeds of one lot tell
less of the plan than twenty of twenty lots. The error of their mean is reckoned over whole weeks
and over whole lots (Cameron, Gelbach & Miller, "Robust inference with multiway clustering",
Journal of Business & Economic Statistics 29, 2011; the correction for few clusters as there,
section 2.3), and the widest counts.
"""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray
from scipy.special import stdtr

from planner.opening.observations import Floats

Clusters = NDArray[np.int64]  # (n,): number of the week or lot


def clusters_of(names: NDArray[np.str_] | NDArray[np.datetime64]) -> Clusters:
    """Return a number (n,) for each name; a reed without a name ("") is one by itself."""
    number = np.unique(names, return_inverse=True)[1].ravel().astype(np.int64)
    if names.dtype.kind == "U":
        nameless = np.flatnonzero(names == "")
        number[nameless] = len(names) + np.arange(len(nameless))
    return number


def cluster_error(values: Floats, clusters: Clusters) -> tuple[float, int]:
    """Return the standard error of the mean of *values* (n,), and the number of clusters.

    There must be two of them.
    """
    number = np.unique(clusters, return_inverse=True)[1].ravel()
    sums = np.bincount(number, values - values.mean())
    count = len(sums)
    return float(np.sqrt(count / (count - 1) * (sums**2).sum()) / len(values)), count


def chance_of_nought(values: Floats, *groupings: Clusters) -> float:
    """Return how often values (n,) of mean nought would have a mean as far from it: 0 to 1.

    By Student's t with as many degrees of freedom as clusters less one; of the reeds taken by
    themselves and in each of the groupings the largest.
    """
    mean = abs(float(values.mean())) if len(values) else 0.0
    chances = [
        2 * float(stdtr(count - 1, -mean / error)) if error > 0 else float(mean == 0)
        for error, count in _errors(values, groupings)
    ]
    return max(chances, default=1.0)


def effective_number(values: Floats, *groupings: Clusters) -> float:
    """Return how many values taken by themselves would tell as much of their mean as these (n,).

    At least the fewest clusters of any grouping, at most n.
    """
    alone = float(np.var(values)) / max(len(values) - 1, 1) if len(values) else 0.0
    numbers = [
        float(np.clip(len(values) * alone / error**2, count, len(values)))
        for error, count in _errors(values, groupings)
        if error > 0
    ]
    return min(numbers, default=float(len(values)))


def _errors(values: Floats, groupings: tuple[Clusters, ...]) -> Iterator[tuple[float, int]]:
    """Error and number of clusters, of each value by itself and of each grouping that can tell."""
    for clusters in (np.arange(len(values)), *groupings):
        if len(np.unique(clusters)) > 1:
            yield cluster_error(values, clusters)
