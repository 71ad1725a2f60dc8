"""Reeds that hang together: against a reference library, and in simulated seasons."""

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given
from hypothesis import strategies as st

from planner.plan.clusters import (
    chance_of_nought,
    cluster_error,
    clusters_of,
    effective_number,
)


@given(
    st.lists(st.tuples(st.floats(-3, 3), st.integers(0, 5)), min_size=6, max_size=40).filter(
        lambda rows: len({cluster for _, cluster in rows}) > 1
    )
)
def test_the_error_is_that_of_the_reference_library(rows):
    """Statsmodels' regression on a constant, with its cluster-robust covariance."""
    values = np.array([value for value, _ in rows])
    clusters = np.array([cluster for _, cluster in rows])
    fit = sm.OLS(values, np.ones(len(values))).fit(
        cov_type="cluster", cov_kwds={"groups": clusters}
    )
    error, count = cluster_error(values, clusters)
    assert error == pytest.approx(float(np.sqrt(fit.cov_params()[0, 0])), abs=1e-9)
    assert count == len(set(clusters.tolist()))


def test_values_by_themselves_have_the_usual_error():
    """Each a cluster of its own: the standard deviation over the root of their number."""
    values = np.random.default_rng(1).normal(size=30)
    error, _ = cluster_error(values, np.arange(30))
    assert error == pytest.approx(values.std(ddof=1) / np.sqrt(30))
    assert effective_number(values) == pytest.approx(30)


def test_values_alike_within_clusters_count_as_their_clusters():
    """Six lots of five reeds that came out alike tell as much as six reeds."""
    values = np.repeat(np.random.default_rng(2).normal(size=6), 5)
    clusters = np.repeat(np.arange(6), 5)
    assert effective_number(values, clusters) == pytest.approx(6, abs=0.5)
    assert chance_of_nought(values, clusters) > chance_of_nought(values)


def test_values_somewhat_alike_lose_by_the_design_effect():
    """Kish, *Survey Sampling* (1965), ch. 5: of clusters of m, n values count n / (1 + (m - 1) ρ).

    500 lots of four reeds, half of the variance of lots, ρ 1/2: 2,000 count as 800. The variance
    of a mean of 500 lots is known to 6 in 100.
    """
    rng = np.random.default_rng(6)
    lot = np.repeat(np.arange(500), 4)
    values = rng.normal(size=500)[lot] + rng.normal(size=2_000)
    assert effective_number(values, lot) == pytest.approx(800, rel=0.15)


def test_reeds_without_a_lot_are_by_themselves():
    """An empty name is no name; days are named by themselves."""
    found = clusters_of(np.array(["a", "", "a", "", "b"]))
    assert len(set(found.tolist())) == 4
    assert found[0] == found[2]
    weeks = np.array(["2026-01-05", "2026-01-05", "2026-01-12"], dtype="datetime64[D]")
    assert clusters_of(weeks).tolist() == [0, 0, 1]


@pytest.mark.parametrize("values", [[], [0.3], [0.0, 0.0, 0.0]])
def test_nothing_is_proved_by_nothing(values):
    """No reed, one reed, or none off: no evidence either way."""
    values = np.array(values, dtype=float)
    assert chance_of_nought(values, np.zeros(len(values), np.int64)) == 1.0
    assert effective_number(values, np.zeros(len(values), np.int64)) == len(values)


def test_one_lot_alone_tells_nothing_of_lots():
    """Where all reeds are of one lot, weeks still tell; the lot is left aside."""
    rng = np.random.default_rng(3)
    weeks = np.repeat(np.arange(8), 4)
    values = rng.normal(size=8)[weeks] + rng.normal(size=32)
    lot = np.zeros(32, np.int64)
    assert chance_of_nought(values, weeks, lot) == chance_of_nought(values, weeks)


def wrong(rng: np.random.Generator) -> tuple[bool, bool]:
    """Return whether a right plan is called wrong, reeds taken together and by themselves.

    A season of 100 reeds in 20 weeks and 6 lots: openings off by a week's room and a lot, each
    as large as half a reed's own spread; a third of the reeds miss in the mean.
    """
    week = np.sort(rng.integers(0, 20, 100))
    lot = week * 6 // 20
    off = rng.normal(0, 0.5, 20)[week] + rng.normal(0, 0.5, 6)[lot] + rng.normal(0, 1.0, 100)
    good = np.abs(off) < 1.186  # 2 in 3 of a normal distribution of spread 1.2247
    missed = good - 2 / 3
    return chance_of_nought(missed, week, lot) < 0.05, chance_of_nought(missed) < 0.05


def test_a_right_plan_is_called_wrong_as_rarely_as_stated():
    """In at most 5 of 100 seasons; 1,000 of them, two standard errors of that are 1.4."""
    rng = np.random.default_rng(4)
    together, alone = np.mean([wrong(rng) for _ in range(1_000)], axis=0)
    assert together <= 0.05 + 0.014
    assert alone > together
