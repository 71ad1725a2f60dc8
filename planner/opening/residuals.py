"""What each reed was expected to be, and how far it came out beside it."""

from dataclasses import dataclass

import numpy as np

from planner.opening.gaussian import P
from planner.opening.observations import Floats, Observations
from planner.opening.propagation import Setting, State, limits_of
from planner.opening.rows import Integers
from planner.opening.sites import between


@dataclass(frozen=True)
class Residuals:
    """One entry for each reed of the history, in its order. [mm]

    Attributes
    ----------
    expected : from diameter, gouge, moisture, lot and level as known after the whole history;
        NaN for a reed that couldn't be used
    spread : standard deviation of a reed about it
    residual : the opening read less the expected one; for a verdict alone, the mean of what the
        verdict leaves possible
    level : of the reference cane at that time
    lot : offset of its lot, 0 where none was noted
    """

    expected: Floats
    spread: Floats
    residual: Floats
    level: Floats
    lot: Floats


def residuals_of(observations: Observations, setting: Setting, state: State) -> Residuals:
    """Return the residuals of *observations*, of which those known were fitted, at the best fit."""
    rows, solution = setting.rows, state.solution
    mean = state.offset + solution.row_mean
    sd = np.sqrt(state.noise_variance)
    told = rows.judged_only
    residual = rows.opening - mean
    low, high = limits_of(rows.verdict[told], state.hypers.low, state.hypers.high)
    # The mean of a normal distribution cut to limits is its variance times the slope (Tweedie).
    cut = between(low, high, mean[told], sd[told] ** 2, setting.priors.mistake)
    residual[told] = sd[told] ** 2 * cut.slope
    level = setting.level.mean + solution.mean[P + rows.block]
    lot = np.zeros(len(rows))
    inside = rows.lot >= 0
    lot[inside] = state.hypers.lot * solution.lot_mean[rows.lot[inside]]
    place = rows.kept  # days ascend: the known reeds are the first
    return Residuals(
        *(
            _spread_out(values, place, len(observations))
            for values in (mean, sd, residual, level, lot)
        )
    )


def _spread_out(values: Floats, kept: Integers, size: int) -> Floats:
    out = np.full(size, np.nan)
    out[kept] = values
    return out
