"""One cell to one value: numbers, dates, times and words as makers and spreadsheets write them."""

import math
import re
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from typing import Any, TypeAlias
from zoneinfo import ZoneInfo

from planner.air.weeks import monday_of
from planner.history.tables import Column, TableLimits
from planner.sheets.dates import CLOCK_ALLOWED, DATE_ALLOWED, TwoWays, date_in, time_in
from planner.sheets.formulas import Formula

Value: TypeAlias = str | float | int | date | datetime
MM_IN_AN_INCH = 25.4
DECIMALS = {"temperature": 2, "humidity": 2}  # all else: tenths of a thousandth of a mm
TEXT_LENGTH = 1000
DAYS_BACK = {"today": 0, "yesterday": 1}
NO_RESULT = (
    "is a formula without its result; mend it in a spreadsheet program, or just save the file there"
)
EMPTY = ("", "-", "\N{EN DASH}", "\N{EM DASH}", "n/a", "na")
NUMBER = re.compile(r"([+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d+)?)\s*([^\d\s].*)?")
# Signs that a cell may carry after its number; those of length and temperature change the number.
SIGNS = {"mm": "mm", "in": "inch", "inch": "inch", '"': "inch", "%": "", "°c": "", "c": ""}
SIGNS |= {"% rh": "", "°f": "fahrenheit", "f": "fahrenheit", "pct": ""}


class BadValue(ValueError):
    """A cell that can't be used; the text says what is allowed, in words."""


@dataclass(frozen=True)
class Reader:
    """What a cell is read against.

    Attributes
    ----------
    limits : plausible values
    places : name of each place to its IANA time zone; the first is the bench
    today : nothing that happened may lie after it
    dates : what 3/4/2026 is: ``dmy``, ``mdy``, or ``ymd`` to refuse it
    units : column to the unit of its bare numbers: see :func:`in_unit`
    words : column to the maker's own words for its choices
    settle_dates : how to say what 3/4/2026 is, where that isn't known
    """

    limits: TableLimits
    places: Mapping[str, str]
    today: date
    dates: str = "ymd"
    units: Mapping[str, str] = field(default_factory=dict)
    words: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    settle_dates: str = "say --dates dmy or --dates mdy"

    def value(self, column: Column, cell: Any) -> Value | None:
        """Return the value of a cell, None for an empty one.

        Raises
        ------
        BadValue
            If the cell can't be used.
        """
        if is_empty(column, cell):
            return None
        if isinstance(cell, Formula):
            raise BadValue(NO_RESULT)
        return _READ[column.kind](self, column, cell)

    def zone(self, place: str) -> str:
        """Return the time zone of a place, the bench's where the place has none here."""
        return self.places.get(place, next(iter(self.places.values())))


def is_empty(column: Column, cell: Any) -> bool:
    """Return whether a cell says nothing."""
    if isinstance(cell, str):
        text = cell.strip().casefold()
        return not text if column.kind == "text" else text in EMPTY
    return cell is None or (isinstance(cell, float) and math.isnan(cell))


def plain(text: str) -> str:
    """Return words as they are compared: spacing and case forgiven."""
    return " ".join(text.split()).casefold()


def in_unit(value: float, unit: str) -> float:
    """Return a number [in the unit named] in mm or °C; an unknown unit is a KeyError."""
    if unit == "fahrenheit":
        return (value - 32.0) / 1.8
    factors = {
        "": 1.0,
        "mm": 1.0,
        "celsius": 1.0,
        "cm": 10.0,
        "hundredths": 0.01,
        "inch": MM_IN_AN_INCH,
        "thousandths": MM_IN_AN_INCH / 1000,
    }
    return value * factors[unit]


UNITS = ("mm", "cm", "hundredths", "inch", "thousandths", "celsius", "fahrenheit")


def text_in(cell: Any) -> str:
    """Return the text of a cell without control signs, spaces joined."""
    if isinstance(cell, float) and cell.is_integer():
        cell = int(cell)
    text = str(cell).encode("utf-8", "replace").decode("utf-8")
    shown = "".join(sign if sign.isprintable() else " " for sign in text)
    return " ".join(shown.split())


def _text(reader: Reader, column: Column, cell: Any) -> str | None:
    text = text_in(cell)
    if len(text) > TEXT_LENGTH:
        raise BadValue(f"at most {TEXT_LENGTH} signs")
    return text or None


def _place(reader: Reader, column: Column, cell: Any) -> str:
    for name in reader.places:
        if plain(name) == plain(str(cell)):
            return name
    raise BadValue(f"must be a place of workshop.toml: {', '.join(reader.places)}")


def _choice(reader: Reader, column: Column, cell: Any) -> str:
    own = {plain(key): value for key, value in reader.words.get(column.name, {}).items()}
    word = own.get(plain(text_in(cell)), plain(text_in(cell)))
    if word in column.choices:
        return word
    allowed = f"must be one of {', '.join(column.choices)}"
    raise BadValue(f"{allowed} (or of your own words {', '.join(own)})" if own else allowed)


