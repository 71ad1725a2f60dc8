"""Which further readings would teach the most: where the room is still known least."""

from dataclasses import dataclass

import numpy as np

from planner.air.days import Days
from planner.room.model import RoomFit
from planner.room.response import COLD, MILD, respond
from planner.spread import TENTH

YEAR = 365
FEWEST_DAYS = 15  # of a year; a season shorter than that isn't worth waiting for


@dataclass(frozen=True)
class SeasonDoubt:
    """How well the room is known on days of one kind.

    Attributes
    ----------
    low_c, high_c : outdoor temperature of the days; None where open [°C]
    days : of the last year
    either_way_pct : half the range that holds 8 in 10 of what the mean humidity may be [% RH]
    """

    low_c: float | None
    high_c: float | None
    days: int
    either_way_pct: float


def doubts(room: RoomFit, outdoor: Days) -> tuple[SeasonDoubt, ...]:
    """Return how well the room is known on cold, mild and warm days, the least known first.

    Only what the parameters leave open counts: the day-to-day wandering isn't taught by readings.
    *outdoor* are observed days; the last year of them is taken for the next.
    """
    outdoor = outdoor.where(outdoor.day > outdoor.day[-1] - YEAR) if len(outdoor) else outdoor
    if not len(outdoor):
        return ()
    span = np.arange(outdoor.day[0], outdoor.day[-1] + 1)
    number, have = span.astype(np.int64), outdoor.day.astype(np.int64)
    warmth = np.interp(number, have, outdoor.temperature)
    vapour = np.interp(number, have, outdoor.vapour_pressure)
    dried = room.knowledge.dehumidify_to_pct is not None
    _, humidity = respond(room.theta, warmth[None], vapour[None], always_dried=dried)
    found = []
    for low, high in ((None, COLD), (COLD, MILD), (MILD, None)):
        within = (warmth > (-np.inf if low is None else low)) & (
            warmth <= (np.inf if high is None else high)
        )
        if within.sum() >= FEWEST_DAYS:
            deviation = float(humidity[:, within].mean(axis=1).std())
            found.append(SeasonDoubt(low, high, int(within.sum()), TENTH * deviation))
    return tuple(sorted(found, key=lambda one: -one.either_way_pct))
