"""What was expected of the reeds as they were made, from what was known when they were begun."""

from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from planner.opening.draws import EffectDraws
from planner.opening.observations import Floats
from planner.opening.shares import opening_moments, share_samples
from planner.plan.documents import WeekAdvice
from planner.plan.review_season import Flags, Judged
from planner.plan.scores import crps_members, pit_members
from planner.spread import LEVELS


@dataclass(frozen=True)
class PlannedWeek:
    """One week at one place, planned again with what was known on ``planned_on``.

    ``draws`` are paired with the members of ``moisture`` (members, 7), of cane judged on each day
    of the week, and ``room_rh`` (members,) [%], both of the room in which the reeds were judged;
    ``days_ahead`` is from the last judged reed then known.
    """

    week_start: date
    place: str
    planned_on: date
    advice: WeekAdvice
    draws: EffectDraws
    moisture: Floats
    room_rh: Floats
    days_ahead: float


@dataclass(frozen=True)
class Forecast:
    """What was expected of each reed; arrays are (n,), NaN where nothing was planned.

    ``share`` is the chance that it comes within the range; ``low``, ``middle`` and ``high`` are
    percentiles of its opening, ``crps`` and ``pit`` score that against what came, ``level``,
    ``moisture`` and the effects are the means then believed, and ``advised`` the plan's choice.
    """

    planned: NDArray[np.bool_]
    share: Floats
    low: Floats
    middle: Floats
    high: Floats
    crps: Floats
    pit: Floats
    level: Floats
    moisture: Floats
    advised_diameter: Floats
    advised_gouge: Floats
    within_low: Floats
    within_high: Floats


NAMES = tuple(name for name in Forecast.__dataclass_fields__ if name != "planned")
# Middles of eight equal parts of the normal distribution: single reeds about each member's mean.
NORMAL_PARTS = ndtri((np.arange(8) + 0.5) / 8)


def forecast(reeds: Judged, weeks: dict[tuple[date, str], PlannedWeek], late: Flags) -> Forecast:
    """Return what was expected of each of the *reeds* by the planned *weeks*.

    Those that were judged *late* (n,) had been made with other advice and count as not planned.
    """
    values = {name: np.full(len(reeds), np.nan) for name in NAMES}
    for (monday, place), planned in weeks.items():
        here = np.flatnonzero(
            (reeds.week == np.datetime64(monday, "D")) & (reeds.place == place) & ~late
        )
        if len(here):
            for name, found in _of_week(reeds.where(here), planned).items():
                values[name][here] = found
    return Forecast(planned=~np.isnan(values["share"]), **values)


def _of_week(reeds: Judged, planned: PlannedWeek) -> dict[str, Floats | float]:
    draws, advice = planned.draws, planned.advice
    moisture = planned.moisture[:, (reeds.day - reeds.week).astype(int)]
    ahead = np.full(len(reeds), planned.days_ahead)
    mean, sd = opening_moments(draws, reeds.diameter, reeds.gouge, moisture, ahead)
    single = (mean + sd * NORMAL_PARTS[:, None, None]).reshape(-1, len(reeds))
    low, middle, high = np.percentile(single, LEVELS, axis=0)
    seen = np.isfinite(reeds.opening)
    opening = np.where(seen, reeds.opening, 0.0)
    share = share_samples(draws, reeds.diameter, reeds.gouge, moisture, ahead)
    return {
        "share": share.mean(axis=0),
        "low": low,
        "middle": middle,
        "high": high,
        "crps": np.where(seen, crps_members(opening, single), np.nan),
        "pit": np.where(seen, pit_members(opening, single), np.nan),
        "level": float(draws.level.mean()),
        "moisture": moisture.mean(axis=0),
        "advised_diameter": advice.diameter_mm.best,
        "advised_gouge": advice.gouge_mm.target,
        "within_low": advice.diameter_mm.low,
        "within_high": advice.diameter_mm.high,
    }
