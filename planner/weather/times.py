"""Points in time as files write them, and local clock times to UTC."""

import re
from collections.abc import Callable, Sequence
from datetime import UTC, date, datetime, time, timedelta
from typing import Any, TypeVar
from zoneinfo import ZoneInfo

import numpy as np

from planner.air.days import Dates

FIRST_YEAR, LAST_YEAR = 1900, 2199
_SLASHED = re.compile(r"(\d{1,2})[./-](\d{1,2})[./-](\d{4})(?:[ T,]+(.+))?")
Point = TypeVar("Point", date, datetime)


def time_of(cell: Any, order: str = "ymd") -> datetime | date | None:
    """Return the point in time (or the day alone) that a cell says, None if it says none.

    Text in ISO 8601, with an offset or ``Z`` or without; 3.4.2026 and 3/4/2026 only where *order*
    says which comes first, day (``dmy``) or month (``mdy``). None also for a year that no record of
    weather reaches, from which a change of zone may lead out of the calendar.
    """
    found = _said(cell, order)
    return found if found is not None and FIRST_YEAR <= found.year <= LAST_YEAR else None


def _said(cell: Any, order: str) -> datetime | date | None:
    if isinstance(cell, date):
        return cell
    text = str(cell).strip()
    if len(text) == 10 and text[4] == "-":
        return _try(date.fromisoformat, text)
    found = _SLASHED.fullmatch(text)
    if found is None:
        return _try(datetime.fromisoformat, text) if ":" in text or "T" in text else None
    if order not in ("dmy", "mdy"):
        return None
    one, two, year, clock = found.groups()
    day, month = (one, two) if order == "dmy" else (two, one)
    iso = f"{year}-{int(month):02}-{int(day):02}"
    if clock is None:
        return _try(date.fromisoformat, iso)
    return _try(datetime.fromisoformat, f"{iso}T{clock.strip().zfill(5)}")


def _try(read: Callable[[str], Point], text: str) -> Point | None:
    try:
        return read(text)
    except ValueError:
        return None


def utc_times(times: Sequence[datetime], zone: str) -> tuple[Dates, int, int]:
    """Return points in time as UTC (n,); those without an offset are the clock of *zone*.

    When the clock is set back an hour comes twice: the second time that the file says a time, it
    is the later one. A time that the clock skipped in spring is moved to the hour after.

    Returns
    -------
    times : (n,) datetime64[s]
    skipped : how many times the clock never showed
    doubled : how many times came twice for the clock set back
    """
    local = ZoneInfo(zone)
    seen: set[datetime] = set()
    out, skipped, doubled = [], 0, 0
    for point in times:
        if point.tzinfo is None:
            first, second = (point.replace(tzinfo=local, fold=fold) for fold in (0, 1))
            jump = second.utcoffset() - first.utcoffset()  # type: ignore[operator]
            again = point in seen and jump < timedelta()
            seen.add(point)
            aware = second if again else first
            skipped += jump > timedelta()
            doubled += again
        else:
            aware = point
        out.append(aware.astimezone(UTC).replace(tzinfo=None))
    return np.array(out, dtype="datetime64[s]"), skipped, doubled


def only_days(times: Sequence[datetime | date]) -> bool:
    """Return whether the times are whole days: no clock time, or midnight and each day once."""
    if all(not isinstance(point, datetime) for point in times):
        return True
    midnight = all(not isinstance(t, datetime) or t.time() == time() for t in times)
    days = {(t.date() if isinstance(t, datetime) else t) for t in times}
    return midnight and len(days) == len(times) and len(times) > 1
