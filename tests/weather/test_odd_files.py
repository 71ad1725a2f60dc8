"""Weather files that were fuzzed into trouble: times out of the calendar, typical years cut up."""

from pathlib import Path

import pytest

from planner.errors import TableError
from planner.weather.files import read_weather

EPW_HEADING = "LOCATION,Station,,,,,50,8,1,100\n" + "more\n" * 7


def refusal(path: Path, text: str) -> str:
    """What is said of a file that can't be used."""
    path.write_text(text, newline="")
    with pytest.raises(TableError) as refused:
        read_weather(path, "Europe/Berlin")
    return str(refused.value)


@pytest.mark.parametrize(
    "when",
    [
        "0001-01-01T00:00",
        "0001-01-01T00:00+14:00",
        "9999-12-31T23:00-12:00",
        "0001-01-01",
        "1899-12-31",
        "2200-01-01T00:00",
    ],
)
@pytest.mark.parametrize("before", ["", "2026-01-05T00:00,5,80\n"])
def test_a_time_out_of_the_calendar_is_a_bad_cell(tmp_path: Path, when: str, before: str):
    """In UTC it may lie before the first year there is, or after the last."""
    said = refusal(tmp_path / "a.csv", f"time,temperature_c,rh_pct\n{before}{when},5,80\n")
    assert f'row {3 if before else 2}, column "time": "{when}"' in said
    assert "from the year 1900" in said


@pytest.mark.parametrize(
    ("name", "text", "words"),
    [
        ("a.epw", "x" * 200_000 + "\n" * 9, "a.epw can't be read as rows of weather"),
        ("a.csv", '"x\nDate (MM/DD/YYYY),Time (HH:MM)\n', "a.csv, row 1: there is a quotation"),
        ("a.csv", "x\x0bDate (MM/DD/YYYY),Time (HH:MM)\n", "a.csv"),
        ("a.csv", "x\nDate (MM/DD/YYYY),Time (HH:MM)\n", 'no column "Dry-bulb (C)"'),
        ("a.epw", EPW_HEADING + "2001,2,30,1,0,?,5,1,80\n", "day 30 of month 2 is none"),
        ("a.epw", EPW_HEADING + "2001,1.5,3,1,0,?,5,1,80\n", "month 1.5 is none"),
        ("a.epw", EPW_HEADING + "2001,13,3,1,0,?,5,1,80\n", "month 13 is none"),
        ("a.epw", EPW_HEADING + "2001,1,3,25,0,?,5,1,80\n", "hour 25 is none"),
        ("a.epw", EPW_HEADING + "2001,nan,3,1,0,?,5,1,80\n", "month nan is none"),
    ],
)
def test_a_typical_year_that_is_none_is_refused_in_a_sentence(
    tmp_path: Path, name: str, text: str, words: str
):
    """Cut up, or with days that no calendar has: those went to another month."""
    assert words in refusal(tmp_path / name, text)


def test_the_29th_of_february_of_a_typical_year_is_left_out(tmp_path: Path):
    """Its February may come from a leap year."""
    path = tmp_path / "a.epw"
    days = [(2, 28), (2, 29), (3, 1)]
    path.write_text(
        EPW_HEADING
        + "".join(f"2000,{m},{d},{h},0,?,5,1,80\n" for m, d in days for h in range(1, 25))
    )
    assert [str(day) for day in read_weather(path, "UTC").days.day] == ["2001-02-28", "2001-03-01"]


def test_of_ten_thousand_columns_the_first_are_named(tmp_path: Path):
    """A wall of names hides what is needed."""
    text = ",".join(f"c{number}" for number in range(10_000)) + "\n1\n"
    assert len(refusal(tmp_path / "a.csv", text)) < 600
