"""Cane at hand by stage and class, in pieces: one still in a tube counts too."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date

import numpy as np

from planner.history.ledger import PIECES_PER_TUBE, stock
from planner.history.tables import CaneMove
from planner.plan.grid import NEGLIGIBLE, Grid
from planner.plan.yields import STAGES

ON_THE_WAY = STAGES[:-1]  # a finished reed is no cane to plan with any more
SORTABLE = ("tube", "split")
UNSORTED = (0.0, 0.0)  # sorts before any class

Diameters = tuple[float, float]


@dataclass(frozen=True)
class Batch:
    """Pieces of one class at one stage, those still in the tube counted too.

    ``diameters`` are the limits of the class in mm, None for cane not sorted yet.
    """

    stage: str
    pieces: int
    diameters: Diameters | None


def stock_of(moves: Iterable[CaneMove], on: date) -> tuple[Batch, ...]:
    """Return the cane at hand at the end of a day; see :func:`planner.history.ledger.stock`."""
    return tuple(
        Batch(
            held.stage,
            held.pieces * (PIECES_PER_TUBE if held.stage == "tube" else 1),
            None
            if held.diameter_low_mm is None or held.diameter_high_mm is None
            else (held.diameter_low_mm, held.diameter_high_mm),
        )
        for held in stock(moves, on)
        if held.stage in ON_THE_WAY and held.pieces > 0
    )


def sorted_out(batches: Iterable[Batch], grid: Grid) -> tuple[Batch, ...]:
    """Return the stock by the maker's own classes, as sorting it will give.

    Tubes and split pieces of a class wider than the maker's are spread over the classes within it
    and what reaches beyond the maker's limits, unsorted ones over all that the maker takes; what is
    gouged stays as it was noted. The furthest
    on comes first, and within a stage the rounder.
    """
    sums: dict[tuple[int, Diameters | None], int] = defaultdict(int)
    for batch in batches:
        stage = -ON_THE_WAY.index(batch.stage)
        for diameters, pieces in _parts(batch, grid):
            sums[stage, diameters] += pieces
    return tuple(
        Batch(ON_THE_WAY[-stage], pieces, diameters)
        for (stage, diameters), pieces in sorted(sums.items(), key=_order)
        if pieces
    )


def _order(entry: tuple[tuple[int, Diameters | None], int]) -> tuple[int, Diameters]:
    (stage, diameters), _ = entry
    return stage, diameters or UNSORTED


def _parts(batch: Batch, grid: Grid) -> Iterator[tuple[Diameters | None, int]]:
    """The batch in parts by class, whole pieces, in proportion to the overlap."""
    limits = grid.limits
    if batch.stage not in SORTABLE:
        yield batch.diameters, batch.pieces
        return
    low, high = batch.diameters or (limits.diameter_min, limits.diameter_max)
    inside = grid.edges[(grid.edges > low + NEGLIGIBLE) & (grid.edges < high - NEGLIGIBLE)]
    if not len(inside):
        yield batch.diameters, batch.pieces
        return
    within = np.concatenate([[low], inside, [high]])
    reached = np.rint(batch.pieces * (within - low) / (high - low)).astype(int)
    for first, last, pieces in zip(within, within[1:], np.diff(reached), strict=False):
        if pieces:
            yield (float(first), float(last)), int(pieces)
