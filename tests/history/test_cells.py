"""Cells as makers and spreadsheets write them: what they mean, and what is refused."""

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from planner.history.cells import BadValue, Reader, in_zone
from planner.history.tables import TABLES, TableLimits

REEDS, READINGS, CHECKS = TABLES["reeds"], TABLES["readings"], TABLES["checks"]
ORDERS, CANE = TABLES["orders"], TABLES["cane"]


@pytest.mark.parametrize(
    ("cell", "value"),
    [
        ("10.4", 10.4),
        ("10,4", 10.4),
        (" 10.4 mm", 10.4),
        (10.4, 10.4),
        (11, 11.0),
        ('0.41"', 10.414),
        ("0.41 in", 10.414),
        ("10.", 10.0),
        ("1.04e1", 10.4),
        ("", None),
        (None, None),
        (float("nan"), None),
        ("  ", None),
        ("-", None),
        (" N/A ", None),
    ],
)
def test_a_diameter_is_read(reader: Reader, cell: object, value: float | None):
    """Decimal point or comma, with its unit or bare."""
    assert reader.value(REEDS.column("diameter_mm"), cell) == value


@pytest.mark.parametrize(
    ("cell", "words"),
    [
        ("105", r"must be from 7\.6 to 13\.8 mm\. Was 10\.5 meant\?"),
        ("1040", r"Was 10\.4 meant\?"),
        ("1.04", r"Was 10\.4 meant\?"),
        ("410", "If it is in thousandths of an inch, say so in the heading"),
        ("0.41", r'If it is in inches, write 0\.41" or say so in the heading'),
        ("-10.4", r"must be from 7\.6"),
        ("tight", r"must be a number from 7\.6 to 13\.8 mm$"),
        ("10.4 cm?", r'"cm\?" after it is not understood'),
        ("22. May", "a spreadsheet may have made a date of it"),
        (True, "must be a number"),
        (float("inf"), "must be a number"),
        ("1_0", "must be a number"),
    ],
)
def test_a_wrong_diameter_is_refused_with_the_likely_slip(reader: Reader, cell: object, words: str):
    """Limits wider than the workshop's, and what was probably meant."""
    with pytest.raises(BadValue, match=words):
        reader.value(REEDS.column("diameter_mm"), cell)


@pytest.mark.parametrize(
    ("column", "said"),
    [
        ("rh_pct", "must be from 0 to 100 %"),
        ("temperature_c", "must be from -40 to 60 °C"),
    ],
)
def test_limits_are_told_with_the_unit_of_their_column(reader: Reader, column: str, said: str):
    """Not every number is of mm."""
    with pytest.raises(BadValue) as refused:
        reader.value(READINGS.column(column), "999999")
    assert str(refused.value) == said


def test_a_gouge_in_hundredths_is_told_what_was_meant(reader: Reader):
    """58 for 0.58."""
    with pytest.raises(BadValue, match=r"Was 0\.58 meant\?"):
        reader.value(REEDS.column("gouge_mm"), "58")


def test_limits_follow_the_workshop():
    """A maker of bassoon reeds is served as well: 24 mm tubes, gouged to 1.3 mm (invented)."""
    limits = TableLimits.about((23.0, 27.0), (1.2, 1.4), 1.2)
    assert limits.of("diameter") == (18.4, 32.4)
    assert limits.of("gouge") == (0.72, 2.1)
    assert limits.of("opening") == (0.0, 3.6)


@pytest.mark.parametrize(
    ("cell", "value"),
    [
        ("2026-11-02", date(2026, 11, 2)),
        ("2026/11/2", date(2026, 11, 2)),
        ("25.11.2026", date(2026, 11, 25)),
        ("11/25/2026", date(2026, 11, 25)),
        ("25/12/2025", date(2025, 12, 25)),
        ("12/25/2025", date(2025, 12, 25)),
        ("5/5/2026", date(2026, 5, 5)),
        ("3 Apr 2026", date(2026, 4, 3)),
        ("April 3, 2026", date(2026, 4, 3)),
        ("3. September 2026", date(2026, 9, 3)),
        (date(2026, 4, 3), date(2026, 4, 3)),
        (datetime(2026, 4, 3), date(2026, 4, 3)),  # noqa: DTZ001
        ("today", date(2026, 11, 25)),
        ("Yesterday", date(2026, 11, 24)),
    ],
)
def test_a_day_is_read(reader: Reader, cell: object, value: date):
    """Whatever can be read one way only."""
    assert reader.value(REEDS.column("date"), cell) == value


