"""From advice, wants and stock to what to do by when."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby, pairwise
from operator import attrgetter

from planner.history.tables import CaneMove, Order
from planner.plan.allocation import Allocation, allocate
from planner.plan.calendar import Calendar
from planner.plan.documents import Preparation, SameCane, StockLine, YieldLine
from planner.plan.grid import Grid
from planner.plan.needs import Need, needs_of, problem_of
from planner.plan.orders import orders, shortfalls, too_few
from planner.plan.phrases import SayDay
from planner.plan.recommend import PlaceAdvice
from planner.plan.same_cane import same_cane, shared_classes
from planner.plan.stock import SORTABLE, Batch, Diameters, sorted_out, stock_of
from planner.plan.stock_lines import stock_lines
from planner.plan.supplier import supplier_of
from planner.plan.tasks import Use, tasks
from planner.plan.wanted import wanted
from planner.plan.yields import STAGES, Yields, learn_yields

NO_LEDGER = (
    "The record has no cane, so pieces are counted as if all were at hand and nothing is ordered; "
    'note what you buy and use with "planner add cane".'
)


@dataclass(frozen=True)
class Record:
    """What of the record counts for the preparation: movements of cane and orders of reeds."""

    moves: Sequence[CaneMove] = ()
    orders: Sequence[Order] = ()


@dataclass(frozen=True)
class Output:
    """What the workshop makes: reeds a week, shares by place, pieces gouged for a good reed."""

    reeds_per_week: float
    shares: dict[str, float | None]
    pieces_per_good_reed: float | None = None


@dataclass(frozen=True)
class Prepared:
    """What to do by when, and what it was reckoned from.

    ``notes`` say what the figures rest on, ``warnings`` what can't be done or was odd.
    """

    prepare: tuple[Preparation, ...]
    same_cane: tuple[SameCane, ...]
    stock: tuple[StockLine, ...]
    yields: tuple[YieldLine, ...]
    notes: tuple[str, ...]
    warnings: tuple[str, ...]


def prepare(
    advices: Sequence[PlaceAdvice],
    record: Record,
    output: Output,
    calendar: Calendar,
    say_day: SayDay = date.isoformat,
) -> Prepared:
    """Return what to sort, gouge and order for the weeks advised.

    Parameters
    ----------
    advices : one a place, the bench first, all over the same weeks and with the same limits
    record : movements of cane and orders, none later than today
    output : what the workshop makes
    calendar : today and the lead times
    say_day : how a day is written
    """
    grid = advices[0].grid
    yields = learn_yields(record.moves, pieces_per_good_reed=output.pieces_per_good_reed)
    want = wanted(
        [advice.coming.place for advice in advices],
        [row.week_start for row in advices[0].weeks],
        reeds_per_week=output.reeds_per_week,
        shares=output.shares,
        orders=record.orders,
        made_this_week=_finished_since(record.moves, calendar.monday),
    )
    needs = needs_of(advices, want)
    stock = sorted_out(stock_of(record.moves, calendar.today), grid)
    problem = problem_of(needs, stock, yields, grid, calendar)
    uses = None
    if record.moves:
        allocation = allocate(problem)
        uses = list(_uses(needs, stock, allocation, yields))
        todo = [*tasks(uses, yields, calendar, say_day)]
        supplier = supplier_of(record.moves, grid.limits, calendar.today)
        todo += orders(needs, allocation, yields, calendar, say_day, supplier)
        lines = stock_lines(needs, stock, problem, allocation, yields, grid)
        made = problem.yields @ allocation.pieces
        near, short = shortfalls(needs, made, allocation.from_new, calendar, say_day)
        few = too_few(yields)
    else:
        todo = [*tasks(_supposed(needs, grid, yields, calendar), yields, calendar, say_day)]
        lines, near, short, few = (), NO_LEDGER, None, None
    return Prepared(
        prepare=tuple(sorted(todo, key=attrgetter("by"))),
        same_cane=same_cane(needs, grid, yields, calendar, uses),
        stock=lines,
        yields=tuple(_yield_lines(yields)),
        notes=(*yields.notes, *([near] if near else [])),
        warnings=(*want.notes, *(said for said in (few, short) if said)),
    )


def _finished_since(moves: Iterable[CaneMove], monday: date) -> int:
    return sum(m.pieces for m in moves if m.to_stage == "finished" and m.date >= monday)


def _uses(
    needs: Sequence[Need], stock: Sequence[Batch], allocation: Allocation, yields: Yields
) -> Iterator[Use]:
    """What is taken up of cane that isn't gouged yet."""
    for row, batch in enumerate(stock):
        if batch.stage not in SORTABLE:
            continue
        for column in allocation.pieces[row].nonzero()[0].tolist():
            need, count = needs[column], int(allocation.pieces[row, column])
            yield Use(
                need.monday,
                need.advice.place,
                _picked(batch.diameters, need.taken),
                need.advice.gouge_mm.target,
                count * yields.from_stage(batch.stage),
                in_tubes=count if batch.stage == "tube" else 0,
                split=count if batch.stage == "split" else 0,
            )


def _picked(cane: Diameters | None, advised: Diameters) -> Diameters:
    """What is picked out of a batch: the part of its class that is advised, all of it if none."""
    if cane is None:
        return advised
    low, high = max(cane[0], advised[0]), min(cane[1], advised[1])
    return (low, high) if low < high - 1e-6 else cane


def _supposed(
    needs: Sequence[Need], grid: Grid, yields: Yields, calendar: Calendar
) -> Iterator[Use]:
    """What would be taken up if there were cane of every class: the fewest classes for a week."""
    for monday, week in groupby(needs, key=attrgetter("monday")):
        if not calendar.in_time(calendar.sort_by(monday)):
            continue
        for diameters, members in shared_classes(list(week), grid):
            for need in members:
                yield Use(
                    monday,
                    need.advice.place,
                    diameters,
                    need.advice.gouge_mm.target,
                    float(need.reeds),
                    in_tubes=need.reeds / yields.from_stage("tube"),
                )


def _yield_lines(yields: Yields) -> Iterator[YieldLine]:
    for begins, ends in pairwise(STAGES):
        rate = yields.rates[begins]
        low, high = rate.middle_80()
        yield YieldLine(begins, ends, rate.mean, low, high, yields.counted[begins])
