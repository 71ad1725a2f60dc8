"""The search for the highest point of a smooth surface."""

import numpy as np
import pytest

from planner.opening.search import highest

WIDE = (np.full(2, -10.0), np.full(2, 10.0))


def valley(vector):
    """Rosenbrock's valley turned upside down, its top of 0 at (1, 1)."""
    x, y = vector
    height = -((1 - x) ** 2) - 100 * (y - x**2) ** 2
    return height, np.array([2 * (1 - x) + 400 * x * (y - x**2), -200 * (y - x**2)])


def hill(vector):
    """Return a round hill with its top at (3, -2)."""
    away = vector - np.array([3.0, -2.0])
    return -0.5 * float(away @ away), -away


def test_finds_the_top_of_a_curved_valley():
    """H. H. Rosenbrock, 1960, *The Computer Journal* 3:175, from its customary start."""
    found = highest(valley, np.array([-1.2, 1.0]), WIDE, np.eye(2), close=1e-9, steps=200)
    assert found.settled
    assert found.vector == pytest.approx([1.0, 1.0], abs=1e-3)


def test_stays_within_bounds():
    """A top outside is approached as far as the bounds allow."""
    bounds = (np.array([-1.0, -1.0]), np.array([1.0, 1.0]))
    found = highest(hill, np.zeros(2), bounds, np.eye(2), close=1e-6, steps=50)
    assert found.settled
    assert found.vector == pytest.approx([1.0, -1.0])


def test_says_that_it_ran_out_of_steps():
    """Two steps don't reach the end of the valley."""
    assert not highest(valley, np.array([-1.2, 1.0]), WIDE, np.eye(2), close=1e-9, steps=2).settled


def test_turns_back_from_what_is_out_of_reach():
    """A height of -inf beyond a border is no step up."""

    def torn(vector):
        return hill(vector) if vector[0] < 2.5 else (-np.inf, np.zeros(2))

    found = highest(torn, np.zeros(2), WIDE, 4 * np.eye(2), close=1e-6, steps=50)
    assert 2.0 < found.vector[0] < 2.5
    assert not found.settled


def test_nothing_to_search_is_settled_at_once():
    """No unknowns: the start is the top."""
    nothing = np.empty(0)
    found = highest(
        lambda v: (0.0, v), nothing, (nothing, nothing), np.empty((0, 0)), close=1e-6, steps=5
    )
    assert found.settled


def test_learns_the_curvature_on_its_way():
    """On a quadratic surface the inverse comes near that of its curvature."""
    bend = np.array([[5.0, 1.0], [1.0, 2.0]])
    found = highest(
        lambda v: (-0.5 * float(v @ bend @ v), -bend @ v),
        np.array([3.0, -4.0]),
        WIDE,
        np.eye(2),
        close=1e-12,
        steps=50,
    )
    assert found.inverse == pytest.approx(np.linalg.inv(bend), rel=0.05)
