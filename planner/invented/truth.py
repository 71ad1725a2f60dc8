"""What is true of the invented workshop: the figures that its history is made from.

All of it is invented, places and people included. The effects lie within the geometry and the trade
practice that the opening model's priors stand on.
"""

from dataclasses import dataclass, field, replace
from datetime import date

import numpy as np

from planner.weather.places import Place

DRY_SPREAD = 0.02  # mm, how much the dry reed's distance from the soaked one differs


@dataclass(frozen=True)
class Climate:
    """Daily weather of a place: the year's course, and how far the days stray from it.

    Attributes
    ----------
    mean, amplitude : of the temperature over the year. [°C]
    warmest : day of the year that is warmest
    stray : standard deviation of a day's temperature in summer and winter. [°C]
    spread_winter, spread_summer : usual distance of dew point and temperature. [°C]
    lake : what a large open lake adds to the temperature in autumn, until it freezes. [°C]
    freezes : day of the year on which the lake freezes, as a rule
    """

    mean: float
    amplitude: float
    warmest: float
    stray: tuple[float, float]
    spread_winter: float
    spread_summer: float
    lake: float = 0.0
    freezes: float = 350.0


@dataclass(frozen=True)
class RoomTruth:
    """How a room answers the weather: set-point [°C], rise above it, moisture added [g/m³].

    ``lag`` is how slowly the vapour follows [days], ``wander`` what comes and goes on its own
    [% relative humidity]; ``floor`` is what a humidifier holds at least [%].
    """

    set_point: float
    warming: float
    balance: float
    excess_cold: float
    excess_mild: float
    lag: float
    wander: float = 1.5
    floor: float = 0.0


@dataclass(frozen=True)
class PlaceTruth:
    """A place of the workshop: where it is said to be, its climate, its room, its share."""

    place: Place
    climate: Climate
    room: RoomTruth
    share: float


@dataclass(frozen=True)
class GougerTruth:
    """The gouger: set to ``aim``, creeping thicker as the blade dulls, until it is sharpened.

    ``drift`` is per week since the blade was last sharpened; after a sharpening the setting is off
    by ``reset`` (standard deviation). ``piece`` is the spread from piece to piece, ``gauge`` that
    of measuring one. All in mm.
    """

    aim: float = 0.590
    drift: float = 0.0008
    reset: float = 0.002
    piece: float = 0.008
    gauge: float = 0.003
    sharpened: tuple[date, ...] = (
        date(2023, 8, 7),
        date(2024, 2, 12),
        date(2024, 8, 5),
        date(2025, 1, 20),
        date(2025, 7, 7),
        date(2025, 12, 15),
        date(2026, 6, 22),
    )


@dataclass(frozen=True)
class Truth:
    """What decides how far a reed of the workshop stands open.

    Opening = level + lot + diameter (D - 10.5) + gouge (G - 0.59) + moisture (M - 8.5) + noise, in
    mm; ``level_shift`` is added from the day ``shifted`` on, when a new knife came. One reed in
    ``1 / outliers`` is spoilt and off by ``outlier`` (standard deviation). The maker says closed
    below ``wanted[0]`` and open above ``wanted[1]``, with a doubt of ``judging``.
    """

    level: float = 0.805
    diameter: float = -0.22
    gouge: float = 2.2
    moisture: float = 0.028
    spread: float = 0.062
    lot_spread: float = 0.03
    outliers: float = 0.015
    outlier: float = 0.25
    dry_offset: float = -0.13
    level_shift: float = -0.035
    shifted: date = date(2025, 3, 10)
    wanted: tuple[float, float] = (0.72, 0.88)
    judging: float = 0.01
    gouger: GougerTruth = field(default_factory=GougerTruth)
    places: tuple[PlaceTruth, ...] = ()


REFERENCE = (10.5, 0.59, 8.5)  # diameter and gouge [mm], moisture content [%]

BENCH = PlaceTruth(
    Place("Quillhaven", 49.42, 15.55, "Europe/Prague", 510.0),
    Climate(8.0, 10.5, 201.0, (3.2, 4.2), 2.6, 6.5),
    RoomTruth(20.2, 0.5, 13.0, 1.4, 0.4, 0.9),
    0.45,
)
COLD_DRY = PlaceTruth(
    Place("Frostmere", 53.25, -98.3, "America/Winnipeg", 220.0),
    Climate(1.5, 19.0, 200.0, (3.0, 5.5), 4.0, 6.0, lake=15.0, freezes=350.0),
    RoomTruth(21.3, 0.45, 14.0, 2.2, 0.4, 0.7),
    0.30,
)
HUMID_COAST = PlaceTruth(
    Place("Saltreed", 43.45, -3.95, "Europe/Madrid", 15.0),
    Climate(14.8, 5.6, 222.0, (1.8, 2.4), 3.2, 3.4),
    RoomTruth(20.0, 0.7, 15.0, 1.2, 0.6, 0.6),
    0.25,
)

SAMPLE = Truth(places=(BENCH, COLD_DRY, HUMID_COAST))


def drawn(generator: np.random.Generator) -> Truth:
    """Return another truth: effects, level and rooms drawn about general experience.

    The effects are drawn as widely as the priors of the opening model (diameter 0.15 about -0.20 mm
    per mm, gouge 3 about 2 mm per mm, moisture 0.025 about 0.019 mm per %; derived from geometry,
    no published measurement), so that intervals can be held against what they promise.
    """
    normal = generator.normal
    return replace(
        SAMPLE,
        level=float(normal(0.80, 0.03)),
        diameter=float(normal(-0.20, 0.15)),
        gouge=float(normal(2.0, 3.0)),
        moisture=float(normal(0.019, 0.025)),
        spread=float(np.clip(normal(0.075, 0.015), 0.04, 0.12)),
        lot_spread=float(abs(normal(0.0, 0.04))),
        dry_offset=float(normal(-0.12, 0.04)),
        level_shift=float(normal(0.0, 0.03)),
        places=tuple(replace(p, room=_drawn_room(p.room, generator)) for p in SAMPLE.places),
    )


def _drawn_room(room: RoomTruth, generator: np.random.Generator) -> RoomTruth:
    return replace(
        room,
        set_point=room.set_point + float(generator.normal(0.0, 0.6)),
        excess_cold=max(0.0, room.excess_cold + float(generator.normal(0.0, 0.8))),
        excess_mild=max(0.0, room.excess_mild + float(generator.normal(0.0, 0.3))),
        lag=float(room.lag * np.exp(generator.normal(0.0, 0.4))),
    )
