"""How far a forecast, or the last day's weather, still tells of a day ahead."""

from dataclasses import dataclass

import numpy as np

from planner.air.humidity import Floats

PERSISTENCE_DAYS = 4.0  # an anomaly of the last days is gone after about a week


@dataclass(frozen=True)
class ForecastSkill:
    """Correlation of forecast and observed departures from the season, falling with lead.

    ``1 / (1 + exp((lead - half) / width))``. Without forecasts kept, that of a good global model
    for daily means: 0.95 on the second day, 0.75 after a week, 0.4 after ten days (a guess from
    published skill of upper-air fields, on the careful side for air near the ground).
    """

    half: float = 9.0
    width: float = 2.3

    def at(self, lead: Floats) -> Floats:
        """Return the correlation at *lead* days after the issue."""
        return np.asarray(1.0 / (1.0 + np.exp((lead - self.half) / self.width)))
