"""What the verbs of the weather say."""

from datetime import UTC, date, datetime, timedelta

from planner.report.weather_words import GAPS_SHOWN, by_clock, shown_lines
from planner.report.words import day
from planner.weather.documents import Gap, Holding, Shown

DAY = timedelta(days=1)
FIRST = date(2026, 1, 1)
FETCHED = datetime(2026, 11, 23, 6, 0, tzinfo=UTC)


def test_the_longest_gaps_are_named_and_the_others_counted():
    """Longest first; how many there are and how many days they take in all."""
    gaps = [Gap(FIRST + 30 * n * DAY, FIRST + (30 * n + n) * DAY) for n in range(1, GAPS_SHOWN + 3)]
    held = Holding("NASA POWER", "observed", 300, 4, FIRST, FIRST + 364 * DAY, FETCHED, (*gaps,))
    shown = Shown("Bench", date(2026, 11, 23), (held,), None, FETCHED, ())
    text = " ".join(" ".join(shown_lines(shown, "dmy", blocks=True)).replace("\u00a0", " ").split())
    longest = gaps[-1]
    days = sum(gap.days for gap in gaps)
    between = f"{day(longest.first)} to {day(longest.last)}".replace("\u00a0", " ")
    assert f"{len(gaps)} gaps, {days} days missing: {between}" in text
    assert f"({longest.days} days)" in text
    assert "and 2 shorter ones" in text
    assert day(gaps[0].first).replace("\u00a0", " ") not in text


def test_days_are_written_the_makers_way_and_times_by_the_clock_of_the_place():
    """New York is five hours behind UTC in winter, so that its day may be the one before."""
    fetched = datetime(2026, 11, 23, 2, 5, tzinfo=UTC)
    held = Holding("NASA POWER", "observed", 300, 4, FIRST, FIRST + 299 * DAY, fetched, ())
    shown = Shown("Bench", date(2026, 11, 23), (held,), None, fetched, ())
    here = by_clock(shown, "America/New_York")
    text = " ".join(shown_lines(here, "mdy", width=500)).replace("\u00a0", " ")
    assert "Weather of Bench, as of Mon Nov 23 2026" in text
    assert "300 days, Thu Jan 1 2026 to Tue Oct 27 2026" in text
    assert "fetched Sun Nov 22 2026, 21:05" in text
    assert "Last brought in: Sun Nov 22 2026, 21:05" in text
    assert "Sun 2026-11-22, 21:05" in " ".join(shown_lines(here, "ymd", width=500)).replace(
        "\u00a0", " "
    )
