"""Which cane for which week and place: the best of all ways, whole pieces, none twice."""

import subprocess
import sys
from itertools import product

import networkx
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.plan.allocation import (
    AS_GOOD,
    WORTH_BUYING,
    Allocation,
    Problem,
    allocate,
    greedy,
    routes_of,
    worth,
)
from planner.plan.transport import Routes, carried


def problem_of(supply, share, wanted, *, yields=1.0, ready=True, new=0.0, week=None):
    """A problem from short lists."""
    share = np.array(share, dtype=float)
    batches, needs = share.shape
    return Problem(
        np.array(supply, dtype=np.int64),
        np.broadcast_to(np.array(yields, dtype=float), (batches,)).copy(),
        share,
        np.broadcast_to(np.array(ready), (batches, needs)).copy(),
        np.array(wanted, dtype=float),
        np.broadcast_to(np.array(new, dtype=float), (needs,)).copy(),
        np.arange(needs) if week is None else np.array(week),
    )


@st.composite
def problems(draw, most=4):
    """Random small problems, with cane that comes too late and new cane to be had."""
    batches, needs = draw(st.integers(0, most)), draw(st.integers(1, most))

    def floats(low, high, *shape):
        count = int(np.prod(shape))
        found = draw(st.lists(st.floats(low, high), min_size=count, max_size=count))
        return np.array(found).reshape(shape)

    count = batches * needs
    ready = draw(st.lists(st.booleans(), min_size=count, max_size=count))
    return Problem(
        np.array(
            draw(st.lists(st.integers(0, 30), min_size=batches, max_size=batches)), dtype=np.int64
        ),
        floats(0.0, 1.0, batches),
        floats(0.0, 0.95, batches, needs),
        np.array(ready, dtype=np.bool_).reshape(batches, needs),
        np.round(floats(0.0, 12.0, needs)),
        floats(0.0, 0.9, needs) * (floats(0.0, 1.0, needs) > 0.5),
        np.arange(needs),
    )


def test_each_class_goes_where_it_fits_best():
    """Own arithmetic: taking the best cell first (0.9) would leave 0.1; the other way has 1.6."""
    found = allocate(problem_of([5, 5], [[0.9, 0.8], [0.8, 0.1]], [5, 5], week=[0, 0]))
    assert found.pieces.tolist() == [[0, 5], [5, 0]]


def test_cane_off_the_wanted_size_is_used_where_nothing_better_comes_in_time():
    """A poor share is better than no reed."""
    assert allocate(problem_of([4], [[0.2]], [4])).pieces.tolist() == [[4]]


def test_new_cane_is_bought_only_where_it_gains_enough():
    """At 0.05 better it isn't worth buying, at 0.3 better it is."""
    kept = allocate(problem_of([4, 4], [[0.75, 0.0], [0.0, 0.5]], [4, 4], new=0.8))
    assert kept.pieces.tolist() == [[4, 0], [0, 0]]
    assert kept.from_new.tolist() == [0.0, 4.0]


def test_what_is_further_on_is_used_first_and_the_nearest_week_served_first():
    """Two batches as good as each other, too few for both weeks."""
    found = allocate(problem_of([3, 3], [[0.8, 0.8], [0.8, 0.8]], [4, 4]))
    assert found.pieces.sum(axis=0).tolist() == [4, 2]
    assert found.pieces[0].tolist() == [3, 0]


def test_cane_that_cannot_be_finished_in_time_is_not_given():
    """The second week is served, the first goes without."""
    found = allocate(problem_of([9], [[0.9, 0.7]], [3, 3], ready=[[False, True]]))
    assert found.pieces.tolist() == [[0, 3]]


def test_yields_turn_reeds_into_pieces():
    """Own arithmetic: at 1 reed from 2 pieces, 5 reeds take 10 pieces."""
    assert allocate(problem_of([40], [[0.8]], [5], yields=0.5)).pieces.tolist() == [[10]]


@pytest.mark.parametrize("supply", [[], [0, 0], [5, 5]])
def test_nothing_to_give_or_nothing_wanted_is_no_trouble(supply):
    """Without cane, or without wants, nothing is given."""
    share = np.full((len(supply), 2), 0.8)
    found = allocate(problem_of(supply, share, [0, 0]))
    assert found.pieces.shape == (len(supply), 2)
    assert found.pieces.sum() == 0


def test_zero_yields_give_nothing():
    """Cane of which nothing ever came through isn't planned with."""
    assert allocate(problem_of([5], [[0.8]], [3], yields=0.0)).pieces.sum() == 0