@pytest.mark.parametrize(
    ("cell", "words"),
    [
        ("03/04/2026", "2026-04-03 or 2026-03-04, or say --dates dmy or --dates mdy"),
        ("03.04.2026", "can be read two ways; write 2026-04-03 or 2026-03-04, or say --dates"),
        ("3/4/26", "the year needs four digits"),
        ("2026-02-30", "there is no such day"),
        ("2026-11-26", "must not lie after today, 2026-11-25"),
        ("0206-11-02", "from the year 1900"),
        (46351.0, "format the column as a date"),
        ("spring", "must be a date such as"),
        ("2026-11", "must be a date such as"),
        (datetime(2026, 4, 3, 8, 30), "must be a date such as"),  # noqa: DTZ001
    ],
)
def test_a_day_that_is_none_or_two_is_refused(reader: Reader, cell: object, words: str):
    """An ambiguous day is never guessed; the way out is named."""
    with pytest.raises(BadValue, match=words):
        reader.value(REEDS.column("date"), cell)


@pytest.mark.parametrize(("order", "day"), [("dmy", date(2026, 4, 3)), ("mdy", date(2026, 3, 4))])
def test_what_comes_first_can_be_said(reader: Reader, order: str, day: date):
    """--dates says how 03/04/2026 and 3/4/26 are read."""
    told = replace(reader, dates=order)
    assert told.value(REEDS.column("date"), "03/04/2026") == day
    assert told.value(REEDS.column("date"), "3/4/26") == day


def test_a_week_begins_on_a_monday(reader: Reader):
    """Another day is refused, with the Monday; weeks to come are fine."""
    column = ORDERS.column("week_start")
    assert reader.value(column, "2027-01-04") == date(2027, 1, 4)
    with pytest.raises(BadValue, match="the one of that week is 2026-11-30"):
        reader.value(column, "2026-12-02")


@pytest.mark.parametrize(
    ("cell", "moment"),
    [
        ("2026-07-01T08:00", datetime(2026, 7, 1, 6, tzinfo=UTC)),
        ("2026-07-01 8:00", datetime(2026, 7, 1, 6, tzinfo=UTC)),
        ("2026-07-01T08:00:00Z", datetime(2026, 7, 1, 8, tzinfo=UTC)),
        ("2026-07-01T08:00+05:30", datetime(2026, 7, 1, 2, 30, tzinfo=UTC)),
        ("25.07.2026 08:00", datetime(2026, 7, 25, 6, tzinfo=UTC)),
        ("2026-03-29 02:30", datetime(2026, 3, 29, 1, 30, tzinfo=UTC)),  # the hour that is skipped
        ("2026-10-25 02:30", datetime(2026, 10, 25, 0, 30, tzinfo=UTC)),  # of two, the first
        (datetime(2026, 1, 1, 8), datetime(2026, 1, 1, 7, tzinfo=UTC)),  # noqa: DTZ001
    ],
)
def test_a_time_without_an_offset_is_the_clock_of_the_place(
    reader: Reader, cell: object, moment: datetime
):
    """Berlin is two hours ahead of UTC in July, one in January."""
    point = reader.value(READINGS.column("time"), cell)
    assert isinstance(point, datetime)
    assert in_zone(point, "Europe/Berlin", reader.today) == moment


