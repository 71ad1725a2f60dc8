"""The air of a place from the rows of several sources: on one footing, the best row of each day."""

from collections.abc import Callable, Iterable, Mapping
from datetime import date
from itertools import groupby
from typing import Any

import numpy as np

from planner.air.days import WHOLE_DAY_HOURS, Days
from planner.store.weather_rows import (
    FORESEEN,
    FORESEEN_BY_SOURCE,
    HEIGHTS,
    OBSERVED,
    TYPICAL,
    Row,
    Sourced,
    as_on,
    as_the_year_before,
    day_before,
    days_of,
)
from planner.weather.footing import NOT_MOVED, Move, Told, footing

TYPICAL_UNTIL_DAYS = 3 * 365  # a typical year stands in until that many days were observed
FILLED_DAYS = 21  # how far back a forecast stands in for a day that no archive has yet
SHORT_LEAD = "-2 day"  # forecasts that are compared with what came: issued so long before at most

Ask = Callable[..., list[Any]]  # a statement and its values


def footing_of(ask: Ask, name: str, until: date) -> Mapping[str, Move]:
    """Return by how much each source of a place is moved, as of the morning of *until*."""
    heights = {(kind, source): metres for kind, source, metres in ask(HEIGHTS, name)}
    day = until.isoformat()
    observed = _by_source(ask(OBSERVED, name, day, WHOLE_DAY_HOURS))
    foreseen = _by_source(ask(FORESEEN_BY_SOURCE, name, day, day, SHORT_LEAD, WHOLE_DAY_HOURS))
    for source, days in _typical_beside(ask, name, observed).items():
        foreseen.setdefault(source, days)
    # Of a new source of forecasts the height is known before any of its days has passed.
    for kind, source in heights:
        if kind == "forecast":
            foreseen.setdefault(source, Days.none())
    return footing(
        [
            Told(source, days, heights.get(("observed", source)))
            for source, days in observed.items()
        ],
        [
            Told(source, days, heights.get(("forecast", source)))
            for source, days in foreseen.items()
        ],
        height=heights.get(("place", "")),
    )


def observed_air(
    ask: Ask, name: str, until: date, moves: Mapping[str, Move], *, filled: bool
) -> Days:
    """Return the observed days before *until*; see :meth:`planner.store.weather.WeatherStore`."""
    tables = _by_source(ask(OBSERVED, name, until.isoformat(), WHOLE_DAY_HOURS))
    days = _first_of_each_day(moves.get(source, NOT_MOVED).of(t) for source, t in tables.items())
    if not filled:
        return days
    typical = _typical(ask, name, until, days, moves)
    return _first_of_each_day([days, typical, _foreseen(ask, name, until, days, moves)])


def _foreseen(ask: Ask, name: str, until: date, days: Days, moves: Mapping[str, Move]) -> Days:
    start, end = day_before(until, FILLED_DAYS), until.isoformat()
    if len(days):
        start = max(start, day_before(days.day[-1].item(), -1))
    tables = _by_source(ask(FORESEEN, name, start, end, end, WHOLE_DAY_HOURS))
    return _first_of_each_day(moves.get(source, NOT_MOVED).of(t) for source, t in tables.items())


def _typical(ask: Ask, name: str, until: date, days: Days, moves: Mapping[str, Move]) -> Days:
    if len(days) >= TYPICAL_UNTIL_DAYS:
        return Days.none()
    first = days.day[0].item() if len(days) else until
    source, rows = _typical_year(ask, name)
    return moves.get(source, NOT_MOVED).of(days_of(as_the_year_before(rows, first)))


def _typical_beside(ask: Ask, name: str, observed: Mapping[str, Days]) -> dict[str, Days]:
    """Return the typical year as it would stand on the observed days, while it stands in."""
    longest = max(observed.values(), key=len, default=Days.none())
    if len(longest) >= TYPICAL_UNTIL_DAYS:
        return {}
    source, rows = _typical_year(ask, name)
    return {source: days_of(as_on(rows, longest.day.tolist()))} if rows else {}


def _typical_year(ask: Ask, name: str) -> tuple[str, list[Row]]:
    found: list[Sourced] = ask(TYPICAL, name, WHOLE_DAY_HOURS, name)
    return (found[0][0] if found else ""), [row[1:] for row in found]


def _by_source(rows: Iterable[Sourced]) -> dict[str, Days]:
    """Return the days of each source, in the order in which the sources come."""
    groups = groupby(rows, key=lambda row: row[0])
    return {source: days_of([row[1:] for row in group]) for source, group in groups}


def _first_of_each_day(tables: Iterable[Days]) -> Days:
    """Return tables as one by day; of a day that several have, the row of the first."""
    found = [table for table in tables if len(table)]
    if not found:
        return Days.none()
    if len(found) == 1:
        return found[0]
    day, first = np.unique(np.concatenate([table.day for table in found]), return_index=True)
    temperature, vapour, hours = (
        np.concatenate([getattr(table, name) for table in found])[first]
        for name in ("temperature", "vapour_pressure", "hours")
    )
    return Days(day, temperature, vapour, hours)
