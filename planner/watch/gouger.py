"""One gouger: where its centre thickness stands, whether it drifts, and when to check again."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from planner.history.cells import plain
from planner.spread import TENTH, Spread
from planner.watch.chart import Floats, ewma, ewma_half_width
from planner.watch.checks import (
    USUAL_SPREAD,
    Check,
    Series,
    aligned,
    gougers_of,
    series_of,
    spread_of,
    wet_offset,
)
from planner.watch.documents import ChartPoint, GougerState
from planner.watch.frequency import frequency
from planner.watch.sides import sides
from planner.watch.trend import Trend, trend

FEW = 5  # checks since the restart, below which the chart says little
HORIZON = 365  # days ahead
LIKELY = 0.8416212335729143  # standard normal 80th percentile: a drift's sign is that sure
PIECES_PER_WEEK = 40.0  # gouged, where nobody says


@dataclass(frozen=True)
class Aim:
    """What the centre is to be [mm]: the target, the limits of all gouging, the tolerance."""

    target: float
    low: float
    high: float
    tolerance: float

    @property
    def least(self) -> float:
        """The thinnest that is still within the tolerance."""
        return max(self.low, self.target - self.tolerance)

    @property
    def most(self) -> float:
        """The thickest that is still within the tolerance."""
        return min(self.high, self.target + self.tolerance)


def gouger_states(
    checks: Iterable[Check],
    aim: Aim,
    *,
    today: date,
    pieces_per_week: float = PIECES_PER_WEEK,
    within_pieces: int | None = None,
) -> tuple[GougerState, ...]:
    """Return the state of each gouger, the one checked last first; nothing later is used."""
    known = [check for check in checks if check.date <= today]
    return tuple(
        gouger_state(
            [check for check in known if plain(check.gouger or "") == plain(name)],
            aim,
            today=today,
            pieces_per_week=pieces_per_week,
            within_pieces=within_pieces,
        )
        for name in gougers_of(known)
    )


def gouger_state(
    checks: Iterable[Check],
    aim: Aim,
    *,
    today: date,
    pieces_per_week: float = PIECES_PER_WEEK,
    within_pieces: int | None = None,
) -> GougerState:
    """Return the state of one gouger as of *today*, from its checks.

    *within_pieces* is how many pieces may be gouged before a change of 0.01 mm is called; left
    out, a week's.
    """
    rows = list(checks)
    name = next((written for written in gougers_of(rows) if written), "")
    series = series_of(rows, today)
    values = aligned(series)
    spread, own = spread_of(series, values) if len(series) else (USUAL_SPREAD, 0.0)
    often = frequency(spread, pieces_per_week, within_pieces or round(pieces_per_week))
    last = series.days[-1] if series.current.any() else None
    averages, half = _averages(series, values, aim.target, spread)
    checked = _checked(series, values, aim.target, spread)
    now = checked.after(0 if last is None else (today - last).days / 7)
    state, since = _state(series, averages, aim, half, checked)
    ahead = _crossings(now, aim, today)
    count = int(series.current.sum())
    return GougerState(
        gouger=name,
        state=state,
        checks=len(series),
        checks_since_restart=count,
        restart=series.restart,
        restart_event=series.restart_event,
        last_check=series.days[-1] if len(series) else None,
        now_mm=_spread(now, 0) if count else None,
        average_mm=float(averages[-1]) if count else None,
        average_low_mm=aim.target - half if count else None,
        average_high_mm=aim.target + half if count else None,
        since=since,
        spread_mm=spread,
        spread_from_checks=own,
        drift_mm_per_week=_spread(now, 1) if count >= 2 else None,
        leaves=ahead.side if count else None,
        leaves_on=ahead.expected if count else None,
        leaves_from=ahead.early if count else None,
        thinnest_from=ahead.thinnest if count else None,
        wet_offset_mm=_wet_offset(series),
        sides=sides(series),
        frequency=often,
        next_check=_next_check(state, last, ahead, often.checks_per_week, today),
        points=_points(series, averages, aim.target, half),
    )


def _averages(series: Series, values: Floats, target: float, spread: float) -> tuple[Floats, float]:
    """The EWMA after each check, anew from the target in each run (n,), and its half width."""
    runs = [ewma(values[series.run == run], start=target) for run in np.unique(series.run)]
    return np.concatenate([np.empty(0), *runs]), ewma_half_width(spread)


def _checked(series: Series, values: Floats, target: float, spread: float) -> Trend:
    """The trend as of the last check since the restart."""
    own = series.current
    return trend(series.weeks[own], values[own], aim=target, spread=spread)


def _state(
    series: Series, averages: Floats, aim: Aim, half: float, checked: Trend
) -> tuple[str, date | None]:
    own = averages[series.current]
    if not len(own):
        return "none", None
    off = own - aim.target
    side = float(np.sign(off[-1]))
    other = np.flatnonzero(np.sign(off) != side)
    days = [day for day, current in zip(series.days, series.current, strict=True) if current]
    since = days[int(other[-1]) + 1] if len(other) else days[0]
    # The slack keeps a single check from being called at the very limit by rounding.
    called = abs(float(off[-1])) > half + 1e-12
    if _spread(checked, 0).p10 < aim.low and len(own) >= 2:
        return "unstable", since
    if called:
        return ("thin" if side < 0 else "thick"), since
    return ("few" if len(own) < FEW else "steady"), None


@dataclass(frozen=True)
class Crossings:
    """When the centre leaves the tolerance: to which side, as expected and at the earliest."""

    side: str | None
    expected: date | None
    early: date | None
    thinnest: date | None


def _crossings(now: Trend, aim: Aim, today: date) -> Crossings:
    weeks = np.arange(HORIZON + 1) / 7
    states = [now.after(float(week)) for week in weeks]
    mean = np.array([state.mean[0] for state in states])
    give = TENTH * np.array([np.sqrt(state.covariance[0, 0]) for state in states])
    drifting = abs(now.mean[1]) > LIKELY * np.sqrt(now.covariance[1, 1])
    expected = _first(drifting & ((mean < aim.least) | (mean > aim.most)))
    early = _first((mean - give < aim.least) | (mean + give > aim.most))
    thinnest = _first(mean - give < aim.low)
    side = None
    if expected is not None:
        side = "thin" if mean[expected] < aim.least else "thick"
    return Crossings(side, *(_day(today, i) for i in (expected, early, thinnest)))


def _first(true: NDArray[np.bool_]) -> int | None:
    return int(np.argmax(true)) if true.any() else None


def _day(today: date, days: int | None) -> date | None:
    return None if days is None else today + timedelta(days=days)


def _next_check(
    state: str, last: date | None, ahead: Crossings, checks_per_week: int, today: date
) -> date:
    """The day of the next check: by the habit advised, sooner where a limit comes near."""
    if last is None or state in ("none", "thin", "thick", "unstable"):
        return today
    usual = last + timedelta(days=7 // checks_per_week)
    if ahead.expected is not None:
        usual = min(usual, today + (ahead.expected - today) // 2)
    return max(today, usual)


def _spread(now: Trend, which: int) -> Spread:
    return Spread.normal(float(now.mean[which]), float(np.sqrt(now.covariance[which, which])))


def _wet_offset(series: Series) -> Spread | None:
    offset = wet_offset(series)
    return None if offset is None else Spread.normal(*offset)


def _points(series: Series, averages: Floats, target: float, half: float) -> tuple[ChartPoint, ...]:
    return tuple(
        ChartPoint(
            date=series.days[i],
            centre_mm=float(series.centre[i]),
            average_mm=float(averages[i]),
            low_mm=target - half,
            high_mm=target + half,
            called=bool(abs(averages[i] - target) > half + 1e-12),
            event=series.event[i],
            wet=None if np.isnan(series.wet[i]) else bool(series.wet[i]),
        )
        for i in range(len(series))
    )
