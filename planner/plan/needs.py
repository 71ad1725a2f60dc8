"""What each place wants of each week, set against the cane at hand."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from planner.opening.observations import Floats
from planner.plan.allocation import Problem
from planner.plan.calendar import Calendar
from planner.plan.documents import WeekAdvice
from planner.plan.grid import NEGLIGIBLE, Grid
from planner.plan.recommend import PlaceAdvice
from planner.plan.stock import Batch, Diameters
from planner.plan.wanted import Wanted
from planner.plan.yields import Yields

ALIKE = 0.01  # one reed in a hundred: no maker could tell two classes apart by it


@dataclass(frozen=True)
class Need:
    """Reeds that one place wants in one week, and what suits them.

    ``curve`` (d,) is the share in range over the diameters of the grid; ``home`` the class that
    suits best, in which ``home_share`` of the reeds come out in range.
    """

    advice: WeekAdvice
    week: int
    reeds: int
    curve: Floats
    home: Diameters
    home_share: float

    @property
    def monday(self) -> date:
        """The week in which the reeds are judged."""
        return self.advice.week_start

    @property
    def taken(self) -> Diameters:
        """The range advised. [mm]"""
        return self.advice.diameter_mm.low, self.advice.diameter_mm.high


def needs_of(advices: Sequence[PlaceAdvice], wanted: Wanted) -> list[Need]:
    """Return the needs by week, and within it in the order of the places."""
    found = [
        need
        for advice in advices
        for need in _of_place(advice, wanted.reeds[wanted.places.index(advice.coming.place)])
    ]
    order = {advice.coming.place: i for i, advice in enumerate(advices)}
    return sorted(found, key=lambda need: (need.week, order[need.advice.place]))


def _of_place(advice: PlaceAdvice, reeds: Floats) -> Iterator[Need]:
    grid = advice.grid
    classes = advice.choices.curve @ grid.averaging
    for week, row in enumerate(advice.weeks):
        if reeds[week] <= 0:
            continue
        home = _home(classes[week], grid)
        yield Need(
            row,
            week,
            int(reeds[week]),
            advice.choices.curve[week],
            (float(grid.edges[home]), float(grid.edges[home + 1])),
            float(classes[week, home]),
        )


def _home(shares: Floats, grid: Grid) -> int:
    """The class with the largest share; of those that nobody could tell from it, nearest the usual.

    So a best diameter on the limit of two classes doesn't change sides from week to week.
    """
    alike = np.flatnonzero(shares >= shares.max() - ALIKE)
    off = np.abs((grid.edges[alike] + grid.edges[alike + 1]) / 2 - grid.limits.usual_diameter)
    return int(alike[np.argmin(off)])


def problem_of(
    needs: Sequence[Need], stock: Sequence[Batch], yields: Yields, grid: Grid, calendar: Calendar
) -> Problem:
    """Return the allocation to be solved: the batches of *stock* to the *needs*."""
    curves = np.array([need.curve for need in needs]).reshape(len(needs), len(grid.diameters))
    mondays = [need.monday for need in needs]
    return Problem(
        supply=np.array([batch.pieces for batch in stock], dtype=np.int64),
        yields=np.array([yields.from_stage(batch.stage) for batch in stock], dtype=float),
        share=batch_shares(stock, curves, grid),
        ready=_ready(stock, mondays, calendar),
        wanted=np.array([need.reeds for need in needs], dtype=float),
        new_share=np.array(
            [
                need.home_share if calendar.in_time(calendar.order_by(need.monday)) else 0.0
                for need in needs
            ]
        ),
        week=np.array([need.week for need in needs], dtype=np.int64),
    )


def _ready(
    stock: Sequence[Batch], mondays: Sequence[date], calendar: Calendar
) -> NDArray[np.bool_]:
    """Where a batch can still be finished for the week of a need (b, d)."""
    by_stage = {
        stage: [calendar.in_time(calendar.begin_by(stage, monday)) for monday in mondays]
        for stage in {batch.stage for batch in stock}
    }
    ready = [by_stage[batch.stage] for batch in stock]
    return np.array(ready, dtype=np.bool_).reshape(len(stock), len(mondays))


def batch_shares(stock: Sequence[Batch], curves: Floats, grid: Grid) -> Floats:
    """Return the share in range of each batch for each need (b, d).

    Cane counts with the part of its class that the maker takes, nothing of it with none; unsorted
    cane with all that the maker takes.
    """
    limits = grid.limits
    span = np.array(
        [batch.diameters or (limits.diameter_min, limits.diameter_max) for batch in stock]
    ).reshape(-1, 2)
    low = np.clip(span[:, 0], limits.diameter_min, limits.diameter_max)
    high = np.clip(span[:, 1], limits.diameter_min, limits.diameter_max)
    # A class that ends where the maker's begin is outside; a single diameter on the limit isn't.
    below = (span[:, 1] < limits.diameter_min + NEGLIGIBLE) & (span[:, 0] < low - NEGLIGIBLE)
    above = (span[:, 0] > limits.diameter_max - NEGLIGIBLE) & (span[:, 1] > high + NEGLIGIBLE)
    shares = (curves @ grid.averaging_over(low, high)).T
    return np.asarray(np.where((below | above)[:, None], 0.0, shares))
