"""What the places want of each week, set against the cane at hand."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from planner.plan.calendar import Calendar
from planner.plan.grid import Grid
from planner.plan.limits import Limits
from planner.plan.needs import ALIKE, batch_shares, needs_of, problem_of
from planner.plan.stock import Batch
from planner.plan.wanted import Wanted
from planner.plan.yields import PRIORS, Yields

GRID = Grid(Limits())
CALENDAR = Calendar(date(2026, 11, 25), sort_to_finish_days=14, order_days=21)
YIELDS = Yields(PRIORS, {})


def needs_with(advice, best):
    """The needs of a place whose share in range falls off from a best diameter."""
    curve = np.tile(0.8 - (GRID.diameters - best) ** 2, (len(advice.weeks), 1))
    shaped = replace(advice, choices=replace(advice.choices, curve=curve))
    reeds = np.full((1, len(advice.weeks)), 5, dtype=np.int64)
    return needs_of([shaped], Wanted((advice.coming.place,), reeds))


@pytest.fixture
def advice(advised):
    """Four usual weeks at the bench."""
    return advised([8.5] * 4)


def test_cane_is_bought_of_the_class_that_suits_best(advice):
    """Own arithmetic: the best diameter lies in the middle of 10.00-10.25 mm."""
    need = needs_with(advice, 10.125)[0]
    assert need.home == (10.0, 10.25)
    assert need.home_share == pytest.approx(0.8 - 0.25**2 / 12, abs=2e-3)


@pytest.mark.parametrize("best", [10.24, 10.25, 10.26])
def test_a_best_diameter_on_a_limit_does_not_change_sides(advice, best):
    """Both classes suit alike, within 1 in 100: the one nearer the usual 10.5 mm, every week."""
    assert {need.home for need in needs_with(advice, best)} == {(10.25, 10.5)}
    assert ALIKE == 0.01


def test_a_week_that_wants_nothing_is_no_need(advice):
    """No reeds, no cane."""
    reeds = np.array([[5, 0, 0, 2]])
    found = needs_of([advice], Wanted(("Bench",), reeds))
    assert [(need.week, need.reeds) for need in found] == [(0, 5), (3, 2)]


def test_needs_come_week_by_week_and_within_it_place_by_place(advised, coming_of):
    """As the list is gone through by hand: the bench first, whatever order the wants name."""
    bench = coming_of([8.5] * 3)
    advices = [advised([8.5] * 3), advised([8.5] * 3, place="Far", bench=bench)]
    found = needs_of(advices, Wanted(("Far", "Bench"), np.array([[1, 0, 2], [3, 4, 5]])))
    assert [(need.week, need.advice.place, need.reeds) for need in found] == [
        (0, "Bench", 3),
        (0, "Far", 1),
        (1, "Bench", 4),
        (2, "Bench", 5),
        (2, "Far", 2),
    ]


def test_cane_counts_by_the_part_of_it_that_the_maker_takes(advice):
    """Half within the limits: that half's share; none of it with none; unsorted with all."""
    curve = np.where(GRID.diameters < 10.0, 1.0, 0.0)[None, :]
    stock = [
        Batch("tube", 3, (9.0, 9.55)),
        Batch("tube", 3, (8.0, 8.5)),
        Batch("tube", 3, None),
    ]
    within, outside, unsorted = batch_shares(stock, curve, GRID)[:, 0]
    assert within == pytest.approx(1.0)
    assert outside == 0.0
    assert unsorted == pytest.approx(0.25, abs=0.05)


def test_cane_is_ready_only_for_weeks_that_it_can_still_be_finished_for(advice):
    """Own arithmetic: 14 days from the tube, 7 from gouged, none from tied; new cane in 35."""
    stock = [Batch(stage, 9, (10.25, 10.5)) for stage in ("tied", "gouged", "tube")]
    needs = needs_with(advice, 10.4)
    problem = problem_of(needs, stock, YIELDS, GRID, CALENDAR)
    assert problem.ready.tolist() == [
        [True, True, True, True],
        [False, True, True, True],
        [False, False, True, True],
    ]
    assert (problem.new_share == 0).all()


def test_no_stock_makes_a_problem_all_the_same(advice):
    """Nothing lies there."""
    problem = problem_of(needs_with(advice, 10.4), [], YIELDS, GRID, CALENDAR)
    assert problem.share.shape == (0, 4)
