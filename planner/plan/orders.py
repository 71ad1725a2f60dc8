"""What will run short and must be bought, and by when at the latest."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import timedelta

import numpy as np

from planner.history.ledger import PIECES_PER_TUBE
from planner.opening.observations import Floats
from planner.plan.allocation import Allocation
from planner.plan.calendar import Calendar
from planner.plan.documents import Preparation
from planner.plan.needs import Need
from planner.plan.phrases import SayDay, class_mm, counted, named
from planner.plan.stock import Diameters
from planner.plan.supplier import Supplier, part_of
from planner.plan.tasks import Run, Use, gathered
from planner.plan.yields import Yields

AHEAD = timedelta(days=56)  # an order due later can still be weighed again
FEWEST = 0.03  # reeds of a piece bought; what gives fewer is a slip in the record, not to buy by
NOTICEABLE = 0.5  # reeds: less than half a reed short is covered by chance


def orders(
    needs: Sequence[Need],
    allocation: Allocation,
    yields: Yields,
    calendar: Calendar,
    say_day: SayDay,
    supplier: Supplier,
) -> Iterator[Preparation]:
    """Yield the orders, gathered by class as sold; the earliest week of each sets the day.

    What an order brings of a class beyond its reeds serves the later ones. None where hardly a
    piece becomes a reed; see :func:`too_few`.
    """
    if too_few(yields):
        return
    uses = [_as_sold(use, supplier) for use in bought(needs, allocation)]
    spare: dict[Diameters, float] = defaultdict(float)
    for run in gathered(uses):
        tubes = _tubes(run, spare, yields)
        by = calendar.order_by(run.first)
        if tubes and by <= calendar.today + AHEAD and run.reeds >= NOTICEABLE:
            yield _order(run, tubes, calendar, say_day)


def too_few(yields: Yields) -> str | None:
    """Return why nothing is ordered where hardly a piece becomes a reed, else None."""
    share = yields.from_stage("tube")
    if share >= FEWEST:
        return None
    return (
        f"By the record only 1 in {round(1 / share):,} pieces of cane becomes a reed, so no order "
        'is reckoned from it. Look the cane table through ("planner export cane cane.csv"): reeds '
        'that are done are moved from "tied" to "finished".'
    )


def _as_sold(use: Use, supplier: Supplier) -> Use:
    return replace(use, diameters=supplier.sold_as(use.diameters), sorts_to=use.diameters)


def _tubes(run: Run, spare: dict[Diameters, float], yields: Yields) -> int:
    """Tubes for the reeds of a run beyond what is to spare; *spare* is brought up to date."""
    reeds = _reeds_by_class(run)
    parts = {wanted: part_of(wanted, run.diameters) for wanted in reeds}
    lacking = max((reeds[w] - spare[w]) / parts[w] for w in reeds)
    tubes = yields.tubes(lacking) if lacking >= NOTICEABLE else 0
    brought = tubes * PIECES_PER_TUBE * yields.from_stage("tube")
    for wanted, part in parts.items():
        spare[wanted] = max(0.0, spare[wanted] + part * brought - reeds[wanted])
    return tubes


def _reeds_by_class(run: Run) -> dict[Diameters, float]:
    reeds: dict[Diameters, float] = defaultdict(float)
    for use in run.uses:
        reeds[use.sorts_to or use.diameters] += use.reeds
    return reeds


def bought(needs: Sequence[Need], allocation: Allocation) -> Iterable[Use]:
    """Return what is to be made of new cane."""
    return (
        Use(need.monday, need.advice.place, need.home, 0.0, float(reeds))
        for need, reeds in zip(needs, allocation.from_new, strict=True)
        if reeds > 0
    )


def _order(run: Run, tubes: int, calendar: Calendar, say_day: SayDay) -> Preparation:
    return Preparation(
        by=calendar.shown(calendar.order_by(run.first)),
        action="order",
        diameter_low_mm=run.diameters[0],
        diameter_high_mm=run.diameters[1],
        gouge_mm=None,
        pieces=tubes * PIECES_PER_TUBE,
        place=named([use.place for use in run.uses]),
        week_start=run.first,
        words=(
            f"Order {counted(tubes, 'tube')} of {class_mm(*run.diameters)}{_sorts(run)} "
            f"{run.said(say_day)}."
        ),
    )


def _sorts(run: Run) -> str:
    """What of a class as sold is wanted, and about how many tubes in 100 that is."""
    wanted = [found for found in sorted(_reeds_by_class(run)) if part_of(found, run.diameters) < 1]
    if not wanted:
        return ""
    parts = [
        f"{class_mm(*found)} (about {100 * part_of(found, run.diameters):.0f} in\u00a0100)"
        for found in wanted
    ]
    return f" and sort out {named(parts)},"


def shortfalls(
    needs: Sequence[Need], made: Floats, from_new: Floats, calendar: Calendar, say_day: SayDay
) -> tuple[str | None, str | None]:
    """Return what can't be covered, None for nothing: in weeks too near to sort for, and later.

    *made* and *from_new* (needs,) are the reeds from cane at hand and from new cane.
    """
    near: list[Use] = []
    later: list[Use] = []
    for need, missing in zip(needs, _reeds(needs) - made - from_new, strict=True):
        if missing >= NOTICEABLE:
            use = Use(need.monday, need.advice.place, need.home, 0.0, float(missing))
            (later if calendar.in_time(calendar.sort_by(need.monday)) else near).append(use)
    return (
        f"The record has nothing gouged or tied for {_said(near, say_day)}." if near else None,
        f"Short {_said(later, say_day)}: no cane at hand will do, and new cane would come too late."
        if later
        else None,
    )


def _reeds(needs: Sequence[Need]) -> Floats:
    return np.array([need.reeds for need in needs], dtype=float)


def _said(missing: list[Use], say_day: SayDay) -> str:
    run = Run(tuple(sorted(missing, key=lambda use: use.monday)))
    return run.said(say_day).removeprefix("for ")
