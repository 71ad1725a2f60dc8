"""The maker's diameter classes as lanes, rounder cane below and flatter above."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from planner.plan.documents import WeekAdvice, WorkshopLine
from planner.report import svg
from planner.report.words import number

AT_MOST = 12
HIGHEST = 36.0


@dataclass(frozen=True)
class Lanes:
    """Lanes between class limits: ``limits`` ascending in mm, the highest limit at ``top``."""

    limits: tuple[float, ...]
    top: float
    extent: float

    @property
    def bottom(self) -> float:
        """Where the lowest lane ends."""
        return self.top + self.extent

    def y(self, diameter: float) -> float:
        """Return where a diameter [mm] lies, held within the lanes."""
        low, high = self.limits[0], self.limits[-1]
        share = min(max((diameter - low) / (high - low), 0.0), 1.0)
        return self.bottom - share * (self.bottom - self.top)

    def drawn(self, left: float, right: float) -> list[Markup]:
        """Return the hairlines between the lanes, and the limits written at their left."""
        return [
            svg.group(
                svg.line((left, self.y(limit)), (right, self.y(limit)), "hair"),
                svg.text((left - 8, self.y(limit) + 4), number(limit), "t soft", "end"),
            )
            for limit in self.limits
        ]


def lanes_for(
    workshop: WorkshopLine, weeks: Sequence[WeekAdvice], top: float, extent: float
) -> Lanes:
    """Return the lanes that the ranges and the usual diameter touch and one more to each side.

    They fill ``extent``, unless they are so few that they would be needlessly high.
    """
    diameters = [workshop.usual_diameter_mm]
    for week in weeks:
        diameters += [week.diameter_mm.low, week.diameter_mm.high]
    limits = class_limits(
        diameters, workshop.diameter_min_mm, workshop.diameter_max_mm, workshop.sorted_to_mm
    )
    return Lanes(limits, top, min(extent, HIGHEST * (len(limits) - 1)))


def class_limits(
    diameters: Iterable[float], lowest: float, highest: float, width: float
) -> tuple[float, ...]:
    """Return the limits of the classes about the diameters, one class to spare at each side. [mm]

    Classes start at ``lowest``. Where the maker sorts very finely, several classes make a lane.
    """
    values = list(diameters)
    first = max(math.floor((min(values) - lowest) / width + 1e-6) - 1, 0)
    last = math.ceil((min(max(values), highest) - lowest) / width - 1e-6) + 1
    last = max(min(last, math.ceil((highest - lowest) / width - 1e-6)), first + 1)
    together = math.ceil((last - first) / AT_MOST)
    count = math.ceil((last - first) / together)
    return tuple(round(lowest + width * (first + together * step), 4) for step in range(count + 1))
