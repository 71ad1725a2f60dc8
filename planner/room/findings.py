"""What a fit says of its room, in figures a maker can use."""

from dataclasses import dataclass
from datetime import date

import numpy as np

from planner.air.humidity import Floats
from planner.room.hygrometers import Disagreement
from planner.room.knowledge import RoomKnowledge
from planner.room.model import RoomFit
from planner.room.priors import NAMES
from planner.room.reach import Beyond
from planner.room.response import share
from planner.room.wanted import SeasonDoubt
from planner.spread import LEVELS, Spread

WORKS = 0.5  # share of a lack or surplus made good from which a machine is said to hold it
# and how many of the draws may say less, in 100: the two measured homes of the benchmark
# room_houses.py dried less in frost than they should, which half of the draws put down to a machine
DOUBTING = 10.0
LEARNED = 0.5  # share of the prior's spread gone from which a figure is the readings' own


@dataclass(frozen=True)
class Range(Spread):
    """A spread, and the share (0 to 1) by which the readings narrowed the guess."""

    from_readings: float


@dataclass(frozen=True)
class Findings:
    """What was found of a room.

    ``floor`` and ``ceiling`` are None unless something surely holds the humidity there.
    """

    excess_cold: Range  # moisture added at 5 °C outdoors and below [g/m³]
    excess_mild: Range  # at 15 °C [g/m³]
    set_point: Range  # [°C]
    lag: Range  # [days]
    floor: Range | None  # [%]
    ceiling: Range | None  # [%]
    days_read: int
    days_with_temperature: int
    misfit: float  # what a day departs from the model, standard deviation [% RH]
    beyond: tuple[Beyond, ...]  # why the model reaches the room badly
    apart: Disagreement | None  # of two hygrometers


@dataclass(frozen=True)
class WeekRead:
    """A week's mean humidity as read on the days with readings, and as the model has them. [%]"""

    week_start: date
    days_read: int
    read_rh_pct: float
    model_rh_pct: float


@dataclass(frozen=True)
class RoomKnown:
    """What is known of a room as of a day; ``doubts`` begin with the least known season."""

    today: date
    place: str
    knowledge: RoomKnowledge
    found: Findings
    readings: int
    weeks: tuple[WeekRead, ...]
    doubts: tuple[SeasonDoubt, ...]


def findings(room: RoomFit) -> Findings:
    """Return what was found of a room."""
    seen = room.humidity.misfit
    return Findings(
        excess_cold=_range(room, "excess_cold"),
        excess_mild=_range(room, "excess_mild"),
        set_point=_range(room, "set_point"),
        lag=_range(room, "log_lag", logarithm=True),
        floor=_held(room, "floor", "floor_logit"),
        ceiling=_held(room, "ceiling", "ceiling_logit"),
        days_read=len(room.humidity.seen),
        days_with_temperature=len(room.temperature.seen),
        misfit=float(np.hypot(seen.slow, seen.quick)),
        beyond=room.beyond,
        apart=room.apart,
    )


def _held(room: RoomFit, name: str, logit: str) -> Range | None:
    strength = float(np.percentile(share(_column(room, logit)), DOUBTING))
    return _range(room, name) if strength >= WORKS else None


def _range(room: RoomFit, name: str, *, logarithm: bool = False) -> Range:
    values = _column(room, name)
    at = NAMES.index(name)
    before = float(np.sqrt(room.before.covariance[at, at]))
    narrowed = float(np.clip(1.0 - values.std() / before, 0.0, 1.0)) if _read(room) else 0.0
    p10, p50, p90 = np.percentile(np.exp(values) if logarithm else values, LEVELS)
    return Range(float(p10), float(p50), float(p90), narrowed)


def _read(room: RoomFit) -> bool:
    return len(room.humidity.seen) + len(room.temperature.seen) > 0


def _column(room: RoomFit, name: str) -> Floats:
    return np.asarray(room.theta[:, NAMES.index(name)])
