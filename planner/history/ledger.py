"""The ledger of cane: what lies at each stage, and the first day on which it can't be so.

A movement out of ``tube`` counts tubes; what arrives are pieces. Cane is bought in one class,
sorted into others that cross its limits, and at times noted with no diameter at all: so a class
that would hold less than nothing draws on those it overlaps, and is short only where they can't
give it.
"""

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from planner.history.tables import STAGES, CaneMove

PIECES_PER_TUBE = 3  # a tube is split in three: common practice, no source
HAIR = 1e-6  # mm
OUTSIDE = "supplier"  # what is there isn't in the workshop

Bounds = tuple[float | None, float | None]
Sums = dict[Bounds, int]


@dataclass(frozen=True)
class Stock:
    """Tubes at ``tube``, pieces after, of a diameter class (None: not sorted yet). [mm]"""

    diameter_low_mm: float | None
    diameter_high_mm: float | None
    stage: str
    pieces: int


@dataclass(frozen=True)
class Change:
    """By how much a class at a stage changed over a day."""

    day: date
    stage: str
    bounds: Bounds
    pieces: int


@dataclass(frozen=True)
class Shortage:
    """A day on which a class at a stage would hold *missing* pieces less than nothing.

    ``left`` is what lies at that stage in classes that can't be meant.
    """

    day: date
    stage: str
    bounds: Bounds
    missing: int
    left: tuple[Stock, ...] = ()


def arriving(from_stage: str, pieces: int) -> int:
    """Return how many pieces arrive of so many that leave a stage."""
    return pieces * PIECES_PER_TUBE if from_stage == "tube" else pieces


def changes(moves: Iterable[CaneMove]) -> Iterator[Change]:
    """Yield what each movement takes and brings, the outside left out."""
    for move in moves:
        bounds = (move.diameter_low_mm, move.diameter_high_mm)
        if move.from_stage != OUTSIDE:
            yield Change(move.date, move.from_stage, bounds, -move.pieces)
        if move.to_stage != OUTSIDE:
            brought = arriving(move.from_stage, move.pieces)
            yield Change(move.date, move.to_stage, bounds, brought)


def stock(moves: Iterable[CaneMove], on: date) -> list[Stock]:
    """Return what lies at each stage at the end of a day, by class and then by stage."""
    sums: dict[str, Sums] = defaultdict(lambda: defaultdict(int))
    for change in changes(move for move in moves if move.date <= on):
        sums[change.stage][change.bounds] += change.pieces
    found = [
        Stock(*bounds, stage, pieces)
        for stage, held in sums.items()
        for bounds, pieces in _settled(held).items()
        if pieces
    ]
    return sorted(found, key=_order)


def first_shortage(ordered: Iterable[Change]) -> Shortage | None:
    """Return the first shortage at the end of a day, None for a ledger that can be so.

    *ordered* ascend by day; within a day the order doesn't matter, as movements may be noted in
    any.
    """
    sums: dict[str, Sums] = defaultdict(lambda: defaultdict(int))
    day: date | None = None
    touched: set[str] = set()
    for change in ordered:
        if change.day != day and day is not None:
            short = _short(sums, touched, day)
            if short is not None:
                return short
            touched.clear()
        day = change.day
        sums[change.stage][change.bounds] += change.pieces
        touched.add(change.stage)
    return None if day is None else _short(sums, touched, day)


def _short(sums: dict[str, Sums], touched: set[str], day: date) -> Shortage | None:
    for stage in sorted(touched, key=STAGES.index):
        if min(sums[stage].values()) >= 0:
            continue
        held = _settled(sums[stage])
        short = min(held, key=lambda bounds: held[bounds])
        if held[short] < 0:
            left = [Stock(*bounds, stage, pieces) for bounds, pieces in held.items() if pieces > 0]
            return Shortage(day, stage, short, -held[short], tuple(sorted(left, key=_order)))
    return None


def _settled(sums: Sums) -> Sums:
    """The classes once those below nothing have drawn on the ones they overlap.

    Taken in the order of their upper limits, each from the class whose upper limit is the lowest
    that still overlaps: no other order covers more (a matching of points by dominance, where the
    choice that bars the fewest later ones is the best; own argument, held by a test).
    """
    left = dict(sums)
    for bounds in sorted((b for b in sums if sums[b] < 0), key=_upper):
        sources = (source for source in sums if left[source] > 0 and overlap(source, bounds))
        for source in sorted(sources, key=_upper):
            taken = min(-left[bounds], left[source])
            left[source] -= taken
            left[bounds] += taken
    return left


def overlap(one: Bounds, other: Bounds) -> bool:
    """Return whether a piece may be of both classes; of no class noted it may be of any. [mm]"""
    (low, high), (other_low, other_high) = _limits(one), _limits(other)
    return low < other_high and other_low < high


def _limits(bounds: Bounds) -> tuple[float, float]:
    """The limits of a class, a single diameter widened by a hair so that it lies in its class."""
    low, high = bounds
    if low is None or high is None:
        return -math.inf, math.inf
    return (low, high) if low < high else (low - HAIR, high + HAIR)


def _upper(bounds: Bounds) -> tuple[float, float]:
    low, high = _limits(bounds)
    return high, -low


def _order(entry: Stock) -> tuple[float, float, int]:
    low, high = entry.diameter_low_mm, entry.diameter_high_mm
    return (low or 0.0, high or 0.0, STAGES.index(entry.stage))
