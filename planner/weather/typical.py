"""Typical years: EPW and TMY3 files, one year of hours put together from many.

Their months come from different years, so the days are kept without a year of their own (dated
into 2001) and marked as a typical year, never as observed days.
"""

import csv
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

import numpy as np

from planner.air.days import Days
from planner.air.humidity import Floats
from planner.errors import TableError
from planner.sheets.read import read_text
from planner.weather.columns import number_of
from planner.weather.globe import Point
from planner.weather.hours import Hours, days_of, mended, vapour_of

NOMINAL_YEAR = 2001  # any year without a 29 February
TMY3_HEADING = ["Date (MM/DD/YYYY)", "Time (HH:MM)"]
TMY3_COLUMNS = ("Dry-bulb (C)", "Dew-point (C)", "RHum (%)")
EPW_HEADING_LINES = 8
# Columns of an EPW data row, counted from 0: month, day, hour (1 is the hour to one o'clock), dry
# bulb and dew point [°C], relative humidity [%]. EnergyPlus, Auxiliary Programs, "EnergyPlus
# Weather File (EPW) Data Dictionary".
EPW_COLUMNS = (1, 2, 3, 6, 7, 8)
EPW_MISSING = (99.9, 99.9, 999.0)  # the same dictionary


def is_typical(path: Path) -> bool:
    """Return whether a file is a typical year, by its suffix or its heading."""
    if path.suffix.lower() == ".epw":
        return True
    if path.suffix.lower() != ".csv":
        return False
    return any(row[:2] == TMY3_HEADING for row in islice(_rows(path), 1, 2))


@dataclass(frozen=True)
class TypicalYear:
    """The days of a typical year, what was mended, and where its station stands."""

    days: Days
    notes: tuple[str, ...]
    station: Point | None


def read_typical(path: Path) -> TypicalYear:
    """Read a typical year.

    Raises
    ------
    TableError
        If the file isn't a whole one of its kind.
    """
    rows = list(_rows(path))
    if path.suffix.lower() == ".epw":
        table = _numbers(rows[EPW_HEADING_LINES:], EPW_COLUMNS, path.name, EPW_HEADING_LINES + 1)
        for column, missing in enumerate(EPW_MISSING, start=3):
            table[table[:, column] == missing, column] = np.nan
    else:
        table = _tmy3(rows, path.name)
    days, notes = _days(table, path.name)
    return TypicalYear(days, notes, _station(rows))


def _rows(path: Path) -> Iterator[list[str]]:
    try:
        yield from csv.reader(io.StringIO(read_text(path), newline=""))
    except csv.Error as error:
        raise TableError(f"{path.name} can't be read as rows of weather: {error}.") from error


def _station(rows: list[list[str]]) -> Point | None:
    """Return where the station stands: in the first row of both kinds, in other columns."""
    first = rows[0] if rows else []
    start = 6 if first[:1] == ["LOCATION"] else 4
    here = [number_of(cell) for cell in first[start : start + 2]]
    if len(here) < 2 or here[0] is None or here[1] is None:
        return None
    sound = abs(here[0]) <= 90.0 and abs(here[1]) <= 180.0
    return (here[0], here[1]) if sound else None


def _tmy3(rows: list[list[str]], name: str) -> Floats:
    heading = rows[1]
    for head in TMY3_COLUMNS:
        if head not in heading:
            raise TableError(f'{name} looks like TMY3, but has no column "{head}".')
    wanted = [heading.index(head) for head in TMY3_COLUMNS]
    return _numbers([_in_order(row, wanted) for row in rows[2:]], range(6), name, 3)


def _in_order(row: list[str], wanted: list[int]) -> list[str]:
    """Return a row of TMY3 as month, day, hour and what is wanted; short where it is cut short."""
    if len(row) <= max(wanted):
        return row[:1]
    return [*row[0].split("/")[:2], row[1].split(":")[0], *(row[i] for i in wanted)]


def _numbers(
    rows: Sequence[Sequence[str]], columns: Sequence[int], name: str, first_row: int
) -> Floats:
    out = []
    for number, row in enumerate(rows, start=first_row):
        if not row:
            continue
        try:
            values = [number_of(row[column]) for column in columns]
        except IndexError:
            values = [None]
        if any(value is None for value in values):
            raise TableError(f"{name}, row {number}: not a row of hourly weather, cut short?")
        out.append(values)
    if not out:
        raise TableError(f"{name} holds no hourly rows.")
    return np.array(out, dtype=float)


def _days(table: Floats, name: str) -> tuple[Days, tuple[str, ...]]:
    for column, (what, high) in enumerate((("month", 12), ("day", 31), ("hour", 24))):
        values = table[:, column]
        off = ~((values >= 1) & (values <= high) & (values % 1 == 0))
        if off.any():
            raise TableError(
                f"{name}: {what} {table[off, column][0]:g} is none; the rows aren't those of its "
                "kind of file."
            )
    keep = ~((table[:, 0] == 2) & (table[:, 1] == 29))
    month, day, hour, temperature, dew_point, humidity = table[keep].T
    # The hour is named by its end; its start lies on the day that it belongs to.
    first = np.array(f"{NOMINAL_YEAR}-01", dtype="datetime64[M]")
    months = first + (month.astype(int) - 1)
    start = months.astype("datetime64[D]") + (day.astype(int) - 1)
    beyond = start.astype("datetime64[M]") != months
    if beyond.any():
        raise TableError(
            f"{name}: day {day[beyond][0]:g} of month {month[beyond][0]:g} is none; the rows "
            "aren't those of its kind of file."
        )
    time = start.astype("datetime64[s]") + (hour.astype(int) - 1) * np.timedelta64(3600, "s")
    hours = mended(Hours(time, temperature, vapour_of(dew_point, humidity, temperature)))
    return days_of(hours, "UTC"), (f"{name} is a typical year", *hours.notes)
