"""Weather from files: every common spelling, every bad row told, nothing half taken."""

import contextlib
from datetime import date, datetime, timedelta

import numpy as np
import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.air.humidity import saturation_pressure, vapour_pressure
from planner.errors import TableError
from planner.weather.files import read_weather


def written(tmp_path, text, name="garden.csv", **how):
    """Write a file and return its path."""
    path = tmp_path / name
    path.write_text(text, **{"encoding": "utf-8", **how})
    return path


def hourly(first="2026-01-05T00:00", count=24, zone="", values="5.0,80"):
    """Return the text of an hourly table."""
    start = datetime.fromisoformat(first)
    rows = (f"{start + timedelta(hours=n):%Y-%m-%dT%H:%M}{zone},{values}" for n in range(count))
    return "\n".join(["time,temperature_c,rh_pct", *rows])


def test_an_hourly_table_is_a_day_of_its_place(tmp_path):
    """24 local hours, one day, vapour pressure from 80 % at 5 °C."""
    found = read_weather(written(tmp_path, hourly()), "Europe/Berlin")
    assert found.kind == "observed"
    assert found.days.day.astype(str).tolist() == ["2026-01-05"]
    assert found.days.hours.tolist() == [24]
    assert found.days.vapour_pressure[0] == pytest.approx(0.8 * saturation_pressure(5.0))


def test_times_with_an_offset_are_that_time(tmp_path):
    """24 hours of UTC are 23 of one Berlin day and one of the next."""
    found = read_weather(written(tmp_path, hourly(zone="Z")), "Europe/Berlin")
    assert found.days.hours.tolist() == [23, 1]
    found = read_weather(written(tmp_path, hourly(zone="+01:00")), "Europe/Berlin")
    assert found.days.hours.tolist() == [24]
    assert found.thin == 0


@pytest.mark.parametrize(
    "text",
    [
        "time;temperature_c;dew_point_c\n2026-01-05T00:00;5,5;1,5\n2026-01-05T01:00;6,5;1,5\n",
        "time\ttemperature_c\tdew_point_c\n2026-01-05 00:00\t5.5\t1.5\n2026-01-05 01:00\t6.5\t1.5",
        'time,temperature_c,dew_point_c\n2026-01-05T00:00,"5,5","1,5"\n2026-01-05T01:00,6.5,1.5\n',
        "sep=;\nTime;Temperature (°C);Dew point (°C)\n2026-01-05T00:00;5.5;1.5\n"
        "2026-01-05T01:00;6.5;1.5\n",
        "\ufefftime,temperature_c,dew_point_c\n\n2026-01-05T00:00,5.5,1.5\n2026-01-05T01:00,6.5,1.5",
        "time,temperature_f,dew_point_f\n2026-01-05T00:00,41.9,34.7\n2026-01-05T01:00,43.7,34.7\n",
        "note,dew_point_c,time,temperature_c\nx,1.5,2026-01-05T00:00,5.5\n,1.5,2026-01-05T01:00,6.5",
    ],
)
def test_the_spellings_of_tables_are_read_alike(tmp_path, text):
    """Delimiters, decimal commas, marks at the start, units, order, further columns."""
    days = read_weather(written(tmp_path, text), "Europe/Berlin").days
    assert days.hours.tolist() == [2]
    assert days.temperature[0] == pytest.approx(6.0)
    assert days.vapour_pressure[0] == pytest.approx(float(saturation_pressure(1.5)))


@pytest.mark.parametrize("encoding", ["utf-16", "cp1252", "utf-8-sig"])
def test_the_encodings_of_loggers_are_read(tmp_path, encoding):
    """A degree sign in the heading, however it is written."""
    text = "Time;Temperature (°C);RH (%)\n2026-01-05T00:00;5.5;80\n"
    path = written(tmp_path, text.replace("RH (%)", "rh_pct"), encoding=encoding)
    assert len(read_weather(path, "Europe/Berlin").days) == 1


