"""Places that want the same cane: the fewest classes to take for all of them."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from math import floor

import numpy as np
from numpy.typing import NDArray

from planner.plan.calendar import Calendar
from planner.plan.documents import SameCane
from planner.plan.grid import Grid
from planner.plan.needs import Need
from planner.plan.phrases import class_mm, counted, named, reeds_said
from planner.plan.stock import Diameters
from planner.plan.tasks import Use
from planner.plan.yields import Yields


def same_cane(
    needs: Sequence[Need],
    grid: Grid,
    yields: Yields,
    calendar: Calendar,
    uses: Sequence[Use] | None = None,
) -> tuple[SameCane, ...]:
    """Return the classes to take in this week, each with the places that it serves.

    Needs whose gouge differs are never put together. *uses* is what the plan takes up of the cane
    at hand; None where no stock is kept, and any class is to be had.
    """
    due = [need for need in needs if calendar.due_now(calendar.sort_by(need.monday))]
    if uses is not None:
        taken = [use for use in uses if calendar.due_now(calendar.sort_by(use.monday))]
        return tuple(_at_hand(due, taken, grid, yields, calendar))
    return tuple(
        _group(
            members[0].monday,
            diameters,
            members[0].advice.gouge_mm.target,
            _shares(members),
            yields,
            calendar,
        )
        for diameters, members in shared_classes(due, grid)
    )


def shared_classes(needs: Sequence[Need], grid: Grid) -> Iterator[tuple[Diameters, list[Need]]]:
    """Yield the fewest classes that suit the needs of one week, each with the needs it serves."""
    for gouge in sorted({round(need.advice.gouge_mm.target, 3) for need in needs}):
        yield from _shared(
            [need for need in needs if round(need.advice.gouge_mm.target, 3) == gouge], grid
        )


def _shares(needs: Sequence[Need]) -> dict[str, float]:
    return {need.advice.place: float(need.reeds) for need in needs}


def _at_hand(
    needs: Sequence[Need], uses: Sequence[Use], grid: Grid, yields: Yields, calendar: Calendar
) -> Iterator[SameCane]:
    """The cane that is taken up for this week's needs, the class for most reeds first."""
    reeds: dict[tuple[Diameters, float], dict[str, float]] = defaultdict(lambda: defaultdict(float))
    for use in uses:
        home = grid.class_of(sum(use.diameters) / 2)
        diameters = (float(grid.edges[home]), float(grid.edges[home + 1]))
        reeds[diameters, round(use.gouge, 3)][use.place] += use.reeds
    for (diameters, gouge), places in sorted(
        reeds.items(), key=lambda item: (-sum(item[1].values()), item[0])
    ):
        better = [need for need in needs if need.advice.place in places]
        yield _group(uses[0].monday, diameters, gouge, places, yields, calendar, better)


def _shared(needs: Sequence[Need], grid: Grid) -> Iterator[tuple[Diameters, list[Need]]]:
    """Pairs of a class and the needs it serves: the class that suits most reeds first.

    The greedy rule for set cover (Chvátal 1979, Mathematics of Operations Research 4:233-235);
    among classes that suit as many, the one that suits most of them best, then the one with the
    larger share in range.
    """
    left = list(needs)
    edges = grid.edges
    while left:
        curves = np.array([need.curve for need in left]) @ grid.averaging
        reeds = np.array([need.reeds for need in left])
        suits = np.array(
            [
                (edges[:-1] >= need.taken[0] - 1e-6) & (edges[1:] <= need.taken[1] + 1e-6)
                for need in left
            ]
        )
        at_home = np.array([edges[:-1] == need.home[0] for need in left])
        served = reeds @ suits
        good = reeds @ (curves * suits)
        best = int(np.lexsort((-good, -(reeds @ (at_home & suits)), -served))[0])
        taken = suits[:, best]
        if taken.any():
            yield (float(edges[best]), float(edges[best + 1])), _where(left, taken)
        else:  # a range that holds no whole class is taken as it is
            taken[0] = True
            yield left[0].taken, left[:1]
        left = _where(left, ~taken)


def _where(needs: Sequence[Need], keep: NDArray[np.bool_]) -> list[Need]:
    return [need for need, kept in zip(needs, keep, strict=True) if kept]


def _group(
    monday: date,
    diameters: Diameters,
    gouge: float,
    shares: Mapping[str, float],
    yields: Yields,
    calendar: Calendar,
    needs: Sequence[Need] = (),
) -> SameCane:
    expected = sum(shares.values())
    reeds = floor(expected + 0.5)
    pieces = yields.pieces("gouged", expected)
    heap = reeds_said(expected)  # the sentence begins with it
    places = tuple(shares)
    return SameCane(
        week_start=monday,
        sort_by=calendar.sort_by(monday),
        diameter_low_mm=diameters[0],
        diameter_high_mm=diameters[1],
        gouge_mm=gouge,
        places=places,
        reeds=reeds,
        pieces=pieces,
        words=(
            f"{heap[0].upper()}{heap[1:]} from {class_mm(*diameters)}, gouge {gouge:.2f}\u00a0mm "
            f"({counted(pieces, 'piece')} to gouge): {named(places)}{_rather(diameters, needs)}."
        ),
    )


def _rather(diameters: Diameters, needs: Sequence[Need]) -> str:
    """What would suit better where the cane at hand lies outside what is advised."""
    apart = [
        need
        for need in needs
        if need.taken[1] <= diameters[0] + 1e-6 or need.taken[0] >= diameters[1] - 1e-6
    ]
    said = [f"{class_mm(*need.taken)} for {need.advice.place}" for need in apart]
    return f"; at hand in place of {named(said)}" if said else ""
