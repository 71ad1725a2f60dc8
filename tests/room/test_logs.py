"""Logs of rooms are read whatever their columns are called, and refused with a reason."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from room_headings import kind_of
from room_logs import UnreadableLog, read_log, tables_in

HOURS = 70 * 24
KNOWN = ("2025-01-01T00:00:00Z", 4.0, 80.0, 20.5, 41.0)


def plain() -> pd.DataFrame:
    """Seventy days of hours from 1 January 2025 on."""
    time = pd.date_range("2025-01-01", periods=HOURS, freq="h", tz="UTC")
    swing = np.sin(np.arange(HOURS) / 24 * 2 * np.pi)
    return pd.DataFrame(
        {
            "time": time.strftime("%Y-%m-%dT%H:%M:%SZ"),
            "outdoor_temperature_c": (4.0 + 3.0 * swing).round(2),
            "outdoor_rh_pct": (80.0 - 8.0 * swing).round(2),
            "indoor_temperature_c": (20.5 + swing).round(2),
            "indoor_rh_pct": (41.0 + 2.0 * swing).round(2),
        }
    )


def named(*names: str) -> pd.DataFrame:
    """The table with other headings."""
    return plain().set_axis(list(names), axis=1)


def fahrenheit() -> pd.DataFrame:
    """Degrees of Fahrenheit that only the values tell."""
    table = named("Date", "Outside temp", "Outside humidity", "Room temp", "Room humidity")
    for column in ("Outside temp", "Room temp"):
        table[column] = table[column] * 1.8 + 32
    return table


def share_of_one() -> pd.DataFrame:
    """Humidity from 0 to 1."""
    table = named("timestamp", "Tout", "RHout", "Tin", "RHin")
    table[["RHout", "RHin"]] /= 100
    return table


def two_columns_of_time() -> pd.DataFrame:
    """A date, day first, and an hour."""
    table = plain()
    time = pd.to_datetime(table.pop("time"))
    table.insert(0, "Date", time.dt.strftime("%d/%m/%Y"))
    table.insert(1, "Hour", time.dt.hour)
    return table


def seconds() -> pd.DataFrame:
    """Seconds since 1970, and columns in another order."""
    table = named("time", "t_ext", "rh_ext", "t_int", "rh_int")
    table["time"] = 1735689600 + 3600 * np.arange(HOURS)
    return table[["rh_int", "t_int", "time", "rh_ext", "t_ext"]]


def dew_point() -> pd.DataFrame:
    """A dew point in place of the humidity outdoors: the daily mean of 80 % at 4 °C is 0.8 °C."""
    table = plain().drop(columns="outdoor_rh_pct")
    table["outdoor_dewpoint_c"] = 0.84
    table["outdoor_temperature_c"] = 4.0
    return table


def three_a_day() -> pd.DataFrame:
    """A reading every eight hours, the clock's zone in the heading of the time."""
    table = named("t_UTC+2", "Te", "RHe", "T", "RH")
    return table.iloc[2::8]


def broken_rows() -> pd.DataFrame:
    """Rows that lack a value, carry a stand-in for it, come twice or out of order."""
    table = plain().astype(object)
    table.loc[5, "indoor_rh_pct"] = "NA"
    table.loc[6, "outdoor_temperature_c"] = -9999
    table.loc[7, "time"] = "?"
    table = pd.concat([table, table.iloc[100:150]])
    return table.iloc[::-1]


CASES = {
    "as asked for": plain(),
    "short names": named("time", "t_out", "rh_out", "t_in", "rh_in"),
    "camel case": named("DateTime", "OutdoorTemp", "OutdoorHumidity", "IndoorTemp", "IndoorRH"),
    "units in brackets": named(
        "Time", "Outdoor [°C]", "Outdoor [%]", "Living room (°C)", "Living room (%)"
    ),
    "the room unsaid": named("time", "outdoor_temp", "outdoor_rh", "temperature", "humidity"),
    "headings that don't tell": named("a", "b", "c", "d", "f"),
    "Fahrenheit": fahrenheit(),
    "a share of 1": share_of_one(),
    "date and hour": two_columns_of_time(),
    "seconds": seconds(),
    "dew point": dew_point(),
    "three readings a day": three_a_day(),
    "broken rows": broken_rows(),
}