def test_spreadsheets_are_read(tmp_path):
    """XLSX with real times; a day alone in ODS is covered by the same rows."""
    book = openpyxl.Workbook()
    book.active.append(["time", "temperature_c", "rh_pct"])
    for hour in range(24):
        book.active.append([datetime(2026, 1, 5, hour), 5.0, 80])  # noqa: DTZ001 (as a sheet has it)
    book.save(tmp_path / "garden.xlsx")
    days = read_weather(tmp_path / "garden.xlsx", "Europe/Berlin").days
    assert days.hours.tolist() == [24]


def test_a_daily_table_is_a_whole_day_a_row(tmp_path):
    """A date alone, humidity taken at the mean temperature."""
    text = "date,temperature_c,rh_pct\n2026-01-05,5.0,80\n2026-01-07,6.0,\n2026-01-06,7.0,70\n"
    days = read_weather(written(tmp_path, text), "Europe/Berlin").days
    assert days.day.astype(str).tolist() == ["2026-01-05", "2026-01-06"]
    assert days.hours.tolist() == [24, 24]
    assert days.vapour_pressure[1] == pytest.approx(float(vapour_pressure(70, 7.0)))


def test_a_day_twice_in_a_daily_table_is_told(tmp_path):
    """With its row."""
    text = "time,temperature_c,rh_pct\n2026-01-05,5.0,80\n2026-01-06,5.0,80\n2026-01-05,6.0,80\n"
    with pytest.raises(TableError, match='row 4, column "time": "2026-01-05"; each day once'):
        read_weather(written(tmp_path, text), "Europe/Berlin")


def test_every_bad_cell_is_told_with_row_and_column(tmp_path):
    """Five faults in one file, all at once; a row number is the spreadsheet's."""
    text = (
        "time,temperature_c,rh_pct,dew_point_c\n"
        "2026-01-05T00:00,5.0,80,\n"
        "yesterday,5.0,80,\n"
        "2026-01-05T02:00,105,80,\n"
        "\n"
        "2026-01-05T03:00,5.0,damp,\n"
        "2026-01-05T04:00,5.0,800,\n"
        "05/06/2026,5.0,80,99\n"
    )
    with pytest.raises(TableError) as told:
        read_weather(written(tmp_path, text), "Europe/Berlin")
    found = [(cell.row, cell.column, cell.found) for cell in told.value.cells]
    assert found == [
        (3, "time", "yesterday"),
        (4, "temperature_c", "105"),
        (6, "rh_pct", "damp"),
        (7, "rh_pct", "800"),
        (8, "time", "05/06/2026"),
        (8, "dew_point_c", "99"),
    ]
    assert "5 rows that can't be used; nothing was stored" in str(told.value)


def test_a_thousand_bad_rows_are_counted_after_twenty(tmp_path):
    """A wrong unit throughout doesn't fill the screen."""
    with pytest.raises(TableError, match=r"and 980 more\.") as told:
        read_weather(written(tmp_path, hourly(count=1000, values="500,80")), "Europe/Berlin")
    assert str(told.value).count("\n") == 21


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "is empty"),
        ("time,temperature_c,rh_pct\n", "no rows"),
        ("time,temperature_c\n2026-01-05,5\n", "needed are time, temperature_c"),
        ("when,temp,humidity\n2026-01-05,5,80\n", "the columns are when, temp, humidity"),
        ("time,rh_pct,rh_pct,temperature_c\n2026-01-05,5,80,3\n", "a column twice"),
        ("a\0b", "isn't a text file"),
    ],
)
def test_a_file_that_is_no_weather_table_is_refused_in_a_sentence(tmp_path, text, words):
    """What is there, and what is needed."""
    with pytest.raises(TableError, match=words):
        read_weather(written(tmp_path, text), "Europe/Berlin")


def test_a_file_that_is_not_there_or_no_spreadsheet_is_told(tmp_path):
    """One sentence each."""
    with pytest.raises(TableError, match="There is no file"):
        read_weather(tmp_path / "none.csv", "Europe/Berlin")
    cut = tmp_path / "garden.xlsx"
    cut.write_bytes(b"PK\x03\x04 no sheet")
    with pytest.raises(TableError, match="can't be read as a spreadsheet"):
        read_weather(cut, "Europe/Berlin")


