"""Cane at hand by stage and class, as the ledger of movements has it."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from planner.history.tables import CaneMove
from planner.plan.grid import NEGLIGIBLE, Grid
from planner.plan.yields import STAGES

ON_THE_WAY = STAGES[:-1]  # a finished reed is no cane to plan with any more
SORTABLE = ("tube", "split")
UNSORTED = (0.0, 0.0)  # stands for cane whose diameter isn't noted

Diameters = tuple[float, float]


@dataclass(frozen=True)
class Batch:
    """Pieces of one class at one stage, those still in the tube counted too.

    ``diameters`` are the limits of the class in mm, None for cane not sorted yet.
    """

    stage: str
    pieces: int
    diameters: Diameters | None


def stock_of(moves: Iterable[CaneMove]) -> tuple[Batch, ...]:
    """Return the cane at hand, the furthest on first and within a stage the rounder first.

    Cane may be bought in a wide class, or unsorted, and go on in a narrower one: what a class gave
    beyond what it had came from a wider one around it at the same stage, or from the unsorted.
    """
    stages: dict[str, dict[Diameters, int]] = {stage: defaultdict(int) for stage in ON_THE_WAY}
    for move in moves:
        diameters = _diameters(move)
        if move.from_stage in stages:
            stages[move.from_stage][diameters] -= move.pieces
        if move.to_stage in stages:
            stages[move.to_stage][diameters] += move.pieces
    return tuple(
        Batch(stage, pieces, None if diameters == UNSORTED else diameters)
        for stage in reversed(ON_THE_WAY)
        for diameters, pieces in sorted(_settled(stages[stage]).items())
    )


def sorted_out(stock: Iterable[Batch], grid: Grid) -> tuple[Batch, ...]:
    """Return the stock by the maker's own classes, as sorting it will give.

    Tubes and split pieces of a class wider than the maker's are spread over the classes within it,
    unsorted ones over all that the maker takes; what is gouged stays as it was noted.
    """
    sums: dict[tuple[int, Diameters | None], int] = defaultdict(int)
    for batch in stock:
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
    overlap = np.minimum(grid.edges[1:], high) - np.maximum(grid.edges[:-1], low)
    if (overlap > NEGLIGIBLE).sum() < 2:
        yield batch.diameters, batch.pieces
        return
    within = np.concatenate([[low], np.clip(grid.edges[1:-1], low, high), [high]])
    reached = np.rint(batch.pieces * (within - low) / (high - low)).astype(int)
    for first, last, pieces in zip(within, within[1:], np.diff(reached), strict=False):
        if pieces:
            yield (float(first), float(last)), int(pieces)


def _diameters(move: CaneMove) -> Diameters:
    low, high = move.diameter_low_mm, move.diameter_high_mm
    if low is None or high is None:
        return UNSORTED
    return low, high


def _settled(sums: dict[Diameters, int]) -> dict[Diameters, int]:
    """The classes with something in them, once those below nothing have drawn on wider ones."""
    left = {diameters: count for diameters, count in sums.items() if count > 0}
    for diameters, count in sorted(sums.items()):
        missing = -count
        for source in sorted((wide for wide in left if _holds(wide, diameters)), key=_width):
            if missing <= 0:
                break
            taken = min(missing, left[source])
            left[source] -= taken
            missing -= taken
    return {diameters: count for diameters, count in left.items() if count > 0}


def _holds(wide: Diameters, narrow: Diameters) -> bool:
    return wide == UNSORTED or (wide[0] <= narrow[0] and narrow[1] <= wide[1])


def _width(diameters: Diameters) -> float:
    return float("inf") if diameters == UNSORTED else diameters[1] - diameters[0]
