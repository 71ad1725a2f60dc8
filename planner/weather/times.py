"""Points in time as files write them, and local clock times to UTC."""

from collections.abc import Sequence
from contextlib import suppress
from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np

from planner.air.days import Dates
from planner.sheets.dates import FIRST_YEAR, TwoWays, date_in, time_in

LAST_YEAR = 2199


def time_of(cell: Any, order: str = "ymd") -> datetime | date | None:
    """Return the point in time (or the day alone) that a cell says, None if it says none.

    Text in ISO 8601, with an offset or ``Z`` or without, or as :mod:`planner.sheets.dates` reads
    it; *order* says what 3/4/2026 is. None also for a year that no record of weather reaches, from
    which a change of zone may lead out of the calendar.

    Raises
    ------
    TwoWays
        If it is 3/4/2026 and *order* is ``ymd``.
    """
    found = _said(cell, order)
    return found if found is not None and FIRST_YEAR <= found.year <= LAST_YEAR else None


def _said(cell: Any, order: str) -> datetime | date | None:
    if isinstance(cell, date):
        return cell
    text = str(cell).strip()
    clock = ":" in text or "T" in text
    if text[4:5] == "-":
        with suppress(ValueError):  # most files say it so, and this is quickest
            return datetime.fromisoformat(text) if clock else date.fromisoformat(text)
    try:
        return time_in(text, order) if clock else date_in(text, order)
    except TwoWays:
        raise
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
