"""What the model learns from: the maker's judged reeds, with the moisture of their cane."""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

CLOSED, GOOD, OPEN, UNJUDGED = -1, 0, 1, 2
VERDICTS = {"closed": CLOSED, "good": GOOD, "open": OPEN}  # as on record


@dataclass(frozen=True)
class Observations:
    """Judged reeds in the order of their days; every array is (n,).

    Attributes
    ----------
    day : datetime64[D], the day the opening was judged, ascending
    diameter_low, diameter_high : limits of the class, equal where the tube was measured. [mm]
    gouge : centre thickness, NaN where it wasn't noted. [mm]
    moisture, moisture_sd : mean and spread of the cane's moisture content when judged. [%]
    opening : at the tip, NaN where only a verdict was given. [mm]
    verdict : CLOSED, GOOD, OPEN or UNJUDGED
    lot : number of the lot in ``lots``, -1 where none was noted
    dry : True where the opening was measured on the dry reed, not the soaked one
    lots : names of the lots
    """

    day: NDArray[np.datetime64]
    diameter_low: Floats
    diameter_high: Floats
    gouge: Floats
    moisture: Floats
    moisture_sd: Floats
    opening: Floats
    verdict: NDArray[np.int8]
    lot: NDArray[np.int64]
    dry: NDArray[np.bool_]
    lots: tuple[str, ...] = ()

    def __len__(self) -> int:
        return len(self.day)

    def at(self, which: NDArray[Any]) -> "Observations":
        """Return the reeds that an index or a mask picks out, in its order."""
        arrays: dict[str, Any] = {
            name: values[which]
            for name, values in vars(self).items()
            if isinstance(values, np.ndarray)
        }
        return replace(self, **arrays)

    @staticmethod
    def none() -> "Observations":
        """Return an empty history."""
        nothing = np.empty(0)
        return Observations(
            np.empty(0, "datetime64[D]"),
            nothing,
            nothing,
            nothing,
            nothing,
            nothing,
            nothing,
            np.empty(0, np.int8),
            np.empty(0, np.int64),
            np.empty(0, np.bool_),
        )