def test_a_table_of_commas_is_read_whatever_its_ending(tmp_path):
    """What a file is stands in its first bytes; loggers call all sorts of things XLS."""
    path = written(tmp_path, "time,temperature_c,rh_pct\n2026-01-05,5,80\n", name="logger.xls")
    assert len(read_weather(path, "Europe/Berlin").days) == 1


def test_of_several_sheets_the_one_named_weather_is_read(tmp_path):
    """And said; a formula without its result is named, not passed over as empty."""
    book = openpyxl.Workbook()
    book.active.append(["something", "else"])
    sheet = book.create_sheet("Weather")
    sheet.append(["time", "temperature_c", "rh_pct"])
    sheet.append([date(2026, 1, 5), 5, 80])
    path = tmp_path / "garden.xlsx"
    book.save(path)
    found = read_weather(path, "Europe/Berlin")
    assert len(found.days) == 1
    assert found.notes == ('garden.xlsx: the sheet "Weather" was read.',)
    sheet.append([date(2026, 1, 6), "=B2+1", 80])
    book.save(path)
    with pytest.raises(TableError, match=r'row 3.*temperature_c.*"=B2\+1"'):
        read_weather(path, "Europe/Berlin")


def test_the_makers_own_headings_are_mapped(tmp_path):
    """As kept in the settings."""
    path = written(tmp_path, "Zeit;Temp;Feuchte\n2026-01-05T00:00;5;80\n")
    renamed = {"Zeit": "time", "temp": "temperature_c", "Feuchte": "rh_pct"}
    assert len(read_weather(path, "Europe/Berlin", renamed=renamed).days) == 1


@pytest.mark.parametrize(
    ("heading", "renamed", "celsius"),
    [
        ("time,Temp (°F),rh_pct", {"temp (°f)": "temperature_c"}, 5.0),
        ("time,Temp [ F ],rh_pct", {"Temp [ F ]": "temperature_c"}, 5.0),
        ("time,Luft Celsius,rh_pct", {"luft celsius": "temperature_f"}, 41.0),
        ("time,Sensor F,rh_pct", {"Sensor F": "temperature_c"}, 41.0),
        ("time,#,rh_pct", {"#": "temperature_f"}, 5.0),
    ],
)
def test_a_mapped_heading_that_says_its_unit_is_believed(tmp_path, heading, renamed, celsius):
    """As in the record's tables; a letter alone says nothing."""
    path = written(tmp_path, f"{heading}\n2026-01-05,41,80\n")
    days = read_weather(path, "UTC", renamed=renamed).days
    assert days.temperature.tolist() == pytest.approx([celsius])


def test_a_heading_may_be_passed_over_but_not_meant_twice(tmp_path):
    """Two sensors: the second is left out, or both are named."""
    path = written(tmp_path, "time,In,temperature_c,rh_pct\n2026-01-05,20,5,80\n")
    with pytest.raises(TableError, match=r'column twice[^!]*: "temperature_c"; each'):
        read_weather(path, "UTC", renamed={"In": "temperature_c"})
    both = {"In": "temperature_c", "temperature_c": ""}
    assert read_weather(path, "UTC", renamed=both).days.temperature.tolist() == [20.0]


def test_slashed_dates_are_read_by_the_order_said(tmp_path):
    """3/4/2026 is the 3rd of April, or the 4th of March, or refused."""
    path = written(tmp_path, "time,temperature_c,rh_pct\n3/4/2026 9:30,5,80\n")
    assert str(read_weather(path, "UTC", dates="dmy").days.day[0]) == "2026-04-03"
    assert str(read_weather(path, "UTC", dates="mdy").days.day[0]) == "2026-03-04"
    with pytest.raises(TableError, match="write 2026-04-03 or 2026-03-04, or say --dates dmy or"):
        read_weather(path, "UTC")


