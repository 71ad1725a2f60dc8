"""What pictures show that no other document holds: openings, room, weather. Plain values."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from planner.plan.documents import Spread


@dataclass(frozen=True)
class JudgedReed:
    """A judged reed beside what the model expected of it. [mm]

    ``verdict`` is ``closed``, ``good``, ``open`` or empty; a reed has an opening or a verdict.
    """

    day: date
    opening_mm: float | None
    verdict: str
    expected_mm: Spread


@dataclass(frozen=True)
class HistoryShown:
    """The openings of a history against the model, and the range that the maker wants. [mm]

    ``reeds`` are in the order of their days. ``words`` say how well the two agree, as reckoned by
    the caller.
    """

    reeds: Sequence[JudgedReed]
    wanted_low_mm: float
    wanted_high_mm: float
    words: str = ""


@dataclass(frozen=True)
class RoomShown:
    """A room's daily relative humidity [%]: as the model has it, and as the hygrometer read it.

    ``days`` ascend; ``low``, ``middle`` and ``high`` are the 10th, 50th and 90th percentile of
    each. ``readings`` are daily means of the hygrometer.
    """

    place: str
    days: Sequence[date]
    low_pct: Sequence[float]
    middle_pct: Sequence[float]
    high_pct: Sequence[float]
    readings: Sequence[tuple[date, float]] = ()


@dataclass(frozen=True)
class WeatherShown:
    """Outdoor weather by the day: temperature [°C] and vapour pressure [hPa], days ascending.

    Days from ``forecast_from`` on are forecast; None where all were observed.
    """

    place: str
    days: Sequence[date]
    temperature_c: Sequence[float]
    vapour_pressure_hpa: Sequence[float]
    forecast_from: date | None = None
