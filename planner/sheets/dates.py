"""Days and times as they are written; an ambiguous day is never guessed."""

import re
from datetime import date, datetime, time
from typing import Any

FIRST_YEAR = 1900
DATE_ALLOWED = "must be a date such as 2026-11-23"
CLOCK_ALLOWED = "must be a time such as 2026-11-23T08:00, with an offset or Z where it isn't local"
AMBIGUOUS = "can be read two ways; write {one} or {two}"
ORDERS = ("ymd", "dmy", "mdy")

_YEAR_FIRST = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})")
_YEAR_LAST = re.compile(r"(\d{1,2})\s?[-/.]\s?(\d{1,2})\s?[-/.]\s?(\d{4}|\d{2})")
_NAMED = re.compile(r"(?:(\d{1,2})\.?\s+([a-z]+)\.?,?|([a-z]+)\.?\s+(\d{1,2}),?)\s+(\d{4})", re.I)
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")


class TwoWays(ValueError):
    """A day such as 3/4/2026, of which it isn't known which is the month."""


def date_in(cell: Any, order: str = "ymd") -> date:
    """Return the day that a cell says.

    Raises
    ------
    ValueError
        If it says none; the text says what is allowed.
    TwoWays
        If it is 3/4/2026 and *order* is ``ymd``.
    """
    if isinstance(cell, datetime):
        cell = cell.date() if cell.time() == time() else cell.isoformat()
    if isinstance(cell, date):
        day = cell
    elif isinstance(cell, int | float):
        raise ValueError(f"{DATE_ALLOWED}; format the column as a date in the spreadsheet")
    else:
        day = _written(str(cell).strip(), order)
    if day.year < FIRST_YEAR:
        raise ValueError(f"{DATE_ALLOWED}, from the year {FIRST_YEAR}")
    return day


def time_in(cell: Any, order: str = "ymd") -> datetime:
    """Return the point in time that a cell says, with an offset only where it has one.

    Raises
    ------
    ValueError
        If it says none; the text says what is allowed.
    """
    if isinstance(cell, datetime):
        point = cell
    else:
        # A day alone is no reading: the humidity of a room moves within it.
        words = re.fullmatch(r"(.*?\d{4}|\S+?)(?:[ T,]+)(\d{1,2}:\d\d.*)", str(cell).strip())
        if words is None:
            raise ValueError(CLOCK_ALLOWED)
        clock = _clock(words[2])
        point = datetime.combine(date_in(words[1], order), clock)
    if point.year < FIRST_YEAR:
        raise ValueError(CLOCK_ALLOWED)
    return point


def _clock(text: str) -> time:
    hours, _, rest = text.partition(":")
    try:
        return time.fromisoformat(f"{hours.zfill(2)}:{rest.replace(' ', '')}")
    except ValueError:
        raise ValueError(CLOCK_ALLOWED) from None


def _written(text: str, order: str) -> date:
    if found := _YEAR_FIRST.fullmatch(text):
        return _day(found[1], found[2], found[3])
    if found := _NAMED.fullmatch(text):
        month = (found[2] or found[3]).casefold()[:3]
        if month in _MONTHS:
            return _day(found[5], _MONTHS.index(month) + 1, found[1] or found[4])
    if found := _YEAR_LAST.fullmatch(text):
        return _year_last(found[1], found[2], found[3], order)
    raise ValueError(DATE_ALLOWED)


def _year_last(one: str, two: str, year: str, order: str) -> date:
    if len(year) == 2 and order == "ymd":
        raise ValueError(f"{DATE_ALLOWED}; the year needs four digits")
    year = year if len(year) == 4 else f"20{year}"
    if order == "dmy":
        return _day(year, two, one)
    if order == "mdy":
        return _day(year, one, two)
    first, second = int(one), int(two)
    if first <= 12 and second <= 12 and first != second:
        readings = {
            "one": f"{year}-{second:02}-{first:02}",
            "two": f"{year}-{first:02}-{second:02}",
        }
        raise TwoWays(AMBIGUOUS.format(**readings))
    return _day(year, first, second) if second > 12 else _day(year, second, first)


def _day(year: str, month: str | int, day: str | int) -> date:
    try:
        return date(int(year), int(month), int(day))
    except ValueError:
        raise ValueError(f"{DATE_ALLOWED}; there is no such day") from None