@pytest.mark.parametrize(
    "cell",
    [
        "2026-07-01",
        "08:00",
        "2026-07-01T25:00",
        "soon",
        0.5,
        datetime(1899, 12, 31, 8),  # noqa: DTZ001
    ],
)
def test_a_time_needs_its_day_and_its_hour(reader: Reader, cell: object):
    """The humidity of a room moves within a day."""
    with pytest.raises(BadValue, match="must be a time such as"):
        reader.value(READINGS.column("time"), cell)


def test_a_time_on_a_day_that_is_two_is_refused(reader: Reader):
    """As a day by itself is; and one past the end of all calendars is no time."""
    column = READINGS.column("time")
    with pytest.raises(BadValue, match="2026-04-03 or 2026-03-04, or say --dates dmy"):
        reader.value(column, "03/04/2026 08:00")
    point = reader.value(column, "9999-12-31T23:00-12:00")
    assert isinstance(point, datetime)
    with pytest.raises(BadValue, match="must be a time such as"):
        in_zone(point, "Europe/Berlin", reader.today)


def test_a_time_after_today_is_refused(reader: Reader):
    """Until the end of today there, not here."""
    last = datetime(2026, 11, 26, 4, 59, tzinfo=UTC)
    assert in_zone(last, "America/New_York", reader.today) == last
    with pytest.raises(BadValue, match="must not lie after today"):
        in_zone(last, "Europe/Berlin", reader.today)


def test_a_place_forgives_case_and_spacing_and_names_the_others(reader: Reader):
    """An unknown place is told the known ones."""
    column = REEDS.column("place")
    assert reader.value(column, "  far   BAY ") == "Far Bay"
    with pytest.raises(BadValue, match=r"must be a place of workshop\.toml: Bench Town, Far Bay"):
        reader.value(column, "Atlantis")


def test_a_choice_takes_its_words_and_the_makers_own(reader: Reader):
    """Case forgiven; anything else is told what may stand there."""
    column = REEDS.column("verdict")
    own = replace(reader, words={"verdict": {"flat": "closed"}})
    assert reader.value(column, " Good ") == "good"
    assert own.value(column, "FLAT") == "closed"
    with pytest.raises(BadValue, match=r"one of closed, good, open$"):
        reader.value(column, "flat")
    with pytest.raises(BadValue, match="or of your own words flat"):
        own.value(column, "wide")


@pytest.mark.parametrize(
    ("unit", "cell", "value"),
    [
        ("inch", "0.41", 10.414),
        ("hundredths", "1040", 10.4),
        ("cm", "1.04", 10.4),
        ("thousandths", "410", 10.414),
        ("hundredths", "10.4 mm", 10.4),
    ],
)
def test_a_bare_number_is_of_the_unit_that_was_said(
    reader: Reader, unit: str, cell: str, value: float
):
    """1 inch is 25.4 mm exactly; a unit in the cell itself wins."""
    told = replace(reader, units={"diameter_mm": unit})
    assert told.value(REEDS.column("diameter_mm"), cell) == value


def test_fahrenheit_is_read(reader: Reader):
    """68 °F is 20 °C."""
    column = READINGS.column("temperature_c")
    assert reader.value(column, "68 °F") == 20.0
    assert replace(reader, units={"temperature_c": "fahrenheit"}).value(column, "68") == 20.0


def test_a_count_is_whole(reader: Reader):
    """No half pieces, none for nothing."""
    column = CANE.column("pieces")
    assert reader.value(column, 40.0) == 40
    for cell in ("40.5", "0", "-3", "many"):
        with pytest.raises(BadValue, match="must be a whole number from 1"):
            reader.value(column, cell)


def test_text_is_kept_without_control_signs(reader: Reader):
    """Line ends become spaces; a lot that a spreadsheet made a number stays a word."""
    column = REEDS.column("note")
    assert reader.value(column, "two\nlines\x00 here ") == "two lines here"
    assert reader.value(REEDS.column("lot"), 12.0) == "12"
    assert reader.value(column, "-") == "-"
    with pytest.raises(BadValue, match="at most 1000 signs"):
        reader.value(column, "x" * 1001)
