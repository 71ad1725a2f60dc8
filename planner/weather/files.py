"""Weather from a file of the maker's: hourly or daily tables, and typical years.

A table has the columns ``time``, ``temperature_c`` and ``dew_point_c`` or ``rh_pct``. Every row
that can't be used is reported; an empty cell or a fill number (-999 and the like) is a gap.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

import numpy as np

from planner.air.days import WHOLE_DAY_HOURS, Days
from planner.air.humidity import Floats, saturation_pressure, vapour_pressure
from planner.errors import BadCell, TableError
from planner.sheets.dates import FIRST_YEAR, TwoWays
from planner.sheets.read import Sheet, read_sheet
from planner.weather.columns import Columns, cell_problem, columns_of, number_of
from planner.weather.globe import Point
from planner.weather.hours import Hours, counted, days_of, filled_between, mended
from planner.weather.times import only_days, time_of, utc_times
from planner.weather.typical import is_typical, read_typical

LONGEST_STEP = 3  # hours; a station that reports every third hour still covers its days
DAY_HOURS = 24
TIME_ALLOWED = (
    "a time such as 2026-11-25T08:00, with an offset or Z where it isn't local, from the year "
    f"{FIRST_YEAR}"
)
SETTLE_DATES = 'say --dates dmy or --dates mdy with "planner weather import"'


@dataclass(frozen=True)
class WeatherFile:
    """What a file gave: air by the day, observed or a typical year, and what was mended."""

    days: Days
    kind: str  # observed or typical
    notes: tuple[str, ...]
    station: Point | None = None  # where the file says it was measured
    later: int = 0  # days left out as they hadn't come yet

    @property
    def thin(self) -> int:
        """How many days have too few hours to count."""
        return int((self.days.hours < WHOLE_DAY_HOURS).sum())


def read_weather(
    path: Path,
    zone: str,
    *,
    last: date | None = None,
    dates: str = "ymd",
    renamed: Mapping[str, str] | None = None,
) -> WeatherFile:
    """Read a weather file into days of the time zone *zone*.

    Parameters
    ----------
    path : CSV, XLSX or ODS table; EPW or TMY3 for a typical year
    zone : IANA time zone of the place: whose days, and whose clock where times have no offset
    last : rows of later days are left out and counted; None takes all
    dates : what 3/4/2026 is: ``dmy``, ``mdy``, or ``ymd`` to refuse it
    renamed : headings of the maker's own to the columns' names

    Raises
    ------
    TableError
        If the file can't be used, with every bad row; nothing is half taken.
    """
    if is_typical(path):
        year = read_typical(path)
        return WeatherFile(year.days, "typical", year.notes, year.station)
    sheet = read_sheet(path, "weather")
    if not sheet.rows:
        raise TableError(f"{path.name} holds no rows; it needs a heading and rows below it.")
    columns = columns_of(sheet.heading, sheet.name, sheet.heading_row, renamed)
    problems = list(_problems(sheet, columns, dates))
    if problems:
        rows = len({cell.row for cell in problems})
        raise TableError(
            f"{sheet.name} has {rows} row{'s' if rows > 1 else ''} that can't be used; "
            "nothing was stored.",
            tuple(problems),
        )
    days, notes = _days(sheet, columns, zone, dates)
    return _until(WeatherFile(days, "observed", (*sheet.notes, *notes)), last)


def _problems(sheet: Sheet, columns: Columns, dates: str) -> Iterator[BadCell]:
    for number, row in sheet.rows:
        when = _cell(row, columns.time)
        allowed = _time_problem(when, dates)
        if allowed is not None:
            yield BadCell(sheet.name, number, "time", str(when), allowed)
        for column, place in (columns.temperature, *columns.humidity):
            allowed = cell_problem(column, _cell(row, place))
            if allowed is not None:
                yield BadCell(sheet.name, number, column, str(_cell(row, place)), allowed)


def _time_problem(when: Any, dates: str) -> str | None:
    """Return what may stand in a cell of the time, in words, where its content may not."""
    try:
        return TIME_ALLOWED if time_of(when, dates) is None else None
    except TwoWays as error:
        return f"{error}, or {SETTLE_DATES}"


def _days(sheet: Sheet, columns: Columns, zone: str, dates: str) -> tuple[Days, tuple[str, ...]]:
    times = _times(sheet, columns, dates)
    temperature = _celsius(*_numbers(sheet, *columns.temperature))
    vapour = np.full(len(times), np.nan)
    for column, place in columns.humidity:
        vapour = np.where(np.isnan(vapour), _vapour(sheet, column, place, temperature), vapour)
    if only_days(times):
        return _daily(sheet, times, temperature, vapour)
    points = [t if isinstance(t, datetime) else datetime.combine(t, time()) for t in times]
    utc, skipped, doubled = utc_times(points, zone)
    hours = mended(Hours(utc, temperature, vapour, tuple(_clock_notes(skipped, doubled))))
    return days_of(_stepped(hours), zone), hours.notes


def _times(sheet: Sheet, columns: Columns, dates: str) -> list[date]:
    found = (time_of(_cell(row, columns.time), dates) for _, row in sheet.rows)
    return [point for point in found if point is not None]


def _daily(
    sheet: Sheet, times: list[date], temperature: Floats, vapour: Floats
) -> tuple[Days, tuple[str, ...]]:
    day = np.array(
        [t.date() if isinstance(t, datetime) else t for t in times], dtype="datetime64[D]"
    )
    unique, first = np.unique(day, return_index=True)
    if len(unique) < len(day):
        twice = np.setdiff1d(np.arange(len(day)), first)
        cells = tuple(
            BadCell(sheet.name, sheet.rows[i][0], "time", str(day[i]), "each day once")
            for i in twice
        )
        raise TableError(f"{sheet.name} has a day more than once; nothing was stored.", cells)
    hours = mended(Hours(day.astype("datetime64[s]"), temperature, vapour))
    sound = np.isfinite(hours.temperature) & np.isfinite(hours.vapour_pressure)
    count = np.full(len(day), DAY_HOURS)
    days = Days(unique, hours.temperature[first], hours.vapour_pressure[first], count)
    return days.where(sound[first]), hours.notes


def _stepped(hours: Hours) -> Hours:
    """Fill between the values of a table whose usual step is two or three hours."""
    steps = np.diff(np.unique(hours.time)) / np.timedelta64(1, "h")
    usual = float(np.median(steps)) if len(steps) else 1.0
    return filled_between(hours, round(usual)) if 1 < usual <= LONGEST_STEP else hours


def _until(found: WeatherFile, last: date | None) -> WeatherFile:
    keep = found.days.day <= np.datetime64(last, "D") if last else np.ones(len(found.days), bool)
    later = int((~keep).sum())
    notes = (f"{counted(later, 'day')} after {last} left out",) if later else ()
    return WeatherFile(found.days.where(keep), found.kind, (*found.notes, *notes), later=later)


def _clock_notes(skipped: int, doubled: int) -> Iterator[str]:
    if skipped:
        yield f"{counted(skipped, 'time')} that the clock skipped in spring moved to the hour after"
    if doubled:
        yield f"{counted(doubled, 'time')} told apart where the clock was set back"


def _vapour(sheet: Sheet, column: str, place: int, temperature: Floats) -> Floats:
    values = _celsius(*_numbers(sheet, column, place))
    if column == "rh_pct":
        return vapour_pressure(values, temperature)
    return saturation_pressure(values)


def _numbers(sheet: Sheet, column: str, place: int) -> tuple[str, Floats]:
    return column, np.array([number_of(_cell(row, place)) for _, row in sheet.rows], dtype=float)


def _celsius(column: str, values: Floats) -> Floats:
    return (values - 32.0) / 1.8 if column.endswith("_f") else values


def _cell(row: list[Any], place: int) -> Any:
    return row[place] if place < len(row) else ""
