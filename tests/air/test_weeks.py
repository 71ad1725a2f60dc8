"""Weeks begin on Monday, also where a year ends within one."""

from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from planner.air.weeks import monday_of, same_week


def test_the_week_about_new_year_is_one():
    """Thursday 2026-12-31 and Sunday 2027-01-03; the Sunday before and the Monday after aren't."""
    assert monday_of(date(2027, 1, 3)) == date(2026, 12, 28)
    assert same_week(date(2026, 12, 31), date(2027, 1, 3))
    assert not same_week(date(2026, 12, 27), date(2026, 12, 28))
    assert not same_week(date(2027, 1, 3), date(2027, 1, 4))


@given(st.dates(min_value=date(1900, 1, 1)), st.integers(0, 6))
def test_a_week_is_its_monday_and_the_six_days_after(day, more):
    """Whatever day is asked for."""
    monday = monday_of(day)
    assert monday.isoweekday() == 1
    assert 0 <= (day - monday).days <= 6
    later = date.fromordinal(min(day.toordinal() + more, date.max.toordinal()))
    assert same_week(day, later) == ((later - monday).days <= 6)
