"""From the rows of the record to the arrays that the room and the opening learn from."""

from collections.abc import Sequence
from datetime import timedelta

import numpy as np
from numpy.typing import NDArray

from planner.air.days import Dates, Days
from planner.cane.moisture import NOTED_SD, USUAL_MOISTURE, moisture_on, noted_moisture
from planner.history.tables import Reading, Reed
from planner.opening.observations import UNJUDGED, VERDICTS, Floats, Observations
from planner.room.model import RoomFit, indoor
from planner.room.readings import Readings
from planner.weather.past import past_air

LEAD_IN = timedelta(days=45)  # days of weather before the first day wanted, for the room's lag
APART = timedelta(days=180)  # between reeds; the days between them needn't be gone through
HISTORY_DRAWS = 64  # enough for a mean and a spread of a past day's moisture

# Spread of the moisture content where only the season was known, and where not even that. [%]
# Guesses: a room's weeks spread about 1 % about the season, the seasons about 2 %.
SEASON_ONLY_SD = 1.0
UNKNOWN_SD = 2.0


def middle_of(reed: Reed) -> float:
    """Return the diameter of a reed's tube, the middle of its class where only that is known."""
    low, high = diameters_of(reed)
    return (low + high) / 2


def diameters_of(reed: Reed) -> tuple[float, float]:
    """Return the limits within which a reed's diameter is known, equal where it was measured."""
    if reed.diameter_mm is not None:
        return reed.diameter_mm, reed.diameter_mm
    assert reed.diameter_low_mm is not None
    assert reed.diameter_high_mm is not None
    return reed.diameter_low_mm, reed.diameter_high_mm


def readings_of(readings: Sequence[Reading], place: str, zone: str) -> Readings:
    """Return the readings of one place as arrays; *zone* is its time zone."""
    own = [reading for reading in readings if reading.place == place]
    return Readings(
        np.array([r.time.replace(tzinfo=None) for r in own], dtype="datetime64[s]"),
        np.array(
            [np.nan if r.temperature_c is None else r.temperature_c for r in own], dtype=float
        ),
        np.array([r.rh_pct for r in own], dtype=float),
        zone,
    )


def observe(
    reeds: Sequence[Reed], rooms: dict[str, RoomFit], outdoor: dict[str, Days]
) -> Observations:
    """Return the judged reeds, ascending by day, with the moisture of their cane as arrays."""
    moisture, spread = _moistures(reeds, rooms, outdoor)
    lots = tuple(sorted({reed.lot for reed in reeds if reed.lot}))
    number = {lot: index for index, lot in enumerate(lots)}
    diameters = np.array([diameters_of(reed) for reed in reeds], dtype=float).reshape(-1, 2)
    return Observations(
        day=np.array([reed.date for reed in reeds], dtype="datetime64[D]"),
        diameter_low=diameters[:, 0],
        diameter_high=diameters[:, 1],
        gouge=_floats([reed.gouge_mm for reed in reeds]),
        moisture=moisture,
        moisture_sd=spread,
        opening=_floats([reed.opening_mm for reed in reeds]),
        verdict=np.array(
            [VERDICTS[reed.verdict] if reed.verdict else UNJUDGED for reed in reeds], np.int8
        ),
        lot=np.array([number[reed.lot] if reed.lot else -1 for reed in reeds], np.int64),
        dry=np.array([reed.measured == "dry" for reed in reeds], np.bool_),
        lots=lots,
    )


def _floats(values: Sequence[float | None]) -> Floats:
    return np.array([np.nan if value is None else value for value in values], dtype=float)


def _moistures(
    reeds: Sequence[Reed], rooms: dict[str, RoomFit], outdoor: dict[str, Days]
) -> tuple[Floats, Floats]:
    """Mean and spread of the cane's moisture content of each reed when judged (reeds,). [%]"""
    mean, spread = np.full(len(reeds), USUAL_MOISTURE), np.full(len(reeds), UNKNOWN_SD)
    place = np.array([reed.place for reed in reeds])
    day = np.array([reed.date for reed in reeds], dtype="datetime64[D]")
    for name, room in rooms.items():
        here = np.flatnonzero(place == name)
        if len(here):
            mean[here], spread[here] = _moisture_at(day[here], room, outdoor[name])
    noted = np.array([reed.room_rh_pct is not None for reed in reeds], np.bool_)
    if noted.any():
        humidity = _floats([reed.room_rh_pct for reed in reeds])[noted]
        mean[noted], spread[noted] = noted_moisture(humidity), NOTED_SD
    return mean, spread


def _moisture_at(day: Dates, room: RoomFit, outdoor: Days) -> tuple[Floats, Floats]:
    """Mean and spread on the days (n,) at one place, from its weather and its room."""
    air, known = past_air(outdoor, day.min().item() - LEAD_IN, day.max().item())
    few = room.thinned(HISTORY_DRAWS)
    draws = np.empty((len(few.theta), len(day)))
    for own in _stretches(day):
        first, last = day[own].min().item() - LEAD_IN, day[own].max().item() + LEAD_IN
        draws[:, own] = moisture_on(indoor(air.part(first, last), few), day[own])
    on_day = known[(day - air.days[0]).astype(int)]
    spread = np.hypot(draws.std(axis=0), np.where(on_day, 0.0, SEASON_ONLY_SD))
    return draws.mean(axis=0), spread


def _stretches(day: Dates) -> list[NDArray[np.int64]]:
    """Positions of days (n,) that lie near each other; a room forgets in longer than APART."""
    order = np.argsort(day, kind="stable")
    ends = np.flatnonzero(np.diff(day[order]) > np.timedelta64(APART)) + 1
    return np.split(order, ends)
