"""Diameters and gouges that are tried, and the classes that the maker sorts into. All in mm."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from planner.opening.observations import Floats
from planner.plan.limits import Limits

DIAMETERS_TRIED = 41  # 0.05 mm apart over a range of 2 mm; the share bends on a scale of 0.3 mm
GOUGE_STEP = 0.01  # what a dial thickness gauge shows (common practice, no source)
GOUGES_AT_MOST = 13
POINTS_IN_CLASS = 9
NEGLIGIBLE = 1e-9


@dataclass(frozen=True)
class Grid:
    """What is tried for a maker with these limits."""

    limits: Limits

    @cached_property
    def diameters(self) -> Floats:
        """Diameters tried, even steps from the smallest to the largest (d,)."""
        return np.linspace(self.limits.diameter_min, self.limits.diameter_max, DIAMETERS_TRIED)

    @cached_property
    def gouges(self) -> Floats:
        """Gouges tried, the usual one among them, none outside the limits (g,)."""
        limits = self.limits
        down = (limits.usual_gouge - limits.gouge_min) / GOUGE_STEP
        up = (limits.gouge_max - limits.usual_gouge) / GOUGE_STEP
        stride = max(1, int(np.ceil((up + down + 1) / GOUGES_AT_MOST)))
        steps = np.arange(-int(down + 1e-6), int(up + 1e-6) + 1)
        return np.asarray(limits.usual_gouge + GOUGE_STEP * steps[steps % stride == 0])

    @cached_property
    def usual_gouge(self) -> int:
        """Where the usual gouge stands among the gouges."""
        return int(np.abs(self.gouges - self.limits.usual_gouge).argmin())

    @cached_property
    def edges(self) -> Floats:
        """Limits of the classes, the last one cut at the largest diameter (classes + 1,)."""
        limits = self.limits
        count = (limits.diameter_max - limits.diameter_min) / limits.sorted_to
        whole = max(1, int(np.ceil(count - 1e-6)))
        edges = limits.diameter_min + limits.sorted_to * np.arange(whole + 1)
        edges[-1] = limits.diameter_max
        return np.round(edges, 6)

    def class_of(self, diameter: float) -> int:
        """Return the number of the class that holds a diameter; on a limit, the flatter one."""
        found = np.searchsorted(self.edges, diameter + NEGLIGIBLE, side="right") - 1
        return int(np.clip(found, 0, len(self.edges) - 2))

    @cached_property
    def averaging(self) -> Floats:
        """Weights (d, classes) that make the mean over each class of a curve over *diameters*."""
        return self.averaging_over(self.edges[:-1], self.edges[1:])

    def averaging_over(self, low: Floats, high: Floats) -> Floats:
        """Weights (d, n) that make the mean between *low* and *high* (n,) of a curve."""
        inside = (np.arange(POINTS_IN_CLASS) + 0.5) / POINTS_IN_CLASS
        points = low[:, None] + (high - low)[:, None] * inside
        weights = self.weights_at(points.ravel()).reshape(*points.shape, DIAMETERS_TRIED)
        return np.asarray(weights.mean(axis=1).T)

    def weights_at(self, diameters: Floats) -> Floats:
        """Weights (n, d) that read a curve over *diameters* at n other ones, by straight lines."""
        step = self.diameters[1] - self.diameters[0]
        position = np.clip((diameters - self.diameters[0]) / step, 0, DIAMETERS_TRIED - 1)
        off = np.abs(position[:, None] - np.arange(DIAMETERS_TRIED))
        return np.asarray(np.maximum(0.0, 1.0 - off))