@pytest.mark.parametrize("table", CASES.values(), ids=CASES.keys())
def test_a_log_is_read_however_it_is_written(table: pd.DataFrame, tmp_path: Path):
    """The same air comes out of all: means over the log, and its first day."""
    path = tmp_path / "room.csv"
    table.to_csv(path, index=False)
    log = read_log(path)
    assert str(log.humidity.index[0].date()) == "2025-01-01"
    assert len(log.humidity) in (69, 70)
    means = log.hours.mean()
    for name, value in zip(log.hours.columns, KNOWN[1:], strict=True):
        assert means[name] == pytest.approx(value, abs=0.4), name
    assert log.outdoor.vapour_pressure.mean() == pytest.approx(650, abs=15)


@pytest.mark.parametrize(
    ("separator", "decimal", "header"),
    [(";", ",", True), ("\t", ".", True), (",", ".", False), (";", ",", False)],
)
def test_separators_and_a_missing_heading(tmp_path, separator, decimal, header):
    """Semicolons with decimal commas, tabs, and no heading at all."""
    path = tmp_path / "room.txt"
    plain().to_csv(path, index=False, sep=separator, decimal=decimal, header=header)
    assert read_log(path).hours["indoor_pct"].mean() == pytest.approx(41.0, abs=0.1)


def test_a_spreadsheet_and_half_hours(tmp_path):
    """An XLSX file of rows every half hour gives the means of the hours."""
    table = plain()
    time = pd.to_datetime(table["time"]).dt.tz_localize(None)
    many = pd.concat(
        [table.assign(time=(time + pd.Timedelta(minutes=m))) for m in range(0, 60, 30)]
    )
    path = tmp_path / "room.xlsx"
    many.sort_values("time").to_excel(path, index=False)
    log = read_log(path)
    assert len(log.hours) == log.hours.index.nunique()
    assert log.hours["outdoor_c"].mean() == pytest.approx(4.0, abs=0.1)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "no table"),
        ("a,b\n1,2\n", "five columns"),
        ("time,x,y,z,u,v\n2025-01-01,1,2,3,4,5\n2025-01-02,1,2,3,4,5\n", "no column for outdoor_c"),
        ("time,t_out,rh_out,t_in,rh_in\nsoon,1,50,20,40\nlater,1,50,20,40\n", "can't be read"),
        (
            "time,t_out,rh_out,t_in,rh_in\n2025-01-01T00,1,50,20,40\n2025-01-01T01,1,50,20,40\n",
            "beside them on 1 day",
        ),
    ],
)
def test_what_is_no_log_is_refused_with_a_reason(tmp_path, text, words):
    """One sentence that says what is wrong."""
    path = tmp_path / "room.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(UnreadableLog, match=words):
        read_log(path)


@pytest.mark.parametrize(
    ("heading", "kind"),
    [
        ("T_o", "outdoor_c"),
        ("RHi", "indoor_pct"),
        ("te", "outdoor_c"),
        ("outdoor_t2m", "outdoor_c"),
        ("Relative Humidity Outside (%)", "outdoor_pct"),
        ("house outdoor temp", "outdoor_c"),
        ("Indoor dew point", "indoor_dew"),
        ("outdoor_absolute_humidity", None),
        ("feels like outside temp", None),
        ("indoor_co2", None),
        ("t_UTC+2", None),
        ("temperature", None),
    ],
)
def test_headings_are_told_apart(heading, kind):
    """What is something else, or doesn't say where, is left alone."""
    assert kind_of(heading) == kind


def test_tables_are_found_in_folders_within(tmp_path):
    """Anything that looks like a table counts, in any folder below; the rest doesn't."""
    (tmp_path / "within").mkdir()
    for name in ("b.csv", "a.TSV", "within/c.csv.gz", "notes.md"):
        (tmp_path / name).write_text("", encoding="utf-8")
    assert [path.name for path in tables_in(tmp_path)] == ["a.TSV", "b.csv", "c.csv.gz"]
