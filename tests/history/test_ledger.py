"""The ledger of cane: stock on a day, and what can't be."""

import itertools
from dataclasses import replace
from datetime import date

import networkx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.history.ledger import (
    Shortage,
    Stock,
    _settled,
    changes,
    first_shortage,
    overlap,
    stock,
)
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


@pytest.mark.parametrize(
    ("bought", "taken"),
    [
        ((10.0, 10.5), (10.0, 10.25)),  # sorted more finely than bought
        ((None, None), (10.0, 10.25)),  # bought unsorted
        ((10.0, 10.6), (10.5, 10.75)),  # the maker's classes cross those of the supplier
        ((10.0, 10.25), (10.0, 10.5)),  # noted more coarsely later
        ((10.0, 10.25), (None, None)),  # noted without a diameter
        ((10.0, 10.5), (10.5, 10.5)),  # one diameter, at the limit
        ((10.4, 10.4), (10.25, 10.5)),
    ],
)
def test_a_class_draws_on_one_that_it_overlaps(bought, taken):
    """As makers buy, sort and note; what is left is left of the class bought."""
    bought_moves = replace(BOUGHT, diameter_low_mm=bought[0], diameter_high_mm=bought[1])
    out = CaneMove(NEXT, "tube", "split", 15, None, *taken)
    assert short(bought_moves, out) is None
    assert Stock(*bought, "tube", 25) in stock([bought_moves, out], NEXT)
    assert Stock(*taken, "split", 45) in stock([bought_moves, out], NEXT)


@pytest.mark.parametrize("taken", [(10.5, 10.75), (9.5, 10.0), (11.0, 11.0)])
def test_a_class_draws_on_none_beside_it(taken):
    """The shortage names the class, and what lies there instead."""
    out = CaneMove(NEXT, "tube", "split", 15, None, *taken)
    left = (Stock(10.0, 10.5, "tube", 40),)
    assert short(BOUGHT, out) == Shortage(NEXT, "tube", taken, 15, left)


def test_the_first_class_does_not_take_what_only_the_second_could_have():
    """Two supplies of 10, two takings of 10: each can be covered, though one by one way only."""
    other = replace(BOUGHT, pieces=10, diameter_low_mm=10.25, diameter_high_mm=10.75)
    both = CaneMove(NEXT, "tube", "split", 10, None, 10.25, 10.5)
    one = CaneMove(NEXT, "tube", "split", 10, None, 10.0, 10.25)
    assert short(replace(BOUGHT, pieces=10), other, both, one) is None


BOUNDS = st.tuples(st.integers(0, 6), st.integers(0, 6)).map(
    lambda pair: (10 + min(pair) / 4, 10 + max(pair) / 4)
) | st.just((None, None))
SUMS = st.dictionaries(BOUNDS, st.integers(-9, 9), max_size=7)


@given(SUMS)
def test_what_is_short_is_what_no_giving_could_cover(sums):
    """Maximum flow of networkx from the classes that hold something to those below nothing."""
    graph = networkx.DiGraph()
    graph.add_nodes_from(("have", "need"))
    for bounds, count in sums.items():
        if count > 0:
            graph.add_edge("have", ("have", bounds), capacity=count)
        elif count < 0:
            graph.add_edge(("need", bounds), "need", capacity=-count)
    for one, other in itertools.product(sums, sums):
        if sums[one] > 0 > sums[other] and overlap(one, other):
            graph.add_edge(("have", one), ("need", other))
    covered = networkx.maximum_flow_value(graph, "have", "need")
    wanted = sum(-count for count in sums.values() if count < 0)
    settled = _settled(sums)
    assert sum(-count for count in settled.values() if count < 0) == wanted - covered
    assert sum(settled.values()) == sum(sums.values())


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
