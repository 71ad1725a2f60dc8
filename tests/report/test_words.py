"""How figures, days and doubt are written."""

from datetime import date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.report import words


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        (words.mm(10.4), "10.40\u00a0mm"),
        (words.mm(0.585, 3), "0.585\u00a0mm"),
        (words.fine_mm(0.59), "0.59\u00a0mm"),
        (words.fine_mm(0.585), "0.585\u00a0mm"),
        (words.fine(0.5904), "0.59"),
        (words.number(-0.001), "0.00"),
        (words.number(-0.25), "−0.25"),
        (words.signed(0.25), "+0.25"),
        (words.signed(-0.25), "−0.25"),
        (words.signed(0.001), "0.00"),
        (words.span(10.25, 10.5), "10.25–10.50\u00a0mm"),
        (words.span(10.4, 10.4), "10.40\u00a0mm"),
        (words.span(-1, 2, 0, "°C"), "−1 to 2\u00a0°C"),
        (words.percent(41.4), "41\u00a0%"),
        (words.in_100(0.824), "82 in\u00a0100"),
        (words.in_100(0.001), "fewer than 1 in\u00a0100"),
        (words.in_100(0.999), "more than 99 in\u00a0100"),
        (words.temperature(20), "20\u00a0°C"),
        (words.temperature(20, fahrenheit=True), "20\u00a0°C (68\u00a0°F)"),
        (words.counted(1, "piece"), "1\u00a0piece"),
        (words.counted(2000, "reed"), "2,000\u00a0reeds"),
        (words.counted(2, "class", "classes"), "2\u00a0classes"),
        (words.listed(("a", "b", "c")), "a, b and c"),
        (words.listed(("a",)), "a"),
        (words.listed(()), ""),
        (words.weather_word("mixed"), "forecast, then past years"),
        (words.clean("St\x00 <Mary>\n\x1b[31m"), "St <Mary> [31m"),
    ],
)
def test_figures_are_written_as_a_maker_reads_them(written: str, expected: str):
    """Units hold on to their numbers; doubt is counted in hundreds."""
    assert written == expected


@pytest.mark.parametrize(
    ("order", "long", "short"),
    [
        ("dmy", "Mon 30 Nov 2026", "30 Nov"),
        ("mdy", "Mon Nov 30 2026", "Nov 30"),
        ("ymd", "Mon 2026-11-30", "11-30"),
    ],
)
def test_days_cannot_be_misread(order: str, long: str, short: str):
    """No day is two numbers with a stroke between."""
    when = date(2026, 11, 30)
    assert words.day(when, order).replace("\u00a0", " ") == long
    assert words.short_day(when, order).replace("\u00a0", " ") == short
    assert words.week_of(when, order).replace("\u00a0", " ") == f"week of {long}"


def test_a_moment_has_its_time():
    """Day first, then the clock."""
    when = datetime(2026, 11, 30, 14, 5)  # noqa: DTZ001 - a place's own clock
    assert words.moment(when).replace("\u00a0", " ") == "Mon 30 Nov 2026, 14:05"


@pytest.mark.parametrize(
    ("days", "said"),
    [
        (0, "today"),
        (1, "tomorrow"),
        (5, "in 5\u00a0days"),
        (-1, "yesterday"),
        (-3, "3\u00a0days ago"),
    ],
)
def test_how_far_off_a_day_is(days: int, said: str):
    """Near days have names."""
    today = date(2026, 11, 23)
    assert words.days_from(today, date.fromordinal(today.toordinal() + days)) == said


@given(st.dates())
def test_a_day_is_the_calendars_day(when: date):
    """Against the standard library, for any day (weekday names: own table)."""
    weekday, number, month, year = words.day(when).split("\u00a0")
    assert (int(number), int(year)) == (when.day, when.year)
    assert words.WEEKDAYS.index(weekday) == when.weekday()
    assert words.MONTHS.index(month) == when.month - 1


@given(st.text())
def test_cleaned_text_has_no_control_characters(text: str):
    """And cleaning twice changes nothing."""
    cleaned = words.clean(text)
    assert cleaned.isprintable() or "\u00a0" in cleaned
    assert words.clean(cleaned) == cleaned


@pytest.mark.parametrize(
    ("text", "order", "said"),
    [
        (
            "(2026-11-23, 2026-11-24 and 3 days more)",
            "dmy",
            "(Mon 23 Nov 2026, Tue 24 Nov 2026 and",
        ),
        ("to 2026-11-23.", "mdy", "to Mon Nov 23 2026."),
        ("after 2026-11-23; none", "ymd", "after Mon 2026-11-23; none"),
        ("forecast-Saltreed-2026-11-23.csv: none", "dmy", "forecast-Saltreed-2026-11-23.csv: none"),
        ("2026-11-23.csv and 2026-11-23T08:00", "dmy", "2026-11-23.csv and 2026-11-23T08:00"),
        ("part 2026-13-45", "dmy", "part 2026-13-45"),
    ],
)
def test_days_of_a_sentence_are_written_the_makers_way(text: str, order: str, said: str):
    """Those of names of files, and what only looks like a day, stay as they are."""
    assert said in words.dated(text, order).replace("\u00a0", " ")
