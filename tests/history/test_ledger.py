"""The ledger of cane: stock on a day, and what can't be."""

from dataclasses import replace
from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from planner.history.ledger import Shortage, Stock, changes, first_shortage, stock
from planner.history.tables import STAGES, CaneMove

DAY, NEXT = date(2026, 11, 2), date(2026, 11, 3)
BOUGHT = CaneMove(DAY, "supplier", "tube", 40, "B", 10.0, 10.5)


def short(*moves: CaneMove) -> Shortage | None:
    """The first shortage of movements in any order."""
    return first_shortage(sorted(changes(moves), key=lambda change: change.day))


def test_stock_is_the_sum_of_the_movements_by_a_day():
    """A tube gives three pieces (common practice); what comes later doesn't count."""
    moves = [
        BOUGHT,
        CaneMove(DAY, "tube", "split", 10, None, 10.0, 10.5),
        CaneMove(NEXT, "split", "gouged", 20, None, 10.0, 10.5),
    ]
    assert stock(moves, DAY) == [Stock(10.0, 10.5, "tube", 30), Stock(10.0, 10.5, "split", 30)]
    assert stock(moves, NEXT)[1:] == [
        Stock(10.0, 10.5, "split", 10),
        Stock(10.0, 10.5, "gouged", 20),
    ]
    assert stock(moves, date(2026, 11, 1)) == []


def test_what_goes_back_to_the_supplier_leaves_the_workshop():
    """And nothing is left of it."""
    back = CaneMove(NEXT, "tube", "supplier", 40, None, 10.0, 10.5)
    assert stock([BOUGHT, back], NEXT) == []


def test_no_more_goes_out_than_came_in():
    """The day, the stage, the class and how many are missing."""
    out = CaneMove(NEXT, "tube", "split", 41, None, 10.0, 10.5)
    assert short(BOUGHT, out) == Shortage(NEXT, "tube", (10.0, 10.5), 1)
    assert short(BOUGHT, replace(out, pieces=40)) is None


def test_movements_of_a_day_may_be_noted_in_any_order():
    """Only what a day ends with counts."""
    out = CaneMove(DAY, "tube", "split", 40, None, 10.0, 10.5)
    assert short(out, BOUGHT) is None


def test_a_narrow_class_draws_on_a_wider_one_around_it():
    """Bought 10 to 10.5 mm or unsorted, then sorted; never from a class beside it."""
    narrow = CaneMove(NEXT, "tube", "split", 15, None, 10.0, 10.25)
    assert short(BOUGHT, narrow) is None
    assert stock([BOUGHT, narrow], NEXT)[1] == Stock(10.0, 10.5, "tube", 25)
    unsorted = replace(BOUGHT, diameter_low_mm=None, diameter_high_mm=None)
    assert short(unsorted, narrow) is None
    beside = replace(narrow, diameter_low_mm=10.25, diameter_high_mm=10.75)
    assert short(BOUGHT, beside) == Shortage(NEXT, "tube", (10.25, 10.75), 15)
    assert short(BOUGHT, replace(narrow, diameter_low_mm=None, diameter_high_mm=None)) is not None


def test_two_narrow_classes_cannot_draw_the_same_tubes_twice():
    """40 bought, 30 and 11 taken."""
    one = CaneMove(NEXT, "tube", "split", 30, None, 10.0, 10.25)
    two = CaneMove(NEXT, "tube", "split", 11, None, 10.25, 10.5)
    found = short(BOUGHT, one, two)
    assert found is not None
    assert found.missing == 1
    assert short(BOUGHT, one, replace(two, pieces=10)) is None


MOVES = st.lists(
    st.builds(
        CaneMove,
        date=st.dates(DAY, date(2026, 11, 6)),
        from_stage=st.sampled_from(STAGES),
        to_stage=st.sampled_from(STAGES),
        pieces=st.integers(1, 9),
        diameter_low_mm=st.just(10.0),
        diameter_high_mm=st.sampled_from([10.25, 10.5]),
        lot=st.none(),
        note=st.none(),
        id=st.none(),
    ).filter(lambda move: move.from_stage != move.to_stage),
    max_size=12,
)


@given(MOVES)
def test_a_ledger_without_shortage_holds_nothing_below_nothing(moves: list[CaneMove]):
    """On any day, at any stage; and where one is found, a sum up to that day shows it."""
    found = short(*moves)
    days = [date(2026, 11, day) for day in range(1, 8)]
    below = [day for day in days if any(held.pieces < 0 for held in stock(moves, day))]
    assert (found.day if found else None) == (below[0] if below else None)
