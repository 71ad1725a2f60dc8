"""A drifting setting: against laws that any such filter keeps, and a straight line."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.watch.trend import DRIFT_SD, SET_SD, Trend, trend

WEEKS = st.floats(0.0, 20.0)


def anyhow() -> Trend:
    """A level and a drift known somehow, hanging together."""
    return Trend(np.array([0.59, -0.002]), np.array([[4e-5, -2e-6], [-2e-6, 9e-7]]))


@given(WEEKS, WEEKS)
def test_waiting_twice_is_waiting_once_as_long(first, then):
    """What is known after two waits doesn't hang on where they were parted.

    Chapman and Kolmogorov; the continuous trend is in Harvey (1989), ch. 9 (from memory).
    """
    twice, once = anyhow().after(first).after(then), anyhow().after(first + then)
    assert twice.mean == pytest.approx(once.mean)
    assert twice.covariance == pytest.approx(once.covariance)


@given(st.floats(0.001, 20.0))
def test_waiting_makes_unsure_and_moves_by_the_drift(weeks):
    """Own arithmetic: a level moves by drift times time; neither is known better for waiting."""
    later = anyhow().after(weeks)
    assert later.mean[0] == pytest.approx(0.59 - 0.002 * weeks)
    assert later.covariance[0, 0] > np.array([1, weeks]) @ anyhow().covariance @ [1, weeks]
    assert later.covariance[1, 1] > anyhow().covariance[1, 1]


def test_checks_close_together_are_a_regression():
    """Of one moment nothing wanders: Bayes' rule for a level, normal about the aim before."""
    values = np.array([0.600, 0.604, 0.596, 0.610])
    found = trend(np.zeros(4), values, aim=0.59, spread=0.008)
    precision = 1 / SET_SD**2 + 4 / 0.008**2
    mean = (0.59 / SET_SD**2 + values.sum() / 0.008**2) / precision
    assert found.mean == pytest.approx([mean, 0.0])
    assert found.covariance == pytest.approx(np.diag([1 / precision, DRIFT_SD**2]))


def test_without_checks_the_aim_is_what_is_known():
    """Nothing gauged: the setting's own doubt about the aim, and no drift."""
    found = trend(np.empty(0), np.empty(0), aim=0.59, spread=0.008)
    assert found.mean.tolist() == [0.59, 0.0]
