"""Weeks begin on Monday."""

from datetime import date, timedelta

WEEK = timedelta(days=7)


def monday_of(day: date) -> date:
    """Return the Monday of the week of *day*."""
    return day - timedelta(days=day.weekday())


def same_week(one: date, other: date) -> bool:
    """Return whether two days lie in one week."""
    return monday_of(one) == monday_of(other)