@pytest.mark.parametrize(
    ("written_as", "dates", "day"),
    [
        ("25/12/2026 9:30", "ymd", "2026-12-25"),
        ("5.1.26 09:30", "dmy", "2026-01-05"),
        ("2026-1-5 9:30", "ymd", "2026-01-05"),
        ("2026/01/05", "ymd", "2026-01-05"),
        ("5 Jan 2026", "ymd", "2026-01-05"),
        ("5 Jan 2026 09:30:00", "ymd", "2026-01-05"),
        ("2026-01-05T09", "ymd", "2026-01-05"),
        ("2026-01-05T23:30:00.000Z", "ymd", "2026-01-05"),
    ],
)
def test_days_are_read_as_in_the_tables_of_the_record(tmp_path, written_as, dates, day):
    """However a logger or a spreadsheet writes them, as long as it can be read one way only."""
    path = written(tmp_path, f'time,temperature_c,rh_pct\n"{written_as}",5,80\n')
    assert str(read_weather(path, "UTC", dates=dates).days.day[0]) == day


@pytest.mark.parametrize("fill", ["-999", "-9999.0", "", "NaN", "n/a", "999.9", "-99.9"])
def test_fill_numbers_and_empty_cells_are_gaps(tmp_path, fill):
    """Not 999 degrees, and no fault either."""
    text = hourly() + f"\n2026-01-06T00:00,{fill},80\n2026-01-06T01:00,5,{fill}\n"
    days = read_weather(written(tmp_path, text), "Europe/Berlin").days
    assert days.day.astype(str).tolist() == ["2026-01-05"]


def test_the_hour_that_comes_twice_counts_twice(tmp_path):
    """Berlin, 25 October 2026: 25 hours, the second 02:00 an hour after the first."""
    clock = [*range(3), 2, *range(3, 24)]
    rows = [f"2026-10-25T{hour:02}:00,5,80" for hour in clock]
    text = "\n".join(["time,temperature_c,rh_pct", *rows])
    found = read_weather(written(tmp_path, text), "Europe/Berlin")
    assert found.days.hours.tolist() == [25]
    assert found.notes == ("1 time told apart where the clock was set back",)


def test_the_hour_that_never_came_is_moved_and_told(tmp_path):
    """Berlin, 29 March 2026: a logger that kept winter time says 02:00."""
    found = read_weather(written(tmp_path, hourly("2026-03-29T00:00")), "Europe/Berlin")
    assert found.days.hours.tolist() == [23]
    assert found.notes == ("1 time that the clock skipped in spring moved to the hour after",)


@pytest.mark.parametrize("zone", ["Asia/Kolkata", "Asia/Kathmandu", "Australia/Adelaide"])
def test_a_day_of_a_half_hour_zone_has_its_24_hours(tmp_path, zone):
    """The clock there is 30 or 45 minutes off the full hours of UTC."""
    days = read_weather(written(tmp_path, hourly(count=48)), zone).days
    assert days.hours.tolist()[0] >= 23
    assert days.hours.sum() == 48
    assert len(days) == 2


@pytest.mark.parametrize(("hours", "thin"), [(18, 0), (17, 1)])
def test_eighteen_hours_are_a_day_and_seventeen_a_thin_one(tmp_path, hours, thin):
    """The limit itself."""
    assert read_weather(written(tmp_path, hourly(count=hours)), "Europe/Berlin").thin == thin


def test_a_station_that_reports_each_third_hour_covers_its_days(tmp_path):
    """Eight values a day, joined by lines; a day with a hole of six hours isn't covered."""
    text = hourly(count=72).splitlines()
    third = [text[0], *text[1::3]]
    days = read_weather(written(tmp_path, "\n".join(third)), "Europe/Berlin").days
    assert days.hours.tolist() == [24, 24, 22]
    del third[10:13]
    days = read_weather(written(tmp_path, "\n".join(third)), "Europe/Berlin").days
    assert days.hours[1] < 18


def test_ten_minute_values_are_hours_of_their_mean(tmp_path):
    """144 values, 24 hours."""
    rows = [f"2026-01-05T{n // 6:02}:{n % 6}0,{n % 6},80" for n in range(144)]
    text = "\n".join(["time,temperature_c,rh_pct", *rows])
    days = read_weather(written(tmp_path, text), "Europe/Berlin").days
    assert days.hours.tolist() == [24]
    assert days.temperature[0] == pytest.approx(2.5)


