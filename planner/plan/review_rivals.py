"""The plan's diameters against simple choices, over the same reeds, with hindsight.

What a reed would have become with another diameter and gouge is reckoned by the opening model
fitted over the whole history: in each joint draw of its effects, its level and its lots.
"""

from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from planner.opening.observations import Floats
from planner.plan.limits import Limits
from planner.plan.review_documents import Rival
from planner.plan.review_season import Judged
from planner.spread import LEVELS, Spread

WINTER_MONTHS, SUMMER_MONTHS = (11, 12, 1, 2, 3), (5, 6, 7, 8, 9)


@dataclass(frozen=True)
class Hindsight:
    """What the whole history says of each reed (n,) in each of the draws.

    Attributes
    ----------
    base : (draws, n) opening of a reed of that day, place and lot at the reference. [mm]
    diameter, gouge, moisture : (draws,) effects. [mm per mm, mm per % moisture content]
    spread : (draws,) reed to reed within a lot. [mm]
    low, high : (draws,) the wanted range. [mm]
    cane : (n,) moisture of the cane when judged, with the weather that came. [%]
    lot, level : (n,) means of the parts of ``base``: the lot's offset and the level. [mm]
    reference : diameter, gouge and moisture about which the effects are centred.
    """

    base: Floats
    diameter: Floats
    gouge: Floats
    moisture: Floats
    spread: Floats
    low: Floats
    high: Floats
    cane: Floats
    lot: Floats
    level: Floats
    reference: tuple[float, float, float]

    def opening(self, diameter: Floats, gouge: Floats) -> Floats:
        """Return the expected opening (draws, n) [mm] with diameters and gouges (n,)."""
        at = self.reference
        return np.asarray(
            self.base
            + self.diameter[:, None] * (diameter - at[0])
            + self.gouge[:, None] * (gouge - at[1])
            + self.moisture[:, None] * (self.cane - at[2])
        )

    def share(self, diameter: Floats, gouge: Floats, count: NDArray[np.bool_]) -> Floats:
        """Return the share (draws,) of the reeds that *count* (n,) to come within the range."""
        mean = self.opening(diameter, gouge)[:, count]
        spread = self.spread[:, None]
        inside = ndtr((self.high[:, None] - mean) / spread) - ndtr(
            (self.low[:, None] - mean) / spread
        )
        return np.asarray(inside.mean(axis=1), dtype=float)


@dataclass(frozen=True)
class Choice:
    """What one way of choosing would have taken for each reed (n,) [mm]; NaN where it can't say."""

    name: str
    diameter: Floats
    gouge: Floats


def simple_choices(
    reeds: Judged, limits: Limits, *, usual_diameter: float, southern: bool
) -> list[Choice]:
    """Return what the maker took, one diameter all along, and the calendar rule."""
    usual = np.full(len(reeds), usual_diameter)
    gouge = np.full(len(reeds), limits.usual_gouge)
    return [
        Choice("made", reeds.diameter, reeds.gouge),
        Choice("usual", usual, gouge),
        Choice("calendar", _by_calendar(reeds, limits, usual, southern=southern), gouge),
    ]


def _by_calendar(reeds: Judged, limits: Limits, usual: Floats, *, southern: bool) -> Floats:
    """A class rounder in the winter months, a class flatter in the summer months (n,). [mm]"""
    months = reeds.day.astype("datetime64[M]").astype(int) % 12 + 1
    winter, summer = np.isin(months, WINTER_MONTHS), np.isin(months, SUMMER_MONTHS)
    if southern:
        winter, summer = summer, winter
    change = limits.sorted_to * (summer.astype(float) - winter)
    return np.clip(usual + change, limits.diameter_min, limits.diameter_max)


def compare(hindsight: Hindsight, plan: Choice, other: Choice) -> Rival | None:
    """Return the plan against another choice over the reeds for which both can say."""
    both = np.isfinite(plan.diameter) & np.isfinite(other.diameter)
    if not both.any():
        return None
    planned = hindsight.share(plan.diameter, plan.gouge, both)
    rival = hindsight.share(other.diameter, other.gouge, both)
    worth = planned - rival
    low, middle, high = np.percentile(worth, LEVELS).tolist()
    count = int(both.sum())
    better = float(np.mean(worth > 0) + 0.5 * np.mean(worth == 0))
    return Rival(
        name=other.name,
        reeds=count,
        share=float(rival.mean()),
        plan_share=float(planned.mean()),
        worth=Spread(low, middle, high),
        reeds_more=Spread(count * low, count * middle, count * high),
        probability=better,
        diameter_low_mm=float(other.diameter[both].min()),
        diameter_high_mm=float(other.diameter[both].max()),
    )


def year_before(week: date) -> date:
    """Return the Monday of the same week a year before: 52 weeks."""
    return date.fromordinal(week.toordinal() - 364)
