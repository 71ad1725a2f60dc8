"""What one reed says: the smoothed likelihood against numeric integration, its slopes likewise."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import norm

from planner.opening.sites import between, measured

SLIP, DENSITY = 0.03, 1 / 1.5
RANGES = [(-np.inf, 0.7), (0.7, 0.95), (0.95, np.inf)]


def one(*values):
    """Arguments as arrays of one row."""
    return tuple(np.array([float(value)]) for value in values)


def smoothed(likelihood, m, v):
    """Integrate a likelihood of the expected opening over a normal belief about it."""
    sd = np.sqrt(v)
    edges = [m - 9 * sd, m + 9 * sd]
    return quad(lambda f: likelihood(f) * norm.pdf(f, m, sd), *edges, epsabs=1e-13, limit=200)[0]


@pytest.mark.parametrize("opening", [0.4, 0.8, 0.83, 1.9])
def test_a_reading_is_smoothed_over_the_belief(opening):
    """The integral over belief (sd 0.05) and reed (sd 0.08) together, slips among them."""
    noise, v, m = 0.08**2, 0.05**2, 0.81
    term = measured(*one(opening, m, v + noise), SLIP, DENSITY)
    sound = smoothed(lambda f: norm.pdf(opening, f, np.sqrt(noise)), m, v)
    assert term.log[0] == pytest.approx(np.log((1 - SLIP) * sound + SLIP * DENSITY), abs=1e-8)


@pytest.mark.parametrize(("low", "high"), RANGES)
@pytest.mark.parametrize("m", [0.5, 0.82, 1.3])
def test_a_verdict_is_smoothed_over_the_belief(low, high, m):
    """The integral of the chance of the verdict; a mistaken verdict is any of three."""
    noise, v = 0.08**2, 0.05**2
    term = between(*one(low, high, m, v + noise), SLIP)
    sd = np.sqrt(noise)
    inside = smoothed(lambda f: norm.cdf(high, f, sd) - norm.cdf(low, f, sd), m, v)
    assert term.log[0] == pytest.approx(np.log((1 - SLIP) * inside + SLIP / 3), abs=1e-8)


@given(
    m=st.floats(0.2, 1.5),
    sd=st.floats(0.03, 0.3),
    slip=st.sampled_from([0.0, 0.03]),
    which=st.integers(0, 3),
)
def test_slopes_and_curvatures_are_those_of_the_logarithm(m, sd, slip, which):
    """Central differences, wherever the belief lies."""

    def term(mean):
        if which == 3:
            return measured(*one(0.8, mean, sd**2), slip, DENSITY)
        return between(*one(*RANGES[which], mean, sd**2), slip)

    step = 1e-4 * sd
    before, here, after = term(m - step), term(m), term(m + step)
    scale = max(1.0, abs(here.slope[0]))
    assert here.slope[0] == pytest.approx(
        (after.log[0] - before.log[0]) / (2 * step), abs=1e-4 * scale / sd
    )
    assert -here.curvature[0] == pytest.approx(
        (after.slope[0] - before.slope[0]) / (2 * step), abs=1e-4 * scale / sd**2
    )


def test_far_out_nothing_overflows():
    """Forty spreads away logarithms are still right, and slips end the pull."""
    term = measured(*one(4.8, 0.8, 0.1**2), 0.0, DENSITY)
    assert term.log[0] == pytest.approx(norm.logpdf(4.8, 0.8, 0.1))
    assert term.slope[0] == pytest.approx(400.0)
    assert measured(*one(4.8, 0.8, 0.1**2), SLIP, DENSITY).slope[0] == 0.0
    open_reed = between(*one(0.95, np.inf, 0.2, 0.1**2), 0.0)
    assert open_reed.log[0] == pytest.approx(norm.logsf(7.5), rel=1e-9)
    assert np.isfinite(between(*one(0.95, np.inf, -9.0, 0.1**2), SLIP)).all()


def test_a_slip_of_the_pen_hardly_pulls():
    """A reading a whole mm off pulls less than one that is a spread off."""
    variance = 0.1**2
    near = measured(*one(0.9, 0.8, variance), SLIP, DENSITY).slope[0]
    far = measured(*one(1.8, 0.8, variance), SLIP, DENSITY).slope[0]
    assert 0 <= far < 0.01 * near
