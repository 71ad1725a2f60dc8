"""Is the wanted range within reach of the cane that is sorted? Said plainly where it isn't."""

from collections.abc import Sequence

import numpy as np

from planner.opening.draws import EffectDraws
from planner.plan.choice import NOTHING
from planner.plan.documents import WeekAdvice
from planner.plan.phrases import DASH, NBSP, counted, named
from planner.plan.recommend import PlaceAdvice

# Of the best cane. Reeds of a well-set workshop come out mostly in range; where so few do, some
# setting or reading is wrong more often than the cane (common practice, no source).
LITTLE = 0.20


def out_of_reach(
    advices: Sequence[PlaceAdvice], draws: EffectDraws, *, measured: bool
) -> tuple[str, ...]:
    """Return one warning where in some week hardly a reed, or few, can come into range; else none.

    *measured* tells whether openings in mm are on record, whose unit may be wrong.
    """
    shares = np.concatenate([advice.choices.curve.max(axis=1) for advice in advices])
    rows = [row for advice in advices for row in advice.weeks]
    low, high = float(np.median(draws.low)), float(np.median(draws.high))
    for most in (NOTHING, LITTLE):
        far = np.flatnonzero(shares < most)
        if len(far):
            found = [rows[i] for i in far]
            line = (
                f"{_when(found, rows)}{_few(float(shares[far].max()), most)} reeds are expected in "
                f"your wanted range of {low:.2f}{DASH}{high:.2f}{NBSP}mm, whatever cane you take: "
                f"{_stand(found, low, high)} Check {_what(measured=measured)}."
            )
            return (line[0].upper() + line[1:],)
    return ()


def _when(found: Sequence[WeekAdvice], rows: Sequence[WeekAdvice]) -> str:
    if len(found) == len(rows):
        return ""
    places = list(dict.fromkeys(row.place for row in found))
    of = [row for row in rows if row.place in places]
    at = "" if len(places) == len({row.place for row in rows}) else f"At {named(places)}: "
    return at if len(found) == len(of) else f"{at}in {len(found)} of {counted(len(of), 'week')} "


def _few(best: float, most: float) -> str:
    if most == NOTHING:
        return "next to no"
    return f"at most {max(round(100 * best), 1)} in{NBSP}100"


def _stand(found: Sequence[WeekAdvice], low: float, high: float) -> str:
    """How far the reeds are expected to stand from the range, with the cane taken."""
    middle = float(np.median([row.opening_mm.p50 for row in found]))
    off = max(low - middle, middle - high)
    where = f"with the cane of this plan they stand open about {middle:.2f}{NBSP}mm"
    if off < 0.005:
        return f"{where}, within it, but scatter far beyond it."
    return f"{where}, {off:.2f}{NBSP}mm {'below' if middle < low else 'above'} it."


def _what(*, measured: bool) -> str:
    unit = ", the unit in which the openings were read" if measured else ""
    return f"the wanted range{unit} and the limits of the cane (workshop.toml)"
