"""What the watch over openings looks at: the surprise that each judged reed was."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from planner.watch.chart import Floats


@dataclass(frozen=True)
class LotNow:
    """A lot's offset against the others as now known, give or take its deviation. [mm]"""

    lot: int
    offset: float
    deviation: float


@dataclass(frozen=True)
class Judged:
    """Judged reeds in the order they were judged; every array is (n,).

    Attributes
    ----------
    day : datetime64[D]
    residual : how far the opening came out beyond what was expected of that reed *before* it was
        judged, in units of ``scale``: diameter, gouge, moisture, the level and the lot as known
        then are accounted for. About standard normal as long as nothing has changed; above nought
        is too open.
    scale : the spread of such a surprise. [mm]
    opening : with diameter, gouge and moisture accounted for; of a verdict, what is likely. [mm]
    level_before : the level as known before the reed was judged. [mm]
    lot, place : numbers into ``lots`` and ``places``, -1 where none was noted
    gouge_noted : True where the reed's own gouge was noted
    moisture_sd : how well the moisture of the cane was known. [%]
    reed_sd, lot_sd : spread of reeds within a lot, and of lots. [mm]
    level : what the opening model believes now. [mm]
    lots_now : the offsets of the lots lately seen
    """

    day: NDArray[np.datetime64]
    residual: Floats
    scale: Floats
    opening: Floats
    level_before: Floats
    lot: NDArray[np.int64]
    place: NDArray[np.int64]
    gouge_noted: NDArray[np.bool_]
    moisture_sd: Floats
    reed_sd: float
    lot_sd: float
    level: float
    lots: tuple[str, ...] = ()
    places: tuple[str, ...] = ()
    lots_now: tuple[LotNow, ...] = ()

    def __len__(self) -> int:
        return len(self.day)
