"""Whatever lies there and is wanted: a plan that adds up, and sentences for what can't be done."""

import re
from datetime import date

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from planner.history.ledger import PIECES_PER_TUBE
from planner.history.tables import CaneMove, Order
from planner.plan.calendar import Calendar
from planner.plan.preparation import Output, Record, prepare
from planner.plan.stock import stock_of

TODAY = date(2026, 11, 25)
STAGES = ("tube", "split", "gouged", "tied")
SENTENCE = re.compile(r'^["A-Z0-9].*[.]$', re.DOTALL)

classes = st.one_of(
    st.none(),
    st.tuples(st.integers(180, 240), st.integers(1, 20)).map(
        lambda pair: (pair[0] / 20, (pair[0] + pair[1]) / 20)
    ),
)
moves = st.lists(
    st.builds(
        lambda stage, pieces, diameters: CaneMove(
            date(2026, 9, 1), "supplier", stage, pieces, None, *(diameters or (None, None))
        ),
        st.sampled_from(STAGES),
        st.integers(1, 500),
        classes,
    ),
    max_size=8,
)
orders = st.lists(
    st.builds(
        Order,
        st.dates(date(2026, 10, 1), date(2027, 6, 1)),
        st.sampled_from(["Bench", "far ", "Nowhere"]),
        st.integers(0, 400),
    ),
    max_size=5,
)
outputs = st.builds(
    Output,
    st.sampled_from([0.0, 0.3, 7.0, 20.0, 500.0]),
    st.dictionaries(st.sampled_from(["Bench", "Far"]), st.one_of(st.none(), st.floats(0, 120))),
    st.one_of(st.none(), st.floats(1.0, 50.0)),
)
calendars = st.builds(
    Calendar,
    st.just(TODAY),
    st.sampled_from([0, 7, 14, 45, 200]),
    st.sampled_from([0, 21, 90]),
)


@pytest.fixture(scope="module")
def advices():
    """Advice for a bench and a far place that turns dry; made once."""
    return {}


@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(moves, orders, outputs, calendars)
def test_any_workshop_gets_a_plan_that_adds_up(
    advised, coming_of, advices, moves, orders, output, calendar
):
    """No piece sorted that isn't there, no day past, no range upside down, sentences throughout."""
    if not advices:
        far = coming_of([8.5] * 4)
        advices["all"] = [
            advised([8.5] * 4),
            advised([8.5, 7.5, 6.5, 6.5], place="Far", bench=far),
        ]
    found = prepare(advices["all"], Record(moves, orders), output, calendar)
    there = dict.fromkeys(STAGES, 0)
    for batch in stock_of(moves, TODAY):
        there[batch.stage] += batch.pieces
    for item in found.prepare:
        assert item.by >= TODAY
        assert item.pieces >= 1
        assert item.diameter_low_mm <= item.diameter_high_mm
        assert SENTENCE.match(item.words)
    if moves:
        taken_up = sum(item.pieces for item in found.prepare if item.action == "sort")
        # Each task may round a part of a piece up.
        assert taken_up <= there["tube"] + there["split"] + len(found.prepare)
    for line in found.stock:
        assert line.at_hand_pieces - line.surplus_pieces == line.needed_pieces - line.short_pieces
        assert line.surplus_pieces >= 0
    assert sum(line.at_hand_pieces for line in found.stock) == sum(there.values())
    for said in (*found.notes, *found.warnings, *(group.words for group in found.same_cane)):
        assert SENTENCE.match(said), said
        assert "nan" not in said
    unknown = sum(order.place == "Nowhere" for order in orders if order.week_start >= TODAY)
    assert sum("Nowhere" in warning for warning in found.warnings) >= (unknown > 0)
    for order in (item for item in found.prepare if item.action == "order"):
        assert order.pieces % PIECES_PER_TUBE == 0
