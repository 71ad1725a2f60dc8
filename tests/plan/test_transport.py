"""The transportation problem: the most of the first gain, and of the second among those ways."""

import numpy as np
import pytest

from planner.plan.transport import Routes, carried


def routes(first: list[float], then: list[float], supply: list[float]) -> Routes:
    """Two sources to two sinks of two units each, all joined."""
    return Routes(
        source=np.array([0, 0, 1, 1]),
        sink=np.array([0, 1, 0, 1]),
        first=np.array(first),
        then=np.array(then),
        supply=np.array(supply),
        demand=np.array([2.0, 2.0]),
    )


def test_units_go_where_they_gain_most():
    """Own arithmetic: 3 and 1 units; 0 to 0 and 1 to 1 gain most, the third fills what is left."""
    found = carried(routes([0.9, 0.5, 0.4, 0.8], [0.0] * 4, [3.0, 1.0]))
    assert found == pytest.approx([2.0, 1.0, 0.0, 1.0])


def test_the_second_gain_chooses_among_equals():
    """All ways gain the same at first: then crosswise, as the second has it."""
    found = carried(routes([0.5] * 4, [0.0, 1.0, 1.0, 0.0], [2.0, 2.0]))
    assert found == pytest.approx([0.0, 2.0, 2.0, 0.0])


def test_the_second_gain_never_costs_of_the_first():
    """However much it would bring."""
    found = carried(routes([0.9, 0.5, 0.5, 0.9], [0.0, 99.0, 99.0, 0.0], [2.0, 2.0]))
    assert found == pytest.approx([2.0, 0.0, 0.0, 2.0])


def test_a_source_without_number_never_runs_out():
    """What is bought: -1 fills what no stock does."""
    bought = Routes(
        source=np.array([0, -1]),
        sink=np.array([0, 0]),
        first=np.array([0.9, 0.6]),
        then=np.zeros(2),
        supply=np.array([1.0]),
        demand=np.array([5.0]),
    )
    assert carried(bought) == pytest.approx([1.0, 4.0])


def test_where_nothing_may_go_anywhere_nothing_goes():
    """No route at all is no trouble for the solver."""
    none = np.zeros(0)
    number = np.zeros(0, np.int64)
    found = carried(Routes(number, number, none, none, np.ones(2), np.ones(3)))
    assert found is not None
    assert found.shape == (0,)
