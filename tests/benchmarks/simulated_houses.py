"""Write hourly logs of simulated houses under real outdoor weather, for ``room_houses.py``.

    python tests/benchmarks/simulated_houses.py FOLDER --houses 12

The houses are not made from the planner's own room model: one zone by the hour, with people, night
set-back, absences, windows opened when it is warm, air conditioning in some, a humidifier in some,
a quick and a slow moisture store, and a hygrometer that is off. Sizes are guesses at usual homes
and workrooms. Outdoors: NOAA ISD-Lite hours of Chicago, Mount Shasta and Northway, as carried by
the package diyepw (US government work, public domain).
"""

import argparse
import gzip
import importlib.util
from dataclasses import dataclass, fields
from pathlib import Path

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from planner.air.humidity import relative_humidity, saturation_pressure, vapour_pressure

STATIONS = {
    "chicago": ("725300", (2015, 2016, 2017)),
    "shasta": ("725957", (2015, 2016, 2017)),
    "northway": ("702910", (2018, 2019)),
}
GAS_CONSTANT = 461.5
MISSING = -9999
Values = NDArray[np.float64]


@dataclass
class Houses:
    """Properties of several houses, each (houses,)."""

    leakage: Values  # air changes an hour, still air
    source: Values  # moisture of people, kitchen and bath [kg/(m³ h)]
    set_point: Values
    set_back: Values
    time_constant: Values  # of the walls [h]
    free_heat: Values  # what people and machines warm the house by [K]
    sun: Values  # what the summer sun adds [K]
    airing: Values  # how much more they air from 18 °C outdoors than in the cold
    window: Values  # air changes with windows open
    window_at: Values  # indoor temperature that opens them [°C]
    cooled: NDArray[np.bool_]
    cooled_to: Values
    humidified: NDArray[np.bool_]
    humidified_to: Values
    store: Values  # quick moisture store, times that of the air
    slow_store: Values
    slow_days: Values
    hygrometer_off: Values
    thermometer_off: Values


def draw_houses(count: int, generator: np.random.Generator) -> Houses:
    """Draw houses as they may be."""
    g = generator
    return Houses(
        leakage=g.lognormal(np.log(0.45), 0.4, count),
        source=g.lognormal(np.log(0.0009), 0.5, count),
        set_point=g.normal(20.8, 1.2, count),
        set_back=g.choice([0.0, 1.5, 3.0], count, p=[0.4, 0.4, 0.2]),
        time_constant=g.uniform(30, 120, count),
        free_heat=g.uniform(1.5, 5, count),
        sun=g.uniform(0.5, 4, count),
        airing=g.uniform(0.5, 3, count),
        window=g.uniform(0.5, 4, count),
        window_at=g.normal(24.0, 1.0, count),
        cooled=g.random(count) < 0.4,
        cooled_to=g.normal(24.8, 0.9, count),
        humidified=g.random(count) < 0.15,
        humidified_to=g.normal(40, 4, count),
        store=g.uniform(4, 15, count),
        slow_store=g.uniform(5, 40, count),
        slow_days=g.uniform(10, 30, count),
        hygrometer_off=g.normal(0, 2, count),
        thermometer_off=g.normal(0, 0.4, count),
    )


