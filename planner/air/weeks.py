"""Weeks begin on Monday."""

from datetime import date, timedelta


def monday_of(day: date) -> date:
    """Return the Monday of the week of *day*."""
    return day - timedelta(days=day.weekday())
