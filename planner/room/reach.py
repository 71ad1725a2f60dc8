"""Rooms that the vapour balance reaches badly: named, and given wider ranges.

Three kinds: a room without heating, whose warmth nobody sets; a room cooled in hot weather, whose
coil takes out water; a damp room, whose ground or walls give water. The maker says so, or the
readings show it. What they add to the ranges is a guess, and shrinks as such days are read.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from planner.air.days import Dates, Days
from planner.air.humidity import Floats, relative_humidity, vapour_density, vapour_pressure
from planner.room.knowledge import RoomKnowledge
from planner.room.readings import Series
from planner.room.response import COOLING_STARTS, COOLING_WIDTH, WALLS_LAG, share, trailing_mean

UNHEATED, COOLED, DAMP = "unheated", "cooled", "damp"

# What readings must show. The bounds are guesses, far from what an ordinary heated room does:
# measured homes hold 18-23 °C in winter and add 0-2 g/m³ in mild weather (see ``priors``).
COLD_DAY, COLD_ROOM = 8.0, 14.0  # °C: outdoors below this, the room below that
HOT_DAY, COOLER = 24.0, 2.0  # °C outdoors, and by how much the room is cooler
MILD_DAYS = (10.0, 20.0)  # °C outdoors
DAMP_EXCESS = 3.5  # g/m³ on such days
DAMP_HUMIDITY = 75.0  # %
LEAST_DAYS = 7

WIDER = {UNHEATED: 5.0, COOLED: 5.0, DAMP: 6.0}  # % RH, standard deviation
HALVED_DAYS = 30.0  # days read after which the variance is half


@dataclass(frozen=True)
class Beyond:
    """One reason why a room is beyond the model's reach.

    Attributes
    ----------
    kind : ``unheated``, ``cooled`` or ``damp``
    said : by the maker; False where the readings show it
    days_read : how many of its days were read: all, or the hot ones of a cooled room
    """

    kind: str
    said: bool
    days_read: int

    @property
    def wider(self) -> float:
        """Standard deviation that it adds to the humidity of its days. [%]"""
        return float(WIDER[self.kind] / np.sqrt(1.0 + self.days_read / HALVED_DAYS))


def beyond_reach(
    knowledge: RoomKnowledge, humidity: Series, temperature: Series, outdoor: Days
) -> tuple[Beyond, ...]:
    """Return why the model reaches a room badly; usually nothing.

    Parameters
    ----------
    knowledge : what the maker has said
    humidity, temperature : of the room by the day
    outdoor : observed days of the place
    """
    read = len(humidity)
    outdoors = _on(temperature.day, outdoor.day, outdoor.temperature)
    cold, hot = outdoors < COLD_DAY, outdoors > HOT_DAY
    freezing = _enough(cold) and np.median(temperature.value[cold]) < COLD_ROOM
    cooler = _enough(hot) and np.median((outdoors - temperature.value)[hot]) > COOLER
    hot_read = int((_on(humidity.day, outdoor.day, outdoor.temperature) > HOT_DAY).sum())
    found = []
    if not knowledge.heated or freezing:
        found.append(Beyond(UNHEATED, not knowledge.heated, read))
    if knowledge.air_conditioned or cooler:
        found.append(Beyond(COOLED, knowledge.air_conditioned, hot_read))
    if knowledge.damp or _damp(humidity, temperature, outdoor):
        found.append(Beyond(DAMP, knowledge.damp, read))
    return tuple(found)


def as_it_is(knowledge: RoomKnowledge, beyond: tuple[Beyond, ...]) -> RoomKnowledge:
    """Return what is known of the room with what its readings show."""
    kinds = {one.kind for one in beyond}
    return replace(
        knowledge,
        heated=UNHEATED not in kinds,
        air_conditioned=COOLED in kinds,
        damp=DAMP in kinds,
    )


def widening(beyond: tuple[Beyond, ...], temperature: Floats) -> Floats:
    """Return the deviation that the reasons add (sets, days) by the outdoor temperature. [% RH]"""
    variance = np.zeros_like(temperature)
    for one in beyond:
        gate: Floats | float = 1.0
        if one.kind == COOLED:
            outdoors = trailing_mean(temperature, np.array([[WALLS_LAG]]))
            gate = share((outdoors - COOLING_STARTS) / COOLING_WIDTH)
        variance = variance + (gate * one.wider) ** 2
    return np.asarray(np.sqrt(variance))


def _damp(humidity: Series, temperature: Series, outdoor: Days) -> bool:
    """Whether the room holds more water than people and plants bring."""
    if len(humidity) < LEAST_DAYS:
        return False
    outdoors = _on(humidity.day, outdoor.day, outdoor.temperature)
    vapour = _on(humidity.day, outdoor.day, outdoor.vapour_pressure)
    indoors = _on(humidity.day, temperature.day, temperature.value)
    mild = (outdoors > MILD_DAYS[0]) & (outdoors < MILD_DAYS[1]) & np.isfinite(indoors)
    if _enough(mild):
        inside = vapour_density(vapour_pressure(humidity.value, indoors), indoors)
        added = inside - vapour_density(vapour, indoors)
        if np.median(added[mild]) > DAMP_EXCESS:
            return True
    # Damp itself, and not only as damp as the weather.
    unlike = humidity.value > relative_humidity(vapour, np.fmax(indoors, outdoors)) + 5.0
    return bool(np.mean((humidity.value > DAMP_HUMIDITY) & unlike) > 0.5)


def _enough(days: NDArray[np.bool_]) -> bool:
    return bool(days.sum() >= LEAST_DAYS)


def _on(days: Dates, have: Dates, values: Floats) -> Floats:
    """Values on *days*, NaN where there are none."""
    if not len(have):
        return np.full(len(days), np.nan)
    at = np.minimum(np.searchsorted(have, days), len(have) - 1)
    return np.where(have[at] == days, values[at], np.nan)
