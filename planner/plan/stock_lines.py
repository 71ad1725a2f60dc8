"""Stock against need by class: what lies there, what the plan uses of it, what is short or over."""

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from planner.plan.allocation import Allocation, Problem
from planner.plan.documents import StockLine
from planner.plan.grid import Grid
from planner.plan.needs import Need
from planner.plan.orders import bought
from planner.plan.phrases import class_mm, counted
from planner.plan.stock import ON_THE_WAY, UNSORTED, Batch, Diameters
from planner.plan.yields import Yields, tubes_of


@dataclass
class _Sum:
    """What is summed up for one class: counts by stage, and in pieces what is used and short."""

    stages: Counter[str] = field(default_factory=Counter)
    used: int = 0
    short_reeds: float = 0.0
    surplus_for: str = ""

    @property
    def at_hand(self) -> int:
        return sum(self.stages.values())


def stock_lines(
    needs: Sequence[Need],
    stock: Sequence[Batch],
    problem: Problem,
    allocation: Allocation,
    yields: Yields,
    grid: Grid,
) -> tuple[StockLine, ...]:
    """Return a line for each class that lies there or is short, the rounder first."""
    sums: dict[Diameters, _Sum] = defaultdict(_Sum)
    given = allocation.pieces.sum(axis=1)
    for index, batch in enumerate(stock):
        entry = sums[_class(batch.diameters, grid)]
        entry.stages[batch.stage] += batch.pieces
        entry.used += int(given[index])
        if given[index] < batch.pieces and needs and problem.share[index].max() > 0:
            entry.surplus_for = needs[int(np.argmax(problem.share[index]))].advice.place
    for use in bought(needs, allocation):
        sums[use.diameters].short_reeds += use.reeds
    return tuple(_line(diameters, entry, yields) for diameters, entry in sorted(sums.items()))


def _class(diameters: Diameters | None, grid: Grid) -> Diameters:
    """The class of the maker that holds a batch, else the batch's own."""
    if diameters is None:
        return UNSORTED
    home = grid.class_of(diameters[0])
    low, high = float(grid.edges[home]), float(grid.edges[home + 1])
    return (low, high) if low <= diameters[0] and diameters[1] <= high + 1e-6 else diameters


def _line(diameters: Diameters, entry: _Sum, yields: Yields) -> StockLine:
    unsorted = diameters == UNSORTED
    short = yields.pieces("split", entry.short_reeds) if entry.short_reeds else 0
    tubes = tubes_of(entry.stages["tube"])
    surplus = entry.at_hand - entry.used
    name = "unsorted" if unsorted else class_mm(*diameters)
    lies = [
        f"{entry.stages[stage]} {stage}" if stage != "tube" else counted(tubes, "tube")
        for stage in ON_THE_WAY
        if entry.stages[stage]
    ]
    ends = [f"{counted(short, 'piece')} short"] if short else []
    if surplus:
        best = f", best for {entry.surplus_for}" if entry.surplus_for else ", outside your limits"
        ends.append(f"{counted(surplus, 'piece')} over{best}")
    return StockLine(
        diameter_low_mm=None if unsorted else diameters[0],
        diameter_high_mm=None if unsorted else diameters[1],
        tubes=tubes,
        split=entry.stages["split"],
        gouged=entry.stages["gouged"],
        tied=entry.stages["tied"],
        at_hand_pieces=entry.at_hand,
        needed_pieces=entry.used + short,
        short_pieces=short,
        surplus_pieces=surplus,
        words=f"{name}: {', '.join(lies) or 'none at hand'}; {', '.join(ends) or 'as needed'}.",
    )