def test_shapes_that_do_not_fit_are_refused():
    """Misuse by our own code names the shapes."""
    with pytest.raises(ValueError, match=r"shares \(1, 2\)"):
        problem_of([1, 2], [[0.5, 0.5]], [1, 1]).__class__(
            np.array([1, 2]), np.ones(2), np.ones((1, 2)), np.ones((2, 2), bool),
            np.ones(2), np.zeros(2), np.arange(2),
        )  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(problems())
def test_no_piece_is_used_twice_and_none_is_made_up(problem):
    """What is given of a batch is at most what lies there, and only where it is ready."""
    found = allocate(problem)
    assert (found.pieces >= 0).all()
    assert (found.pieces.sum(axis=1) <= problem.supply).all()
    assert (found.pieces[~problem.ready] == 0).all()
    assert (found.from_new >= 0).all()
    assert (found.from_new[problem.new_share <= WORTH_BUYING] == 0).all()


@settings(max_examples=60, deadline=None)
@given(problems())
def test_no_need_is_given_more_than_it_wants_but_for_the_last_piece(problem):
    """Each batch may round its last piece up, no more."""
    found = allocate(problem)
    made = found.pieces * problem.yields[:, None]
    assert (made.sum(axis=0) <= problem.wanted + problem.yields.sum() + 1e-6).all()


@settings(max_examples=200, deadline=None)
@given(problems())
def test_it_is_never_worse_than_the_greedy_rule(problem):
    """Whole pieces and all, shares weighed in the plan's own steps: never, not by a hair."""
    found, plain = allocate(problem), greedy(problem)
    least = worth(problem, plain, in_steps=True)
    assert worth(problem, found, in_steps=True) >= least - 1e-9


@settings(max_examples=60, deadline=None)
@given(problems())
def test_the_steps_cost_less_than_a_step_of_each_reed(problem):
    """What is given up for a steady plan: under AS_GOOD of a reed, and half for its rounding."""
    tolerated = 1.5 * AS_GOOD * problem.wanted.sum()
    assert worth(problem, allocate(problem)) >= worth(problem, greedy(problem)) - tolerated - 1e-9


@pytest.mark.parametrize("seed", range(10))
def test_with_cane_in_plenty_no_need_goes_short_for_the_rounding(seed):
    """Every class lies there in plenty: each need gets whole pieces enough."""
    generator = np.random.default_rng(seed)
    share = generator.uniform(0.3, 0.9, (5, 12))
    problem = problem_of([400] * 5, share, generator.integers(1, 9, 12), yields=0.31)
    made = (allocate(problem).pieces * problem.yields[:, None]).sum(axis=0)
    assert (made >= problem.wanted - 1e-9).all()


@settings(max_examples=40, deadline=None)
@given(problems())
def test_the_same_problem_has_the_same_answer(problem):
    """The list doesn't change while nothing changes."""
    first, second = allocate(problem), allocate(problem)
    assert (first.pieces == second.pieces).all()


@settings(max_examples=40, deadline=None)
@given(problems(most=2))
def test_it_is_as_good_as_the_best_of_all_ways(problem):
    """Every way of giving up to 4 pieces of two batches to two needs is tried.

    Weighed in the plan's steps, whole pieces may cost one for each need.
    """
    small = Problem(
        np.minimum(problem.supply, 4),
        problem.yields,
        problem.share,
        problem.ready,
        np.minimum(problem.wanted, 4),
        problem.new_share * 0.0,
        problem.week,
    )
    batches, needs = small.share.shape
    best = 0.0
    for cells in product(range(5), repeat=batches * needs):
        pieces = np.array(cells, dtype=np.int64).reshape(batches, needs) * small.ready
        if (pieces.sum(axis=1) <= small.supply).all():
            best = max(best, worth(small, Allocation(pieces, np.zeros(needs)), in_steps=True))
    rounding = float(small.yields.max(initial=0.0)) * needs
    assert worth(small, allocate(small), in_steps=True) >= best - rounding - 1e-9


