"""How long the charts take to call: against the published table, and simulated."""

import csv
from pathlib import Path

import numpy as np
import pytest

from planner.watch.chart import CAREFUL_LIMIT, LIMIT, WEIGHT, ewma, ewma_half_width
from planner.watch.run_length import drift_run_length, run_length

TABLE = Path(__file__).parents[1] / "published" / "ewma_run_lengths.csv"


def published() -> list[dict[str, float]]:
    """Read the rows of the published table."""
    lines = [line for line in TABLE.read_text().splitlines() if not line.startswith("#")]
    return [{key: float(value) for key, value in row.items()} for row in csv.DictReader(lines)]


@pytest.mark.parametrize("row", published())
def test_run_lengths_are_those_of_the_published_table(row):
    """Lucas & Saccucci (1990), as in Montgomery, *Statistical Quality Control*, table 9.11.

    The table prints whole numbers from 100 on, else one decimal; its limits have three decimals,
    which moves a run length of 500 by 0.6.
    """
    found = run_length(row["shift"], limit=row["limit"], weight=row["weight"])
    assert found == pytest.approx(row["checks"], abs=0.6 if row["checks"] >= 100 else 0.1)


@pytest.mark.parametrize(("checks", "limit"), [(100, LIMIT), (370, CAREFUL_LIMIT)])
def test_the_limits_used_give_the_run_lengths_they_state(checks, limit):
    """No limit of three decimals comes nearer."""
    off = abs(run_length(0.0, limit=limit) - checks)
    assert off < 0.002 * checks
    for other in (limit - 0.001, limit + 0.001):
        assert off < abs(run_length(0.0, limit=other) - checks)


@pytest.mark.parametrize(("shift", "checks"), [(0.0, 100.0), (0.5, 19.5), (1.0, 7.0), (2.0, 2.9)])
def test_simulated_charts_take_as_long_as_stated(shift, checks):
    """2,000 charts drawn with our own EWMA: within three standard errors of the run length."""
    rng = np.random.default_rng(20261125)
    charts, length = 2_000, 1_500
    half = ewma_half_width(1.0)
    average, calls = np.zeros(charts), np.full(charts, length)
    for check in range(1, length + 1):
        average = WEIGHT * rng.normal(shift, 1.0, charts) + (1 - WEIGHT) * average
        calls = np.where((np.abs(average) > half) & (calls == length), check, calls)
    error = calls.std() / np.sqrt(charts)
    assert calls.mean() == pytest.approx(checks, abs=3 * error + 0.05)


def test_the_simulated_recursion_is_the_charts_own():
    """The recursion simulated above gives what :func:`ewma` gives."""
    values = np.random.default_rng(3).normal(size=20)
    average = 0.0
    for value in values:
        average = WEIGHT * value + (1 - WEIGHT) * average
    assert ewma(values, start=0.0)[-1] == pytest.approx(average)


@pytest.mark.parametrize(("drift", "checks"), [(0.02, 27), (0.05, 16), (0.1, 11), (0.2, 7.3)])
def test_a_slow_drift_is_called_after_as_many_checks_as_simulated(drift, checks):
    """Own simulation of 200,000 charts, λ 0.2, L 2.36; to its last digit."""
    assert drift_run_length(drift, limit=LIMIT) == pytest.approx(checks, abs=0.5)


def test_a_drift_that_is_a_shift_at_once_is_called_at_once():
    """A drift of many spreads a check is called by the first or second check."""
    assert drift_run_length(20.0, limit=LIMIT) == pytest.approx(1.0)
