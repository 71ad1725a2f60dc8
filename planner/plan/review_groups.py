"""Share in range, predicted and seen: by week, place, lot and class of diameter."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date

import numpy as np
from numpy.typing import NDArray
from scipy.special import betaincinv

from planner.opening.observations import Floats
from planner.plan.clusters import clusters_of, effective_number
from planner.plan.grid import Grid
from planner.plan.limits import Limits
from planner.plan.review_documents import Following, Group, ReviewWeek
from planner.plan.review_forecast import Forecast, PlannedWeek
from planner.plan.review_season import Judged
from planner.spread import LEVELS, Spread

TENTH = 0.1
HAIR = 1e-9


def by_name(reeds: Judged, expected: Forecast, names: NDArray[np.str_]) -> tuple[Group, ...]:
    """Return one group for each of the *names* (n,), the largest first; "" is left out."""
    groups = [
        _group(str(name), reeds.where(names == name), _part(expected, names == name))
        for name in np.unique(names)
        if name
    ]
    return tuple(sorted(groups, key=lambda group: (-group.reeds, group.name)))


def by_diameter(reeds: Judged, expected: Forecast, limits: Limits) -> tuple[Group, ...]:
    """Return one group for each class of diameter in which reeds were made, roundest first."""
    grid = Grid(limits)
    number = np.array([grid.class_of(float(d)) for d in reeds.diameter], np.int64)
    return tuple(
        _group(
            f"{grid.edges[i]:.2f}-{grid.edges[i + 1]:.2f}",
            reeds.where(number == i),
            _part(expected, number == i),
        )
        for i in np.unique(number)
    )


def _part(expected: Forecast, keep: NDArray[np.bool_]) -> Forecast:
    return replace(expected, **{name: value[keep] for name, value in vars(expected).items()})


def _group(name: str, reeds: Judged, expected: Forecast) -> Group:
    good = int(reeds.good.sum())
    off = (reeds.opening - expected.middle)[expected.planned & np.isfinite(reeds.opening)]
    weeks, lots = clusters_of(reeds.week), clusters_of(reeds.lot)
    own = effective_number(reeds.good.astype(float), weeks, lots)
    low, high = share_interval(good, len(reeds), own)
    return Group(
        name=name,
        reeds=len(reeds),
        predicted_share=mean_or_none(expected.share),
        seen_share=good / len(reeds),
        seen_low=low,
        seen_high=high,
        error_mm=mean_or_none(off),
        mm_reeds=len(off),
    )


def share_interval(good: int, count: int, effective: float) -> tuple[float, float]:
    """Return where the true share lies given so many good ones of a count: 80 in 100 of the time.

    *effective* is how many of them tell by themselves, see :mod:`planner.plan.clusters`.

    Jeffreys' interval: Brown, Cai & DasGupta, "Interval estimation for a binomial proportion",
    Statistical Science 16 (2001).
    """
    share = good / count
    a, b = effective * share + 0.5, effective * (1 - share) + 0.5
    return float(betaincinv(a, b, TENTH)), float(betaincinv(a, b, 1 - TENTH))


def mean_or_none(values: Floats) -> float | None:
    """Return the mean of what is known among *values*, None where nothing is."""
    known = values[np.isfinite(values)]
    return float(known.mean()) if len(known) else None


def week_rows(
    mondays: Iterable[date],
    places: Iterable[str],
    reeds: Judged,
    expected: Forecast,
    planned: dict[tuple[date, str], PlannedWeek],
    come: dict[tuple[date, str], float],
    *,
    lead_days: int,
) -> tuple[ReviewWeek, ...]:
    """Return a row for each week and place where something was planned or made.

    *come* is the humidity of the room with the weather that came, by Monday and place. [%]
    """
    rows = []
    names = tuple(places)
    for monday in mondays:
        for place in names:
            here = (reeds.week == np.datetime64(monday, "D")) & (reeds.place == place)
            plan = planned.get((monday, place))
            if plan is not None or here.any() or place == names[0]:
                rows.append(
                    _week(
                        monday,
                        place,
                        reeds.where(here),
                        _part(expected, here),
                        plan,
                        come.get((monday, place)),
                        lead_days,
                    )
                )
    return tuple(rows)


def _week(
    monday: date,
    place: str,
    reeds: Judged,
    expected: Forecast,
    plan: PlannedWeek | None,
    come: float | None,
    lead_days: int,
) -> ReviewWeek:
    advice = None if plan is None else plan.advice
    count, good = len(reeds), int(reeds.good.sum())
    opening = [mean_or_none(v) for v in (expected.low, expected.middle, expected.high)]
    return ReviewWeek(
        week_start=monday,
        place=place,
        planned_on=(
            date.fromordinal(monday.toordinal() - lead_days) if plan is None else plan.planned_on
        ),
        weather=None if advice is None else advice.weather,
        diameter_mm=None if advice is None else advice.diameter_mm,
        gouge_mm=None if advice is None else advice.gouge_mm,
        advised_share=None if advice is None else advice.in_band_share,
        reeds=count,
        good=good,
        closed=int(reeds.closed.sum()),
        open=int(reeds.open.sum()),
        seen_share=good / count if count else None,
        predicted_share=mean_or_none(expected.share),
        made_diameter_mm=mean_or_none(reeds.diameter),
        made_gouge_mm=mean_or_none(reeds.gouge[reeds.gouge_noted]),
        opening_mm=_spread(opening),
        seen_opening_mm=mean_or_none(reeds.opening),
        room_rh_pct=(
            None if plan is None else Spread(*np.percentile(plan.room_rh, LEVELS).tolist())
        ),
        seen_room_rh_pct=come,
        note=_note(count, plan),
    )


def _spread(values: list[float | None]) -> Spread | None:
    known = [value for value in values if value is not None]
    return Spread(*known) if len(known) == 3 else None


def _note(count: int, plan: PlannedWeek | None) -> str:
    if plan is None:
        return "no weather to plan from" if count else "no weather to plan from, no reeds judged"
    return "" if count else "no reeds judged"


def following(reeds: Judged, expected: Forecast, limits: Limits) -> Following | None:
    """Return how the reeds within the advised range came out, and the others."""
    if not expected.planned.any():
        return None
    # Beyond the range by less than half a class counts as within it: cane is sorted that finely.
    below = expected.within_low - reeds.diameter
    above = reeds.diameter - expected.within_high
    off = np.maximum(0.0, np.maximum(below, above))
    within = expected.planned & (off <= limits.sorted_to / 2 + HAIR)
    other = expected.planned & ~within
    return Following(
        followed=int(within.sum()),
        followed_share=float(reeds.good[within].mean()) if within.any() else None,
        other=int(other.sum()),
        other_share=float(reeds.good[other].mean()) if other.any() else None,
        steps_off=float(off[other].mean() / limits.sorted_to) if other.any() else None,
    )