def simplex_best(routes: Routes, unit: float, gain: float) -> float:
    """The most that can be gained, by networkx' network simplex on whole units and gains."""
    graph = networkx.DiGraph()
    supply = np.rint(routes.supply / unit).astype(int).tolist()
    demand = np.rint(routes.demand / unit).astype(int).tolist()
    whole = np.rint(routes.first / gain).astype(int).tolist()
    total = sum(demand)
    graph.add_node("cane", demand=-total)
    graph.add_node("end", demand=total)
    graph.add_edge("cane", "end", weight=0)
    for source, units in enumerate(supply):
        graph.add_edge("cane", ("batch", source), capacity=units, weight=0)
    for route, (source, sink) in enumerate(zip(routes.source, routes.sink, strict=True)):
        begins = "cane" if source < 0 else ("batch", int(source))
        middle = ("route", route)  # a dealer may serve a need beside a batch
        graph.add_edge(begins, middle, weight=-whole[route])
        graph.add_edge(middle, ("need", int(sink)), weight=0)
    for sink, units in enumerate(demand):
        graph.add_edge(("need", sink), "end", capacity=units, weight=0)
    cost, _ = networkx.network_simplex(graph)
    return -cost * unit * gain


@pytest.mark.parametrize("seed", range(16))
def test_the_linear_programme_agrees_with_network_simplex(seed):
    """An independent solver: minimum cost flow by networkx (network simplex, in whole numbers).

    Yields are twentieths, steps and what buying costs hundredths: both are whole in those units,
    so the two must reach the same value.
    """
    generator = np.random.default_rng(seed)
    batches, needs = 6, 9
    problem = problem_of(
        generator.integers(0, 25, batches),
        generator.uniform(0.05, 0.95, (batches, needs)),
        generator.integers(0, 15, needs),
        yields=generator.integers(1, 20, batches) / 20,
        ready=generator.random((batches, needs)) > 0.3,
        new=generator.uniform(0.0, 0.9, needs) * (generator.random(needs) > 0.5),
        week=np.sort(generator.integers(0, 5, needs)),
    )
    routes = routes_of(problem)
    units = carried(routes)
    assert units @ routes.first == pytest.approx(simplex_best(routes, 0.05, 0.01), rel=1e-9)


@pytest.mark.parametrize("seed", range(8))
def test_the_second_objective_costs_nothing_of_the_first(seed):
    """Gains of few sizes leave many ways as good: the order chooses among these alone."""
    generator = np.random.default_rng(seed)
    routes = Routes(
        source=np.repeat(np.arange(5), 7),
        sink=np.tile(np.arange(7), 5),
        first=generator.integers(1, 3, 35) / 10,
        then=generator.normal(0, 5, 35),
        supply=generator.integers(1, 12, 5).astype(float),
        demand=generator.integers(1, 9, 7).astype(float),
    )
    plain = Routes(**{**vars(routes), "then": np.zeros(35)})
    units = carried(routes)
    assert units @ routes.first == pytest.approx(simplex_best(routes, 1.0, 0.1), rel=1e-9)
    assert units @ routes.then >= carried(plain) @ routes.then - 1e-9
    sent = np.zeros((5, 7))
    sent[routes.source, routes.sink] = units
    assert (sent.sum(axis=1) <= routes.supply + 1e-9).all()
    assert (sent.sum(axis=0) <= routes.demand + 1e-9).all()


@pytest.mark.parametrize("seed", range(6))
def test_a_tiny_change_of_the_shares_does_not_turn_the_plan_over(seed):
    """Shares that all move by less than 2 in 1000 within a step leave every piece in its place."""
    generator = np.random.default_rng(seed)
    steps = 0.8 - AS_GOOD * (generator.integers(0, 8, (6, 10)) + 0.5)
    steps[generator.integers(0, 6, 10), np.arange(10)] = 0.8
    supply, wanted = generator.integers(5, 30, 6), generator.integers(2, 9, 10)
    plain = allocate(problem_of(supply, steps, wanted, yields=0.5))
    moved = steps + generator.uniform(-0.002, 0.002, steps.shape)
    again = allocate(problem_of(supply, moved, wanted, yields=0.5))
    assert (plain.pieces == again.pieces).all()


def test_without_cane_to_deal_out_no_solver_is_loaded():
    """A workshop that keeps no stock doesn't wait for it."""
    program = (
        "import sys, numpy as np\n"
        "from planner.plan.allocation import Problem, allocate\n"
        "none = np.zeros(0)\n"
        "allocate(Problem(none.astype(int), none, np.zeros((0, 1)), np.zeros((0, 1), bool),\n"
        "    np.ones(1), np.full(1, 0.8), np.zeros(1, int)))\n"
        "assert 'scipy.optimize' not in sys.modules"
    )
    subprocess.run([sys.executable, "-c", program], check=True)
