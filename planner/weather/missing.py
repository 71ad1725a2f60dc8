"""Which past days to ask for: those not stored, and those stored while still preliminary."""

from collections.abc import Iterable
from datetime import date, timedelta

from planner.weather.asked import Held

# The archives' newest two to three months are preliminary and later replaced.
PRELIMINARY_DAYS = 100
WORTH_ASKING = 60  # final days that wait, before a whole span is asked for again
NEAR_DAYS = 45  # two gaps this close are asked for as one
MOST_SPANS = 3  # more gaps than that are asked for as one span

Span = tuple[date, date]  # first and last day, both included


def missing_spans(held: Iterable[Held], first: date, last: date, today: date) -> list[Span]:
    """Return the spans to ask for, so that all days from *first* to *last* are stored."""
    kept = {entry.day: entry.fetched for entry in held}
    gaps = [day for day in _days(first, last) if day not in kept]
    outdated = [
        day
        for day, fetched in kept.items()
        if first <= day <= last and (fetched - day).days < PRELIMINARY_DAYS <= (today - day).days
    ]
    if len(outdated) >= WORTH_ASKING:
        gaps = sorted({*gaps, *outdated})
    return _joined(gaps)


def _joined(days: list[date]) -> list[Span]:
    spans: list[Span] = []
    for day in days:
        if spans and (day - spans[-1][1]).days <= NEAR_DAYS:
            spans[-1] = (spans[-1][0], day)
        else:
            spans.append((day, day))
    return spans if len(spans) <= MOST_SPANS else [(spans[0][0], spans[-1][1])]


def _days(first: date, last: date) -> Iterable[date]:
    return (first + timedelta(days=n) for n in range((last - first).days + 1))
