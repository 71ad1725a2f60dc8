"""The rooms of the invented workshop: their air by the day, and what a hygrometer showed.

Kept apart from the planner's own room model on purpose, and simpler: a balance of vapour, so that
the model is not tested against itself.
"""

from datetime import UTC, date, datetime, timedelta
from typing import NamedTuple
from zoneinfo import ZoneInfo

import numpy as np

from planner.air.days import Air
from planner.air.humidity import (
    Floats,
    excess_pressure,
    relative_humidity,
    vapour_pressure,
)
from planner.invented.truth import RoomTruth

WALLS_LAG = 3.0  # days in which the room's warmth follows the weather
WANDER_KEPT = 0.85  # of yesterday's part that comes and goes on its own
COLD, MILD = 5.0, 15.0  # °C outdoors between which the moisture excess falls
LIMITS = (5.0, 95.0)  # %
SWING = (2.5, 0.7)  # a spot reading about the day's mean: % and °C
SHOWN = (0.0, 100.0)  # %, what a hygrometer can show


class ReadingRow(NamedTuple):
    """A row of the table of readings."""

    time: str
    place: str
    temperature_c: str
    rh_pct: str


def room_air(outdoor: Air, room: RoomTruth, generator: np.random.Generator) -> Air:
    """Return the air of a room of one member over the days of *outdoor*."""
    warmth = _lagged(outdoor.temperature[0], WALLS_LAG)
    indoors = room.set_point + room.warming * np.maximum(warmth - room.balance, 0.0)
    share = np.clip((warmth - COLD) / (MILD - COLD), 0.0, 1.0)
    excess = room.excess_cold + (room.excess_mild - room.excess_cold) * share
    vapour = _lagged(outdoor.vapour_pressure[0], room.lag) + excess_pressure(excess, indoors)
    shocks = generator.normal(0.0, room.wander * np.sqrt(1 - WANDER_KEPT**2), len(indoors))
    humidity = relative_humidity(vapour, indoors) + _summed(shocks, WANDER_KEPT)
    humidity = np.clip(np.maximum(humidity, room.floor), *LIMITS)
    return Air(outdoor.days, indoors[None, :], vapour_pressure(humidity, indoors)[None, :])


def readings(
    air: Air, place: str, zone: str, days: list[date], generator: np.random.Generator
) -> list[ReadingRow]:
    """Return one spot reading on each of some days, at an hour of the working day."""
    rows = []
    for day in days:
        at = int((np.datetime64(day, "D") - air.days[0]).astype(int))
        hour, minute = int(generator.integers(8, 18)), int(generator.integers(0, 12)) * 5
        clock = datetime(day.year, day.month, day.day, hour, minute, tzinfo=ZoneInfo(zone))
        humidity = shown(float(air.relative_humidity[0, at] + generator.normal(0.0, SWING[0])))
        temperature = air.temperature[0, at] + generator.normal(0.0, SWING[1])
        stamp = clock.astimezone(UTC).isoformat().replace("+00:00", "Z")
        rows.append(ReadingRow(stamp, place, f"{temperature:.1f}", f"{humidity:.0f}"))
    return rows


def shown(humidity: float) -> float:
    """Return what a hygrometer shows of a humidity. [%]"""
    return min(max(humidity, SHOWN[0]), SHOWN[1])


def every_few_days(
    first: date, last: date, step: float, generator: np.random.Generator
) -> list[date]:
    """Return days from *first* to *last*, on average *step* days apart."""
    days, day = [], first
    while day <= last:
        days.append(day)
        day += timedelta(days=1 + int(generator.poisson(step - 1)))
    return days


def _lagged(values: Floats, lag: float) -> Floats:
    """Exponential trailing mean (days,) of *lag* days; before the first all days were like it."""
    keep = float(np.exp(-1.0 / lag))
    out = _summed((1.0 - keep) * np.asarray(values), keep)
    return np.asarray(out + values[0] * keep ** np.arange(1, len(values) + 1))


def _summed(values: Floats, keep: float) -> Floats:
    out = np.empty(len(values))
    total = 0.0
    for i, value in enumerate(values):
        total = keep * total + value
        out[i] = total
    return out