def test_days_after_today_are_left_out_and_counted(tmp_path):
    """The future isn't observed."""
    path = written(tmp_path, hourly(count=96))
    found = read_weather(path, "Europe/Berlin", last=date(2026, 1, 6))
    assert len(found.days) == 2
    assert found.notes == ("2 days after 2026-01-06 left out",)


def test_damp_beyond_saturation_is_cut_or_left_out(tmp_path):
    """102 % is fog; a dew point eight degrees over the temperature is no air."""
    text = hourly(values="5,102")
    found = read_weather(written(tmp_path, text), "Europe/Berlin")
    assert found.days.vapour_pressure[0] == pytest.approx(float(saturation_pressure(5.0)))
    assert found.notes == ("24 humidities slightly over 100 % taken as 100 %",)
    text = hourly(values="5,13").replace("rh_pct", "dew_point_c")
    found = read_weather(written(tmp_path, text), "Europe/Berlin")
    assert len(found.days) == 0
    assert found.notes == ("24 humidities that air can't have left out",)


@given(text=st.text(st.characters(codec="utf-8"), max_size=300))
@settings(max_examples=60, deadline=None)
def test_any_text_is_read_or_refused(tmp_path_factory, text):
    """No traceback, whatever stands in the file."""
    path = tmp_path_factory.getbasetemp() / "any.csv"
    path.write_bytes(b"time,temperature_c,rh_pct\n" + text.encode("utf-8", "replace"))
    try:
        days = read_weather(path, "Europe/Berlin").days
    except TableError:
        return
    assert np.isfinite(days.vapour_pressure).all()


CELLS = st.sampled_from(["5", "80", "-999", "", "1e400", "1_0", "٣", "2026-01-05T00:00", "∞", "-0"])


@given(rows=st.lists(st.tuples(CELLS, CELLS, CELLS), min_size=1, max_size=8))
@settings(max_examples=80, deadline=None)
def test_any_cells_are_sound_air_or_refused(tmp_path_factory, rows):
    """Numbers that Python would take and a maker never wrote are no numbers."""
    path = tmp_path_factory.getbasetemp() / "cells.csv"
    lines = ["time,temperature_c,rh_pct", *(",".join(row) for row in rows)]
    path.write_text("\n".join(lines), encoding="utf-8")
    try:
        days = read_weather(path, "Europe/Berlin").days
    except TableError:
        return
    assert ((days.vapour_pressure > 0) & (days.vapour_pressure < 8000)).all()


class PanicException(BaseException):
    """What the spreadsheet reader's own language throws over some damaged files."""


def test_a_damaged_spreadsheet_is_refused_whatever_the_reader_throws(tmp_path, monkeypatch):
    """No traceback; Ctrl-C stays Ctrl-C."""
    path = tmp_path / "logger.xlsx"
    openpyxl.Workbook().save(path)
    for thrown, caught in ((PanicException, TableError), (KeyboardInterrupt, KeyboardInterrupt)):

        def throw(*_args, thrown=thrown):
            raise thrown("index out of bounds")

        monkeypatch.setattr("python_calamine.CalamineWorkbook.from_filelike", throw)
        with pytest.raises(caught) as error:
            read_weather(path, "UTC")
        if caught is TableError:
            assert "it is damaged" in str(error.value)


def test_bytes_flipped_in_a_spreadsheet_are_refused_or_read(tmp_path):
    """Sixty files with noise in them: a table, or one sentence."""
    book = openpyxl.Workbook()
    for row in (["time", "temperature_c", "rh_pct"], ["2026-01-05T00:00", 5.0, 80.0]):
        book.active.append(row)
    sound = tmp_path / "logger.xlsx"
    book.save(sound)
    raw = sound.read_bytes()
    generator = np.random.default_rng(5)
    for _ in range(60):
        noisy = bytearray(raw)
        for at in generator.integers(0, len(raw), 8):
            noisy[at] = generator.integers(0, 256)
        sound.write_bytes(bytes(noisy))
        with contextlib.suppress(TableError):
            read_weather(sound, "UTC")
