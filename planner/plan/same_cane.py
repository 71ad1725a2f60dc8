"""Places that want the same cane: the fewest classes to take for all of them."""

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from planner.opening.observations import Floats
from planner.plan.calendar import Calendar
from planner.plan.documents import SameCane
from planner.plan.grid import Grid
from planner.plan.needs import Need
from planner.plan.phrases import class_mm, counted, named
from planner.plan.yields import Yields


def same_cane(
    needs: Sequence[Need],
    grid: Grid,
    yields: Yields,
    calendar: Calendar,
    given: Floats | None = None,
) -> tuple[SameCane, ...]:
    """Return the classes to take in this week, each with the places that it serves.

    Needs whose gouge differs are never put together. *given* (needs, classes) are the reeds that
    each class of the cane at hand gives a need, None where no stock is kept.
    """
    due = [i for i, need in enumerate(needs) if calendar.due_now(calendar.sort_by(need.monday))]
    gouges = sorted({round(needs[i].advice.gouge_mm.target, 3) for i in due})
    found = []
    for gouge in gouges:
        alike = [i for i in due if round(needs[i].advice.gouge_mm.target, 3) == gouge]
        lying = np.zeros((len(alike), len(grid.edges) - 1)) if given is None else given[alike]
        for diameters, members in _shared([needs[i] for i in alike], lying, grid):
            found.append(_group(members, diameters, yields, calendar))
    return tuple(found)


def _shared(
    needs: Sequence[Need], given: Floats, grid: Grid
) -> Iterator[tuple[tuple[float, float], list[Need]]]:
    """Pairs of a class and the needs it serves: the class that suits most reeds first.

    The greedy rule for set cover (Chvátal 1979, Mathematics of Operations Research 4:233-235);
    among classes that suit as many, the one of which the plan gives most from the cane at hand,
    then the one with the larger share in range.
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
        served = reeds @ suits
        good = reeds @ (curves * suits)
        lying = given.sum(axis=0) * (served > 0)
        best = int(np.lexsort((-good, -lying, -served))[0])
        taken = suits[:, best]
        if taken.any():
            yield (float(edges[best]), float(edges[best + 1])), _where(left, taken)
        else:  # a range that holds no whole class is taken as it is
            taken[0] = True
            yield left[0].taken, left[:1]
        left, given = _where(left, ~taken), given[~taken]


def _where(needs: Sequence[Need], keep: NDArray[np.bool_]) -> list[Need]:
    return [need for need, kept in zip(needs, keep, strict=True) if kept]


def _group(
    needs: Sequence[Need], diameters: tuple[float, float], yields: Yields, calendar: Calendar
) -> SameCane:
    reeds = sum(need.reeds for need in needs)
    pieces = yields.pieces("gouged", reeds)
    places = tuple(need.advice.place for need in needs)
    gouge = needs[0].advice.gouge_mm.target
    return SameCane(
        week_start=needs[0].monday,
        sort_by=calendar.sort_by(needs[0].monday),
        diameter_low_mm=diameters[0],
        diameter_high_mm=diameters[1],
        gouge_mm=gouge,
        places=places,
        reeds=reeds,
        pieces=pieces,
        words=(
            f"{counted(reeds, 'reed')} from {class_mm(*diameters)}, gouge {gouge:.2f}\u00a0mm "
            f"({counted(pieces, 'piece')} to gouge): {named(places)}."
        ),
    )
