"""What is stored of a place's weather: sources, gaps, last fetch, last forecast, the curve."""

import math
from collections.abc import Iterable
from datetime import date, datetime, timedelta
from itertools import groupby, pairwise

import numpy as np

from planner.air.days import WHOLE_DAY_HOURS
from planner.commands.forecast_skill import skill_of
from planner.commands.workshop import Workshop
from planner.store.weather import Stored
from planner.weather.credits import Credit
from planner.weather.documents import ForecastLine, Gap, Holding, Moved, Shown, YearCurve

CURVE_YEARS = 4
SHOWN_AHEAD = (1, 4, 8)  # days for which the worth of forecasts is told
WORTH_TELLING_C, WORTH_TELLING_VAPOUR = 0.05, 0.005  # smaller moves are rounding
WEEKS = 53


def show_weather(
    workshop: Workshop, *, today: date, place_name: str | None = None, curve: bool = False
) -> Shown:
    """Return what is stored of a place as of *today*; with *curve* its dew points week by week.

    Raises
    ------
    UnknownPlace
        If the workshop has no such place.
    """
    name = workshop.settings.place_named(place_name).place.name
    rows = [row for row in workshop.weather.stored(name) if _was_there(row, today.isoformat())]
    return Shown(
        place=name,
        today=today,
        holdings=tuple(_holdings(row for row in rows if row.kind != "forecast")),
        forecast=_forecast(workshop, name, today, rows),
        last_fetch=max((datetime.fromisoformat(row.fetched_at) for row in rows), default=None),
        sources=tuple(
            Credit(source.name, source.licence, source.attribution)
            for source in workshop.weather.sources([name], today)
        ),
        curve=_curve(workshop, name, today) if curve else (),
        moves=tuple(_moves(workshop, name, today)),
    )


def _was_there(row: Stored, today: str) -> bool:
    """Return whether a row is of a day, or of a forecast issued, up to *today* as text."""
    return (row.issued or row.day) <= today or row.kind == "typical"


def _moves(workshop: Workshop, name: str, today: date) -> Iterable[Moved]:
    for source, move in workshop.weather.footing(name, today).items():
        warmer, damper = (float(value) for value in move.rows)
        if abs(warmer) >= WORTH_TELLING_C or abs(damper) >= WORTH_TELLING_VAPOUR:
            yield Moved(source, warmer, 100.0 * math.expm1(damper), move.shared)


def _holdings(rows: Iterable[Stored]) -> Iterable[Holding]:
    for (kind, source), group in groupby(rows, key=lambda row: (row.kind, row.source)):
        held = list(group)
        days = [date.fromisoformat(row.day) for row in held]
        yield Holding(
            source=source,
            kind=kind,
            days=len(held),
            thin=sum(row.hours < WHOLE_DAY_HOURS for row in held),
            first=days[0],
            last=days[-1],
            fetched_at=max(datetime.fromisoformat(row.fetched_at) for row in held),
            gaps=tuple(_gaps(days)),
        )


def _gaps(days: list[date]) -> Iterable[Gap]:
    one = timedelta(days=1)
    for before, after in pairwise(days):
        if after - before > one:
            yield Gap(before + one, after - one)


def _forecast(
    workshop: Workshop, name: str, today: date, rows: list[Stored]
) -> ForecastLine | None:
    issues = {(row.issued, row.source) for row in rows if row.kind == "forecast"}
    found = workshop.weather.forecast(name, today)
    if found is None:
        return None
    days, issued, source = found
    learned = skill_of(workshop, name, source, today)
    worth = [
        (ahead, round(float(learned.skill.at(np.array(ahead + 0.5))), 2)) for ahead in SHOWN_AHEAD
    ]
    last = days.day[-1].item()
    return ForecastLine(source, issued, last, len(issues), learned.days, tuple(worth))


def _curve(workshop: Workshop, name: str, today: date) -> tuple[YearCurve, ...]:
    from planner.air.humidity import dew_point

    observed = workshop.weather.observed(name, today)
    found = workshop.weather.forecast(name, today)
    ahead = found[0] if found else observed.before(date.min)
    sums: dict[tuple[int, int], list[float]] = {}
    foreseen: dict[int, set[int]] = {}
    for table, is_ahead in ((observed, False), (ahead, True)):
        for day, vapour in zip(table.day.tolist(), table.vapour_pressure.tolist(), strict=True):
            year, week, _ = day.isocalendar()
            sums.setdefault((year, week - 1), []).append(vapour)
            if is_ahead:
                foreseen.setdefault(year, set()).add(week - 1)
    years = sorted({year for year, _ in sums})[-CURVE_YEARS:]
    means = {key: float(dew_point(sum(values) / len(values))) for key, values in sums.items()}
    return tuple(
        YearCurve(
            year,
            tuple(means.get((year, week)) for week in range(WEEKS)),
            frozenset(foreseen.get(year, ())),
        )
        for year in years
    )
