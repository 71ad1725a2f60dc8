"""What pictures show that no other document holds: openings, room, weather. Plain values."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from planner.report.words import counted, in_100
from planner.spread import Spread

ENOUGH = 20  # measured reeds: with fewer a share within the band says nothing


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

    ``reeds`` are in the order of their days.
    """

    reeds: Sequence[JudgedReed]
    wanted_low_mm: float
    wanted_high_mm: float

    @property
    def words(self) -> str:
        """How well the two agree."""
        measured = [r for r in self.reeds if r.opening_mm is not None]
        if len(measured) < ENOUGH:
            return ""
        within = sum(
            r.expected_mm.p10 <= r.opening_mm <= r.expected_mm.p90
            for r in measured
            if r.opening_mm is not None
        )
        return (
            f"Of {counted(len(measured), 'measured reed')} shown, "
            f"{in_100(within / len(measured))} lie within the band, which should hold 80. It is "
            "drawn with all that is known now; how well it was foretold, planner review says."
        )


@dataclass(frozen=True)
class QuarterSeen:
    """How the reeds judged within a quarter of a year came out, by verdict or by opening."""

    first: date
    last: date
    closed: int
    good: int
    open: int

    @property
    def reeds(self) -> int:
        """All of them."""
        return self.closed + self.good + self.open


@dataclass(frozen=True)
class RoomBasis:
    """What the plan takes a place's room to be.

    ``set_point_c`` is None for a room without heating; ``held_up_to_pct`` and
    ``held_down_to_pct`` are None unless something holds the humidity there.
    """

    place: str
    set_point_c: Spread | None
    days_read: int
    held_up_to_pct: Spread | None = None
    held_down_to_pct: Spread | None = None
    air_conditioned: bool = False


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
