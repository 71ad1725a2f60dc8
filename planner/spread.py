"""What is known of a quantity, as every box says it: its 10th, 50th and 90th percentile.

Only the standard library is loaded here, so that a kept answer is read at once.
"""

from dataclasses import dataclass

LEVELS = (10.0, 50.0, 90.0)  # percentiles
TENTH = 1.2815515655446004  # standard deviations of a normal from the middle to the 90th percentile


@dataclass(frozen=True)
class Spread:
    """The 10th, 50th and 90th percentile of a quantity; the field names are keys of ``--json``."""

    p10: float
    p50: float
    p90: float

    @classmethod
    def normal(cls, mean: float, deviation: float) -> "Spread":
        """Return the spread of a normal distribution."""
        return cls(mean - TENTH * deviation, mean, mean + TENTH * deviation)
