"""Cane at hand by stage and class, in pieces, and by the classes that sorting gives."""

from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from planner.history.tables import CaneMove
from planner.plan.grid import Grid
from planner.plan.limits import Limits
from planner.plan.stock import Batch, sorted_out, stock_of

TODAY = date(2026, 11, 25)
GRID = Grid(Limits())


def move(begins, ends, pieces, low=10.0, high=10.25, day=date(2026, 11, 2)):
    """A movement of cane."""
    return CaneMove(day, begins, ends, pieces, None, low, high)


def test_a_tube_at_hand_counts_as_its_three_pieces():
    """10 tubes bought, 4 split: 18 pieces in tubes, 12 split."""
    stock = stock_of([move("supplier", "tube", 10), move("tube", "split", 4)], TODAY)
    assert {(batch.stage, batch.pieces) for batch in stock} == {("tube", 18), ("split", 12)}


def test_finished_and_discarded_cane_is_none_to_plan_with():
    """What left the bench isn't planned again."""
    moves = [move("supplier", "tied", 9), move("tied", "finished", 5), move("tied", "discarded", 4)]
    assert stock_of(moves, TODAY) == ()


def test_movements_after_the_day_do_not_count():
    """A replay knows nothing later."""
    later = move("supplier", "tube", 5, day=date(2026, 12, 1))
    assert stock_of([later], TODAY) == ()


def test_a_wide_class_is_spread_over_the_makers_classes():
    """Own arithmetic: 60 pieces of 10.0 to 10.5 mm are 30 of each quarter millimetre."""
    parts = sorted_out([Batch("tube", 60, (10.0, 10.5))], GRID)
    assert parts == (Batch("tube", 30, (10.0, 10.25)), Batch("tube", 30, (10.25, 10.5)))


def test_gouged_cane_of_a_wide_class_stays_as_noted():
    """It can't be sorted any more."""
    batch = Batch("gouged", 7, (10.0, 10.5))
    assert sorted_out([batch], GRID) == (batch,)


def test_unsorted_tubes_are_spread_over_all_that_the_maker_takes():
    """8 classes from 9.5 to 11.5 mm, even parts."""
    parts = sorted_out([Batch("tube", 16, None)], GRID)
    assert [batch.pieces for batch in parts] == [2] * 8


def test_the_furthest_on_comes_first_and_the_rounder_before_the_flatter():
    """Cane that is tied is used before a tube is split."""
    parts = sorted_out(
        [
            Batch("tube", 3, (10.0, 10.25)),
            Batch("tied", 3, (10.5, 10.75)),
            Batch("tied", 3, (10.25, 10.5)),
        ],
        GRID,
    )
    assert [(b.stage, b.diameters[0]) for b in parts] == [
        ("tied", 10.25),
        ("tied", 10.5),
        ("tube", 10.0),
    ]


@given(
    pieces=st.integers(1, 500),
    low=st.floats(8.0, 11.9),
    width=st.floats(0.01, 4.0),
    stage=st.sampled_from(["tube", "split", "gouged", "tied"]),
)
def test_sorting_makes_and_loses_no_piece(pieces, low, width, stage):
    """The parts of a batch sum to it, whatever its class."""
    parts = sorted_out([Batch(stage, pieces, (low, low + width))], GRID)
    assert sum(batch.pieces for batch in parts) == pieces
    for part in parts:
        assert low - 1e-9 <= part.diameters[0] <= part.diameters[1] <= low + width + 1e-9
