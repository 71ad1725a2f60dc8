"""Rows of ``weather.db``: the questions asked of it, and rows to air by the day and back."""

import sqlite3
from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from planner.air.days import Days

Row = tuple[str, float, float, int]  # day, temperature [°C], vapour pressure [Pa], hours
Sourced = tuple[str, str, float, float, int]  # the same after its source

# The maker's own files first (they stand nearest), then reanalyses, the finer one first; ahead,
# files again, then the services by how far and how well they see.
RANK = """CASE source
    WHEN 'Open-Meteo archive' THEN 2 WHEN 'NASA POWER' THEN 3
    WHEN 'Open-Meteo ensemble' THEN 4 WHEN 'Open-Meteo' THEN 5
    WHEN 'MET Norway' THEN 6 WHEN 'US National Weather Service' THEN 7
    ELSE 1 END"""

# A row that differs is replaced and counts as a change; one that is the same is only seen again.
UPSERT = """
    INSERT INTO days VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)
    ON CONFLICT (place, kind, source, issued, day) DO UPDATE SET
        temperature_c = excluded.temperature_c,
        vapour_pressure_pa = excluded.vapour_pressure_pa,
        hours = excluded.hours
    WHERE (temperature_c, vapour_pressure_pa, hours)
        IS NOT (excluded.temperature_c, excluded.vapour_pressure_pa, excluded.hours)
"""

SEEN = """
    UPDATE days SET fetched_at = ?
    WHERE place = ? AND kind = ? AND source = ? AND issued = ? AND day = ?
"""

OBSERVED = f"""
    SELECT source, day, temperature_c, vapour_pressure_pa, hours FROM days
    WHERE place = ? AND kind = 'observed' AND day < ? AND hours >= ?
    ORDER BY {RANK}, source, day
"""

# What was foreseen for days that have passed: of each day the latest forecast before it.
FORESEEN = f"""
    SELECT source, day, temperature_c, vapour_pressure_pa, hours FROM (
        SELECT *, ROW_NUMBER() OVER (
            PARTITION BY day ORDER BY issued DESC, {RANK}, source) AS place_in_line
        FROM days
        WHERE place = ? AND kind = 'forecast' AND day >= ? AND day < ? AND issued < ?
            AND hours >= ?
    ) WHERE place_in_line = 1 ORDER BY source, day
"""

# Of each source and day the latest forecast, issued at most so many days before.
FORESEEN_BY_SOURCE = """
    SELECT source, day, temperature_c, vapour_pressure_pa, hours FROM (
        SELECT *, ROW_NUMBER() OVER (
            PARTITION BY source, day ORDER BY issued DESC) AS place_in_line
        FROM days
        WHERE place = ? AND kind = 'forecast' AND day < ? AND issued < ?
            AND issued >= date(day, ?) AND hours >= ?
    ) WHERE place_in_line = 1 ORDER BY source, day
"""

HEIGHTS = "SELECT kind, source, metres FROM heights WHERE place = ?"
HEIGHT = "SELECT metres FROM heights WHERE place = ? AND kind = ? AND source = ?"

TYPICAL = f"""
    SELECT source, day, temperature_c, vapour_pressure_pa, hours FROM days
    WHERE place = ? AND kind = 'typical' AND hours >= ? AND source = (
        SELECT source FROM days WHERE place = ? AND kind = 'typical'
        ORDER BY {RANK}, fetched_at DESC, source LIMIT 1
    ) ORDER BY day
"""

LATEST = f"""
    SELECT issued, source FROM days
    WHERE place = ? AND kind = 'forecast' AND issued <= ? AND day >= ? AND hours >= ?
    ORDER BY issued DESC, {RANK}, source LIMIT 1
"""

ISSUES = """
    SELECT issued, source, day, temperature_c, vapour_pressure_pa, hours FROM days
    WHERE place = ? AND kind = 'forecast' AND issued >= ? AND issued <= ?
    ORDER BY issued, source, day
"""

ISSUED = """
    SELECT day, temperature_c, vapour_pressure_pa, hours FROM days
    WHERE place = ? AND kind = 'forecast' AND source = ? AND issued = ? AND hours >= ?
    ORDER BY day
"""

HELD = """
    SELECT day, fetched_at FROM days
    WHERE place = ? AND kind = 'observed' AND source = ? ORDER BY day
"""

STORED = """
    SELECT kind, source, issued, day, hours, fetched_at FROM days
    WHERE place = ? ORDER BY kind, source, issued, day
"""


def rows_of(days: "Days") -> Iterable[Row]:
    """Yield the rows of *days* that hold finite values."""
    import numpy as np

    sound = np.isfinite(days.temperature) & np.isfinite(days.vapour_pressure) & (days.hours > 0)
    kept = days.where(sound)
    return zip(
        kept.day.astype(str).tolist(),
        kept.temperature.tolist(),
        kept.vapour_pressure.tolist(),
        kept.hours.tolist(),
        strict=True,
    )


def note_height(
    connection: sqlite3.Connection, key: tuple[str, str, str], metres: float | None
) -> bool:
    """Note how high [m] a source (place, kind, source) stands; return whether that is news."""
    known = connection.execute(HEIGHT, key).fetchone() or (None,)
    if known == (metres,):
        return False
    connection.execute("DELETE FROM heights WHERE place = ? AND kind = ? AND source = ?", key)
    if metres is not None:
        connection.execute("INSERT INTO heights VALUES (?, ?, ?, ?)", (*key, metres))
    return True


def days_of(rows: Sequence[Row]) -> "Days":
    """Return rows, ordered by day, as air by the day."""
    import numpy as np

    from planner.air.days import Days

    if not rows:
        return Days.none()
    day, temperature, vapour_pressure, hours = zip(*rows, strict=True)
    return Days(
        np.array(day, dtype="datetime64[D]"),
        np.array(temperature, dtype=float),
        np.array(vapour_pressure, dtype=float),
        np.array(hours, dtype=np.int64),
    )


def as_the_year_before(typical: Iterable[Row], first: date) -> list[Row]:
    """Return a typical year's rows dated into the twelve months before *first*.

    The typical year has no 29 February of its own; that day stays a gap.
    """
    dated: list[Row] = []
    for day, temperature, vapour_pressure, hours in typical:
        month, number = int(day[5:7]), int(day[8:10])
        here = date(first.year, month, number)
        then = here if here < first else date(first.year - 1, month, number)
        dated.append((then.isoformat(), temperature, vapour_pressure, hours))
    return sorted(dated)


def as_on(typical: Iterable[Row], days: Iterable[date]) -> list[Row]:
    """Return a typical year's rows as they would stand on *days*, which ascend."""
    by_date = {row[0][5:]: row[1:] for row in typical}
    return [
        (day.isoformat(), *by_date[day.isoformat()[5:]])
        for day in days
        if day.isoformat()[5:] in by_date
    ]


def day_before(day: date, days: int) -> str:
    """Return the day so many *days* before, as it stands in the table."""
    return (day - timedelta(days=days)).isoformat()
