"""The scores against a reference library, worked examples and their own definitions."""

import numpy as np
import properscoring
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import chisquare, norm
from sklearn.metrics import brier_score_loss

from planner.plan.scores import (
    brier,
    brier_parts,
    coverage,
    crps_members,
    crps_normal,
    pit_counts,
    pit_members,
)

MEMBERS = np.array([32.0, 35.0, 36.0, 38.0, 41.0, 44.0])
PROMISED = np.array([0.1, 0.2, 0.2, 0.4, 0.6, 0.7, 0.9, 0.9, 0.5, 0.3])
CAME = np.array([0, 0, 1, 0, 1, 1, 1, 0, 1, 0])


@pytest.mark.parametrize(
    ("seen", "mean", "deviation", "score"),
    [
        (0, 0, 1, 0.233695),
        (1, 0, 1, 0.602441),
        (-2, 0, 1, 1.452792),
        (0.9, 0.8, 0.1, 0.060244),
        (0.8, 0.8, 0.05, 0.011685),
        (30, 40, 5, 7.263959),
    ],
)
def test_the_crps_of_a_normal_forecast(seen, mean, deviation, score):
    """Gneiting & Raftery 2007, eq. 21; properscoring 0.1 and quadrature of the definition.

    CRPS = ∫ (F(x) - 1[x ≥ y])² dx, their eq. 20.
    """
    found = float(crps_normal(seen, mean, deviation))
    assert found == pytest.approx(score, abs=5e-7)
    assert found == pytest.approx(float(properscoring.crps_gaussian(seen, mean, deviation)))
    below = quad(lambda x: norm.cdf(x, mean, deviation) ** 2, mean - 12 * deviation, seen)[0]
    above = quad(lambda x: norm.sf(x, mean, deviation) ** 2, seen, mean + 12 * deviation)[0]
    assert found == pytest.approx(below + above, abs=1e-6)


def test_the_crps_of_members_is_that_of_the_reference_library():
    """Properscoring 0.1 for its ensemble form; both figures agree with scores 2.7.0."""
    assert float(crps_members(37.0, MEMBERS)) == pytest.approx(1.111111, abs=5e-7)
    assert float(crps_members(37.0, MEMBERS, fair=True)) == pytest.approx(0.666667, abs=5e-7)


@given(
    st.lists(st.floats(-50, 50), min_size=2, max_size=30),
    st.lists(st.floats(-60, 60), min_size=1, max_size=5),
)
def test_the_crps_of_any_members_is_that_of_the_reference_library(members, seen):
    """Properscoring 0.1, any members, several values at once."""
    forecasts = np.repeat(np.array(members)[:, None], len(seen), axis=1)
    expected = properscoring.crps_ensemble(np.array(seen), forecasts, axis=0)
    assert crps_members(seen, forecasts) == pytest.approx(expected, abs=1e-9)


def test_many_members_come_to_the_normal_score():
    """The even quantiles of a normal distribution score nearly as the distribution does."""
    members = norm.ppf((np.arange(2_000) + 0.5) / 2_000)
    assert float(crps_members(0.7, members)) == pytest.approx(
        float(crps_normal(0.7, 0, 1)), rel=1e-3
    )


def test_the_brier_score_and_its_parts():
    """Worked by hand after Murphy 1973: .2260 = .1260 - .1500 + .2500; scikit-learn for the sum."""
    parts = brier_parts(PROMISED, CAME)
    assert brier(PROMISED, CAME) == pytest.approx(0.2260)
    assert brier(PROMISED, CAME) == pytest.approx(brier_score_loss(CAME, PROMISED))
    assert (parts.reliability, parts.resolution, parts.uncertainty, parts.within) == pytest.approx(
        (0.1260, 0.1500, 0.2500, 0.0)
    )


@given(
    st.lists(
        st.tuples(st.floats(0, 1), st.integers(0, 1), st.integers(0, 3)), min_size=1, max_size=40
    )
)
def test_the_parts_add_up_in_any_groups(rows):
    """Brier = reliability - resolution + uncertainty + within, whatever the groups."""
    promised, came, groups = (np.array(column) for column in zip(*rows, strict=True))
    parts = brier_parts(promised, came, groups)
    total = parts.reliability - parts.resolution + parts.uncertainty + parts.within
    assert total == pytest.approx(brier(promised, came), abs=1e-12)
    assert min(parts.reliability, parts.resolution, parts.uncertainty) >= -1e-12


def test_coverage_counts_the_ends_in():
    """What lies on the limit lies within."""
    assert coverage([1.0, 2.0, 3.1, 5.0], [1.0, 0.0, 0.0, 0.0], [2.0, 2.0, 3.0, 9.0]) == 0.75


def test_where_among_the_members():
    """Below all, among them and above all; ties are halved."""
    members = np.array([1.0, 2.0, 2.0, 3.0])[:, None]
    found = pit_members(np.array([0.0, 2.0, 9.0]), np.repeat(members, 3, axis=1))
    assert found == pytest.approx([0.1, 0.5, 0.9])


def test_honest_forecasts_fall_evenly():
    """Values drawn as their members are: even counts, a chance that isn't small.

    2,000 draws of a fixed seed, 100 places that five parts share evenly; the mean of the place is
    within three standard errors of a half.
    """
    rng = np.random.default_rng(11)
    members, seen = rng.normal(size=(99, 2_000)), rng.normal(size=2_000)
    pit = pit_members(seen, members)
    assert pit.mean() == pytest.approx(0.5, abs=3 / np.sqrt(12 * 2_000))
    assert pit_counts(pit)[1] > 0.01


def test_too_narrow_forecasts_are_found_out():
    """Half the true spread: the ends are too full, and chance is ruled out."""
    rng = np.random.default_rng(12)
    pit = pit_members(rng.normal(size=200), 0.5 * rng.normal(size=(50, 200)))
    counts, chance = pit_counts(pit)
    assert counts[0] + counts[-1] > 100
    assert chance < 1e-6


def test_the_chance_is_pearsons():
    """scipy.stats.chisquare against even counts; nothing at all is no evidence."""
    pit = np.array([0.1] * 7 + [0.3] * 2 + [0.5] * 4 + [0.7] * 3 + [0.95] * 4)
    counts, chance = pit_counts(pit)
    assert counts.tolist() == [7, 2, 4, 3, 4]
    assert chance == pytest.approx(chisquare(counts).pvalue)
    assert pit_counts(np.empty(0))[1] == 1.0
