"""What the verbs of the weather say."""

from datetime import UTC, date, datetime, timedelta

from planner.report.weather_words import GAPS_SHOWN, shown_lines
from planner.weather.documents import Gap, Holding, Shown

DAY = timedelta(days=1)
FIRST = date(2026, 1, 1)
FETCHED = datetime(2026, 11, 23, 6, 0, tzinfo=UTC)


def test_the_longest_gaps_are_named_and_the_others_counted():
    """Longest first; how many there are and how many days they take in all."""
    gaps = [Gap(FIRST + 30 * n * DAY, FIRST + (30 * n + n) * DAY) for n in range(1, GAPS_SHOWN + 3)]
    held = Holding("NASA POWER", "observed", 300, 4, FIRST, FIRST + 364 * DAY, FETCHED, (*gaps,))
    shown = Shown("Bench", date(2026, 11, 23), (held,), None, FETCHED, ())
    text = " ".join(" ".join(shown_lines(shown, blocks=True)).replace("\u00a0", " ").split())
    longest = gaps[-1]
    days = sum(gap.days for gap in gaps)
    assert f"{len(gaps)} gaps, {days} days missing: {longest.first} to {longest.last}" in text
    assert f"({longest.days} days)" in text
    assert "and 2 shorter ones" in text
    assert str(gaps[0].first) not in text
