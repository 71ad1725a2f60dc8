"""The control charts against the worked examples of the handbooks."""

from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.watch.chart import CAREFUL_LIMIT, LIMIT, Cusum, ewma, ewma_half_width

# NIST/SEMATECH e-Handbook of Statistical Methods (2012), 6.3.2.4, "EWMA control charts".
NIST_EWMA_DATA = (
    "52.0 47.0 53.0 49.3 50.1 47.0 51.0 50.1 51.2 50.5 49.6 47.6 49.9 51.3 47.8 51.2 52.6 52.4 "
    "53.6 52.1"
)
NIST_EWMA = (
    "50.60 49.52 50.56 50.18 50.16 49.21 49.75 49.85 50.26 50.33 50.11 49.36 49.52 50.05 49.38 "
    "49.92 50.73 51.23 51.94 51.99"
)
# NIST/SEMATECH e-Handbook, 6.3.2.3, "CUSUM control charts" (data from memory).
NIST_CUSUM_DATA = (
    "324.925 324.675 324.725 324.350 325.350 325.225 324.125 324.525 325.225 324.600 324.625 "
    "325.150 328.325 327.250 327.825 328.500 326.675 327.775 326.875 328.350"
)
# Montgomery, Introduction to Statistical Quality Control, table 9.1 (data from memory).
MONTGOMERY_DATA = (
    "9.45 7.99 9.29 11.66 12.16 10.18 8.04 11.46 9.20 10.34 9.03 11.47 10.51 9.40 10.08 9.37 "
    "10.62 10.31 8.52 10.84 10.90 9.33 12.29 11.50 10.60 11.08 10.38 11.62 11.31 10.52"
)


def numbers(text: str) -> list[float]:
    """Read numbers parted by spaces."""
    return [float(word) for word in text.split()]


def cusum(values, *, aim: float, slack: float) -> SimpleNamespace:
    """Return both sums and their counts after each value."""
    sums = Cusum(slack)
    after = []
    for value in values:
        sums.add(value - aim)
        after.append((*sums.sums, *sums.counts))
    lower, upper, lower_count, upper_count = np.array(after, dtype=float).reshape(-1, 4).T
    return SimpleNamespace(
        lower=lower, upper=upper, lower_count=lower_count, upper_count=upper_count
    )


def test_the_ewma_is_that_of_the_handbook():
    """NIST/SEMATECH 6.3.2.4, λ 0.3, target 50; the page prints two decimals."""
    found = ewma(numbers(NIST_EWMA_DATA), start=50.0, weight=0.3)
    assert found == pytest.approx(numbers(NIST_EWMA), abs=0.0051)


def test_the_limits_of_the_ewma_are_those_of_the_handbook():
    """NIST/SEMATECH 6.3.2.4, s 2.0539, L 3: 52.5884 and 47.4115.

    The page rounds the factor 0.42008 to 0.4201, hence 0.0002. No point lies outside.
    """
    half = ewma_half_width(2.0539, weight=0.3, limit=3.0)
    assert (50 + half, 50 - half) == pytest.approx((52.5884, 47.4115), abs=2e-4)
    assert (np.abs(ewma(numbers(NIST_EWMA_DATA), start=50.0, weight=0.3) - 50) < half).all()


def test_the_cusum_is_that_of_the_handbook():
    """NIST/SEMATECH 6.3.2.3, aim 325, k 0.3175, h 4.1959: it signals first at point 14."""
    found = cusum(numbers(NIST_CUSUM_DATA), aim=325.0, slack=0.3175)
    upper = "0 0 0 0 0.03 0 0 0 0 0 0 0 3.01 4.94 7.45 10.63 11.99 14.44 16.00 19.04"
    lower = "0 0.01 0 0.33 0 0 0.56 0.72 0.17 0.25 0.31 0"
    assert found.upper == pytest.approx(numbers(upper), abs=0.0101)
    assert found.lower[:12] == pytest.approx(numbers(lower), abs=0.0101)
    assert int(np.argmax(found.upper > 4.1959)) + 1 == 14


def test_the_cusum_counts_back_to_the_shift():
    """Montgomery, table 9.1: C⁺ 5.28 at 29, seven samples after the shift; C⁻ at most 1.77."""
    found = cusum(numbers(MONTGOMERY_DATA), aim=10.0, slack=0.5)
    assert found.upper[28:] == pytest.approx([5.28, 5.30], abs=0.005)
    assert found.upper_count[28] == 7
    assert (float(found.lower.max()), int(found.lower.argmax()) + 1) == (pytest.approx(1.77), 3)


@given(
    st.lists(st.floats(-10, 10), min_size=1, max_size=40),
    st.floats(0.01, 1.0),
)
def test_the_average_stays_among_the_values(values, weight):
    """An average never leaves the span of its start and its values."""
    found = ewma(values, start=0.0, weight=weight)
    assert found.min() >= min(0.0, *values) - 1e-9
    assert found.max() <= max(0.0, *values) + 1e-9


@given(st.lists(st.floats(-10, 10), max_size=40))
def test_both_sums_mirror_each_other(values):
    """Turned about the aim, the upper sum becomes the lower one."""
    found, turned = (
        cusum(values, aim=0.0, slack=0.5),
        cusum([-v for v in values], aim=0.0, slack=0.5),
    )
    assert found.upper == pytest.approx(turned.lower)
    assert (found.upper_count == turned.lower_count).all()


@given(st.lists(st.integers(-3, 3), min_size=1, max_size=30))
def test_a_sum_counts_the_values_since_it_was_last_nought(values):
    """By the definition, from the sums alone; the first value counts as one."""
    found = cusum(values, aim=0.0, slack=0.5)
    for sums, counts in (
        (found.upper, found.upper_count),
        (found.lower, found.lower_count),
    ):
        for i, count in enumerate(counts):
            empty = np.flatnonzero(sums[: i + 1] == 0)
            assert count == (i - empty[-1] if len(empty) else i + 1)


@pytest.mark.parametrize("weight", [0.0, 1.01, -0.2])
def test_a_senseless_weight_is_refused(weight):
    """The weight must be above 0 and at most 1."""
    with pytest.raises(ValueError, match=f"weight of {weight:g}"):
        ewma([1.0], start=0.0, weight=weight)


def test_the_careful_limit_is_the_wider_one():
    """The limit for the sides calls less often than that for the centre."""
    assert ewma_half_width(0.01, limit=CAREFUL_LIMIT) > ewma_half_width(0.01, limit=LIMIT)