def _number(reader: Reader, column: Column, cell: Any) -> float:
    low, high = reader.limits.of(column.quantity)
    unit = unit_of(column)
    value, sign = _parsed(cell, f"must be a number from {low:g} to {high:g}{unit}")
    value = in_unit(value, sign if sign is not None else reader.units.get(column.name, ""))
    value = round(value, DECIMALS.get(column.quantity, 4)) + 0.0
    if low <= value <= high:
        return value
    raise BadValue(f"must be from {low:g} to {high:g}{unit}{_meant(value, low, high)}")


def _whole(reader: Reader, column: Column, cell: Any) -> int:
    low, high = reader.limits.of(column.quantity)
    value, _ = _parsed(cell, f"must be a whole number from {low:g} to {high:.0f}")
    if value.is_integer() and low <= value <= high:
        return int(value)
    raise BadValue(f"must be a whole number from {low:g} to {high:.0f}")


def _parsed(cell: Any, allowed: str) -> tuple[float, str | None]:
    """The number in a cell, and the unit that it carries with it (None: none)."""
    if isinstance(cell, bool):
        raise BadValue(allowed)
    if isinstance(cell, int | float):
        value, sign = float(cell), None
    else:
        found = NUMBER.fullmatch(str(cell).strip().replace("\N{MINUS SIGN}", "-"))
        if found is None:
            raise BadValue(allowed + _month_hint(str(cell)))
        value = float(found[1].replace(",", "."))
        sign = None if found[2] is None else SIGNS.get(plain(found[2]))
        if found[2] is not None and sign is None:
            hint = _month_hint(found[0]) or f'; "{found[2].strip()}" after it is not understood'
            raise BadValue(f"{allowed}{hint}")
    if not math.isfinite(value):
        raise BadValue(allowed)
    return value, sign or None


def _month_hint(text: str) -> str:
    if re.search(r"[A-Za-zéû]{3}", text) and re.search(r"\d", text):
        return "; a spreadsheet may have made a date of it"
    return ""


def _meant(value: float, low: float, high: float) -> str:
    """The likely slip: a point left out, hundredths or inches for millimetres."""
    for factor, digits in ((0.1, 3), (0.01, 4), (10.0, 3), (100.0, 3)):
        if low <= value * factor <= high and value * factor > 0:
            return f". Was {round(value * factor, digits):g} meant?"
    if value and low <= value * MM_IN_AN_INCH <= high:
        return f'. If it is in inches, write {value:g}" or say so in the heading'
    if low <= value * MM_IN_AN_INCH / 1000 <= high:
        return ". If it is in thousandths of an inch, say so in the heading"
    return ""


def unit_of(column: Column) -> str:
    """Return the unit of a column with a space before it, nothing where it has none."""
    units = {"_mm": " mm", "_pct": " %", "_c": " °C"}
    return next((unit for end, unit in units.items() if column.name.endswith(end)), "")


def _date(reader: Reader, column: Column, cell: Any) -> date:
    day = _day(reader, cell)
    if day > reader.today:
        raise BadValue(f"must not lie after today, {reader.today}")
    return day


def _monday(reader: Reader, column: Column, cell: Any) -> date:
    day = _day(reader, cell)
    monday = monday_of(day)
    if day != monday:
        raise BadValue(f"must be a Monday; the one of that week is {monday}")
    return day


def _day(reader: Reader, cell: Any) -> date:
    word = plain(cell) if isinstance(cell, str) else ""
    if word in DAYS_BACK:
        return reader.today - timedelta(days=DAYS_BACK[word])
    with _told(reader, DATE_ALLOWED):
        return date_in(cell, reader.dates)


def _time(reader: Reader, column: Column, cell: Any) -> datetime:
    """A point in time as written; without an offset it stays so, see :func:`in_zone`."""
    with _told(reader, CLOCK_ALLOWED):
        return time_in(cell, reader.dates)


@contextmanager
def _told(reader: Reader, allowed: str) -> Iterator[None]:
    """Tell what is wrong with a day or a clock as of a bad cell."""
    try:
        yield
    except TwoWays as error:
        raise BadValue(f"{error}, or {reader.settle_dates}") from None
    except ValueError as error:
        raise BadValue(str(error) or allowed) from None


def in_zone(point: datetime, zone: str, today: date) -> datetime:
    """Return a point in time as UTC; one without an offset is the clock of *zone*.

    In the hour that the clock skips, and in the first of the two that it gives twice, the offset
    from before the change holds: a logger that keeps winter time goes on so.

    Raises
    ------
    BadValue
        If it lies after the end of *today* there.
    """
    there = ZoneInfo(zone)
    aware = point if point.tzinfo is not None else point.replace(tzinfo=there)
    try:
        moment = aware.astimezone(UTC).replace(microsecond=0)
        ends = datetime.combine(today, time(23, 59, 59), there).astimezone(UTC)
    except OverflowError:
        raise BadValue(CLOCK_ALLOWED) from None
    if moment > ends:
        raise BadValue(f"must not lie after today, {today}")
    return moment


_READ: dict[str, Callable[[Reader, Column, Any], Value | None]] = {
    "text": _text,
    "place": _place,
    "choice": _choice,
    "number": _number,
    "whole": _whole,
    "date": _date,
    "monday": _monday,
    "time": _time,
}
