"""From values and days to places in a picture."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.report.scales import Calendar, Scale, nice_step, widened

VALUES = st.floats(-1e4, 1e4)


def test_a_scale_puts_its_ends_at_its_ends():
    """Upwards in a picture is downwards in numbers."""
    scale = Scale(20.0, 40.0, 128.0, 0.0)
    assert [scale(v) for v in (20, 30, 40)] == [128.0, 64.0, 0.0]


def test_what_lies_beyond_is_held_at_the_end():
    """No mark leaves its picture."""
    scale = Scale(0.0, 1.0, 10.0, 20.0)
    assert (scale(-3), scale(7)) == (10.0, 20.0)


def test_a_scale_of_one_value_puts_it_in_the_middle():
    """No division by nothing."""
    assert Scale(5.0, 5.0, 0.0, 10.0)(5.0) == 5.0


@pytest.mark.parametrize(
    ("low", "high", "ticks"),
    [
        (0, 100, (0, 20, 40, 60, 80, 100)),
        (0.58, 0.62, (0.58, 0.59, 0.6, 0.61, 0.62)),
        (0.5, 1.25, (0.6, 0.8, 1.0, 1.2)),
        (3, 3, (3,)),
    ],
)
def test_ticks_are_round(low, high, ticks):
    """Own arithmetic: steps of 1, 2, 2.5 or 5 times a power of ten."""
    assert Scale(low, high, 0, 1).ticks() == pytest.approx(ticks)


@given(VALUES, st.floats(1e-3, 1e4), st.integers(2, 9))
def test_ticks_lie_within_and_are_about_as_many_as_asked(low, width, about):
    """Never more than asked for and one, never outside."""
    scale = Scale(low, low + width, 0.0, 1.0)
    ticks = scale.ticks(about)
    assert len(ticks) <= about + 1
    assert all(low - 1e-6 * width - 1e-6 <= t <= low + width * (1 + 1e-6) + 1e-6 for t in ticks)


@given(st.floats(1e-6, 1e6), st.integers(1, 10))
def test_a_nice_step_divides_into_at_most_so_many(width, about):
    """And into more than a third as many: the steps are at most 2.5 times apart."""
    step = nice_step(width, about)
    assert about / 2.51 <= width / step <= about * (1 + 1e-6)


def test_no_width_has_a_step_all_the_same():
    """A history of one value."""
    assert nice_step(0.0, 4) == 1.0


def test_a_range_is_stretched_outwards_to_whole_steps():
    """Own arithmetic."""
    assert widened(22.0, 33.0, least=5.0, step=5.0) == (20.0, 35.0)
    assert widened(0.8, 0.8, least=0.2, step=0.05) == pytest.approx((0.7, 0.9))


@given(VALUES, st.floats(0, 1e3), st.floats(0.1, 50), st.sampled_from([0.05, 0.5, 5.0]))
def test_a_stretched_range_holds_what_it_was_made_for(low, width, least, step):
    """And is at least as wide as asked."""
    first, last = widened(low, low + width, least=least, step=step)
    assert first <= low + 1e-6
    assert last >= low + width - 1e-6
    assert last - first >= least - 1e-6


def test_days_lie_evenly_and_are_held_within():
    """Ten days over a hundred."""
    days = Calendar(date(2026, 1, 1), date(2026, 1, 11), 0.0, 100.0)
    assert days(date(2026, 1, 2)) == 10.0
    assert days(date(2025, 1, 1)) == 0.0
    assert days(date(2027, 1, 1)) == 100.0


def test_a_calendar_of_one_day_is_no_trouble():
    """The first reed."""
    assert Calendar(date(2026, 1, 1), date(2026, 1, 1), 5.0, 9.0)(date(2026, 1, 1)) == 5.0


def test_months_begin_within_the_scale():
    """Own calendar."""
    days = Calendar(date(2026, 11, 23), date(2027, 2, 14), 0.0, 1.0)
    assert days.months() == (date(2026, 12, 1), date(2027, 1, 1), date(2027, 2, 1))


@given(st.dates(date(1950, 1, 1), date(2050, 1, 1)), st.integers(0, 40_000), st.integers(1, 14))
def test_months_are_thinned_to_what_fits(first, length, most):
    """From a day to a century: never more than fit, always within."""
    days = Calendar(first, first + timedelta(days=length), 0.0, 1.0)
    months = days.months(most)
    assert len(months) <= most
    assert all(days.first <= when <= days.last and when.day == 1 for when in months)
