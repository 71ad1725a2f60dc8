"""What is shown of a weather store: frozen, plain values; field names are keys of ``--json``."""

from dataclasses import dataclass
from datetime import date, datetime

from planner.weather.credits import Credit


@dataclass(frozen=True)
class Imported:
    """What a weather file brought."""

    file: str
    place: str
    kind: str  # observed, forecast or typical
    days: int
    thin: int  # of these, days with too few hours to count
    changed: int  # rows new or changed; 0 for the same file twice
    first: date
    last: date
    notes: tuple[str, ...]


@dataclass(frozen=True)
class Gap:
    """Days in a row that are missing between stored ones."""

    first: date
    last: date

    @property
    def days(self) -> int:
        """How many days are missing."""
        return (self.last - self.first).days + 1


@dataclass(frozen=True)
class Holding:
    """What is stored from one source as one kind."""

    source: str
    kind: str
    days: int
    thin: int
    first: date
    last: date
    fetched_at: datetime
    gaps: tuple[Gap, ...]


@dataclass(frozen=True)
class ForecastLine:
    """The last forecast, and how many are kept as issued."""

    source: str
    issued: date
    last: date
    kept: int
    compared_days: int  # foreseen days that have been compared with what came
    worth: tuple[tuple[int, float], ...]  # days ahead, and correlation with what comes then


@dataclass(frozen=True)
class YearCurve:
    """Mean dew point [°C] of the ISO weeks of a year; None where nothing is stored."""

    year: int
    weeks: tuple[float | None, ...]
    foreseen: frozenset[int]  # weeks, counted from 0, that a forecast is behind


@dataclass(frozen=True)
class Moved:
    """By how much the values of a source are moved, so that all stand on one footing.

    ``shared_days`` are the days that it has in common with the source that is the footing.
    """

    source: str
    temperature_c: float
    vapour_pct: float
    shared_days: int


@dataclass(frozen=True)
class MonthMean:
    """Means of the stored days of one month, as ``2026-11``."""

    month: str
    days: int
    temperature_c: float
    vapour_pressure_hpa: float


@dataclass(frozen=True)
class Shown:
    """All that ``weather show`` tells of a place."""

    place: str
    today: date
    holdings: tuple[Holding, ...]
    forecast: ForecastLine | None
    last_fetch: datetime | None
    sources: tuple[Credit, ...]
    curve: tuple[YearCurve, ...] = ()
    moves: tuple[Moved, ...] = ()