def live(
    houses: Houses, hour: NDArray[np.int64], outdoor: Values, vapour: Values, seed: int
) -> tuple[Values, Values]:
    """Return hourly temperature and relative humidity of each house, (hours, houses)."""
    g = np.random.default_rng(seed)
    count = len(houses.leakage)
    habit = np.exp(0.25 * g.standard_normal((len(hour) // 168 + 2, count)))
    sunny = g.uniform(0, 2, len(hour) // 24 + 2)
    density = vapour / (GAS_CONSTANT * (outdoor + 273.15))
    room, water = houses.set_point.copy(), np.full(count, 0.007)
    slow, away = water.copy(), np.zeros(count)
    temperature, humidity = np.empty((2, len(hour), count))
    for i, at in enumerate(hour):
        leaving = (at % 24 == 0) & (g.random(count) < 0.004)
        away = np.where(leaving, 24.0 * g.integers(3, 10, count), np.maximum(away - 1, 0))
        present = np.where(away > 0, 0.2, 1.0)
        sun = sunny[i // 24] * _daylight(at)
        room, cooling, air = _warmth(houses, room, outdoor[i], int(at % 24), present, sun)
        source = houses.source * present * habit[i // 168] * _activity(int(at % 24))
        water, slow = _moisture(houses, water, slow, density[i], room, cooling, air, source)
        temperature[i] = room
        humidity[i] = relative_humidity(water * GAS_CONSTANT * (room + 273.15), room)
    noise = g.normal(0, 0.7, humidity.shape)
    shown = np.clip(humidity + houses.hygrometer_off + noise, 1, 100)
    return temperature + houses.thermometer_off, shown


def _daylight(hour: int) -> float:
    season = 1.0 + 0.5 * np.sin(2 * np.pi * (hour / 24 - 80) / 365.25)
    return float(max(0.0, np.sin(np.pi * (hour % 24 - 6) / 12)) * season)


def _activity(hour: int) -> float:
    return 1.6 if 6 < hour < 9 or 17 < hour < 22 else 0.7


def _warmth(
    h: Houses, room: Values, outdoor: float, hour: int, present: Values, sun: float
) -> tuple[Values, Values, Values]:
    """Temperature of the next hour, cooling given [K], air changes an hour."""
    night = hour < 5 or hour >= 22
    wanted = h.set_point - h.set_back * night - 3.0 * (present < 1)
    balance = outdoor + h.free_heat * (0.3 + 0.7 * present) + h.sun * sun
    free = room + (balance - room) / h.time_constant
    conditioned = h.cooled & (outdoor > 22)
    opened = (free > h.window_at) & (outdoor < free) & ~conditioned
    aired = 1 + h.airing * np.clip((outdoor - 8) / 10, 0, 1) * ~conditioned
    air = h.leakage * aired * (1 + 0.02 * np.abs(room - outdoor)) + opened * h.window
    free = free + opened * (outdoor - free) * np.minimum(0.3, 0.05 * h.window)
    heated = np.where(free < wanted, np.minimum(wanted, np.maximum(room, free) + 1.0), free)
    cooling = np.where(h.cooled, np.maximum(heated - h.cooled_to, 0), 0.0)
    return heated - cooling, cooling, air


def _moisture(
    h: Houses,
    water: Values,
    slow: Values,
    outdoor: float,
    room: Values,
    cooling: Values,
    air: Values,
    source: Values,
) -> tuple[Values, Values]:
    """Vapour [kg/m³] of the next hour in the air and in the slow store."""
    full = saturation_pressure(room) / (GAS_CONSTANT * (room + 273.15))
    share = water / full
    lack = np.clip((h.humidified_to / 100 - share) / 0.03, 0, 1) * (room < 23)
    coil = cooling * 2.0 * np.maximum(share - 0.42, 0) * full
    exchange = h.slow_store * (slow - water) / (24 * h.slow_days)
    change = air * (outdoor - water) + source + h.humidified * lack * 0.002 - coil + exchange
    water = np.clip(water + change / h.store, 1e-4, 0.98 * full)
    return water, slow + (water - slow) / (24 * h.slow_days)


def outdoor_hours(station: str, years: tuple[int, ...]) -> tuple[NDArray[np.int64], Values, Values]:
    """Hour numbers (UTC), temperature and vapour pressure; short gaps filled by straight lines."""
    found = importlib.util.find_spec("diyepw")
    if found is None or found.origin is None:
        raise SystemExit("Install diyepw for the outdoor weather: pip install diyepw")
    folder = Path(found.origin).parent / "data" / "noaa_isd_lite_files"
    rows = np.vstack([_table(folder / f"{station}-{year}.gz") for year in years])
    stamps = [f"{y:04d}-{m:02d}-{d:02d}T{h:02d}" for y, m, d, h in rows[:, :4]]
    known = np.array(stamps, dtype="datetime64[h]").astype(np.int64)
    sound = (rows[:, 4] != MISSING) & (rows[:, 5] != MISSING)
    hour = np.arange(known[0], known[-1] + 1)
    temperature = np.interp(hour, known[sound], rows[sound, 4] / 10)
    dew = np.interp(hour, known[sound], rows[sound, 5] / 10)
    return hour, temperature, vapour_pressure(100.0, np.minimum(dew, temperature))


def _table(path: Path) -> NDArray[np.int64]:
    with gzip.open(path) as file:
        return np.loadtxt(file, dtype=np.int64)


def write(folder: Path, count: int, seed: int) -> dict[str, Houses]:
    """Write one table a house, fourteen months each, beginning at different seasons.

    Returns the houses of each station, as they were drawn.
    """
    drawn = {}
    folder.mkdir(parents=True, exist_ok=True)
    for number, (name, (station, years)) in enumerate(STATIONS.items()):
        hour, outdoor, vapour = outdoor_hours(station, years)
        houses = draw_houses(count, np.random.default_rng([seed, number]))
        room, humidity = live(houses, hour, outdoor, vapour, seed)
        for k in range(count):
            begin = 24 * 60 + (k * 24 * 61) % (24 * 300)
            part = slice(begin, begin + 24 * 425)
            pd.DataFrame(
                {
                    "time": pd.to_datetime(hour[part], unit="h", utc=True),
                    "outdoor_temperature_c": outdoor[part].round(1),
                    "outdoor_rh_pct": relative_humidity(vapour, outdoor)[part].round(1),
                    "indoor_temperature_c": room[part, k].round(2),
                    "indoor_rh_pct": humidity[part, k].round(1),
                }
            ).to_csv(folder / f"{name}_{k:02d}.csv", index=False)
        drawn[name] = houses
    return drawn


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("folder", type=Path)
    parser.add_argument("--houses", type=int, default=8, help="houses at each station")
    parser.add_argument("--seed", type=int, default=0)
    options = parser.parse_args()
    for name, houses in write(options.folder, options.houses, options.seed).items():
        for field in fields(houses):
            print(name, field.name, getattr(houses, field.name).astype(float).round(4))
