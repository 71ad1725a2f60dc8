"""Daily or hourly weather of a place from whatever table holds it, for the study of the outlook.

Read are tables with a heading (CSV, TSV, semicolons, spaces; .gz too) and ISD-Lite files. Columns
are known by their names: a date (or year, month and day, or year and day of the year), a
temperature (or lowest and highest), and dew point, relative humidity or vapour pressure.
"""

import gzip
import io
import re
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pandas as pd

from planner.air.days import Days
from planner.air.humidity import saturation_pressure, vapour_pressure
from planner.weather.hours import Hours, mended

FILL = (-99.0, -99.9, -999.0, -999.9, -9999.0, 999.9, 9999.0, 9999.9, 999.0)
HEADING_WITHIN = 80  # lines; archives put a few of their own before it
SPACES = r"\s+"
WHOLE = 0.75  # share of the usual number of values that a day must have
MOST_DAILY_MEAN_C = 55.0  # above it a column of daily means is in Fahrenheit
DATE = r"((local|utc)_?)?(date|day|time|timestamp|date_?time|valid|yyyymmdd|time_hour|mess_datum)"
YEAR, MONTH, DAY_OF = r"(year|yr|yyyy)", r"(month|mo|mm|mon)", r"(day|dy|dd|dom)"
DAY_OF_YEAR = r"(doy|dayofyear|day_of_year|yday|jday)"
MEAN = r"((daily|hourly)_?)?((mean|avg|average)_?)?(air_?)?"
OF_THE_DAY = r"(_?2m)?(_?(mean|avg|average))?"
TEMPERATURE = (
    rf"{MEAN}(temp|temperature|t|ta|tair|t2m|tas|tmean|tavg|temp_c|dry_?bulb|tm|tmk|tt_tu|tdry)"
    rf"(_?(temperature|temp))?{OF_THE_DAY}"
)
LOWEST = (
    r"(t_?min|(temp|temperature)_?min|min_?(temp|temperature)|(temperature_|t)2m_min|tasmin|tn)"
)
HIGHEST = (
    r"(t_?max|(temp|temperature)_?max|max_?(temp|temperature)|(temperature_|t)2m_max|tasmax|tx)"
)
DEW = (
    rf"{MEAN}(dew|dewp|dptp|tdew|td|d2m|dew_?point|dwpt|tdmean|dpt|t2mdew)"
    rf"(_?(temperature|temp))?{OF_THE_DAY}"
)
HUMIDITY = (
    rf"{MEAN}(rh|rhum|humid|humidity|rel(ative)?_?hum(idity)?|hurs|rhmean|hum|rh2m|rhavg|upm|rf_tu)"
    rf"{OF_THE_DAY}"
)
VAPOUR = rf"{MEAN}(vap|vp|ea|e|(actual_?)?vapou?r(_?press(ure)?)?|vpr|avp|vpm){OF_THE_DAY}"
UNIT = re.compile(
    r"(?:[_ ]+|[_ ]*[(\[]|(?=[°%]))"
    r"(°?c|degc|celsius|°?f|degf|fahrenheit|k|kelvin|%|pct|percent|hpa|kpa|pa|mb|mbar)[)\]]?$"
)
KINDS = {
    "date": DATE, "year": YEAR, "month": MONTH, "day": DAY_OF, "doy": DAY_OF_YEAR,
    "temperature": TEMPERATURE, "lowest": LOWEST, "highest": HIGHEST, "dew": DEW,
    "humidity": HUMIDITY, "vapour": VAPOUR,
}  # fmt: skip


class Unreadable(Exception):
    """A file that holds no weather that could be read; the words say why."""


def sites(folder: Path, *, lowest_for_dew: bool = False) -> Iterator[tuple[str, Days | Unreadable]]:
    """Yield the name and days of each place under a folder.

    Files of single years are joined, whether the year stands in their names or in their folder's.
    """
    groups: dict[str, list[Path]] = defaultdict(list)
    for path in sorted(p for p in folder.rglob("*") if p.is_file() and p.name[0] != "."):
        name = re.sub(r"(\.(csv|txt|tsv|dat|gz|isd|lite|op))+$", "", path.name, flags=re.I)
        station = re.sub(r"(^|[-_. ])(19|20)\d\d$", "", name) or path.parent.name
        above = path.parent.relative_to(folder).parts
        kept = [part for part in above if not re.fullmatch(r"(19|20)\d\d", part)]
        groups["/".join([*kept, station])].append(path)
    for name, paths in groups.items():
        try:
            yield name, joined([days_of(path, lowest_for_dew=lowest_for_dew) for path in paths])
        except Unreadable as error:
            yield name, error


def joined(tables: list[Days]) -> Days:
    """Return tables as one; of a day that is there twice, the first."""
    day = np.concatenate([table.day for table in tables])
    _, first = np.unique(day, return_index=True)
    columns = [
        np.concatenate([getattr(table, name) for table in tables])[first]
        for name in ("temperature", "vapour_pressure", "hours")
    ]
    return Days(day[first], *columns)


def days_of(path: Path, *, lowest_for_dew: bool = False) -> Days:
    """Return the days of one file; *lowest_for_dew* takes the lowest temperature as dew point.

    Raises
    ------
    Unreadable
        With what is missing.
    """
    try:
        raw = path.read_bytes()
        text = (gzip.decompress(raw) if raw[:2] == b"\x1f\x8b" else raw).decode(
            "utf-8-sig", "replace"
        )
    except (OSError, EOFError) as error:
        raise Unreadable(str(error)) from error
    frame = _isd_lite(text) if _is_isd_lite(text) else _table(text, lowest_for_dew=lowest_for_dew)
    return by_day(frame)


def by_day(frame: pd.DataFrame) -> Days:
    """Return a table of ``time``, ``temperature`` [°C] and ``vapour`` [Pa] by the day."""
    frame = frame.dropna(subset=["time"])
    time = frame["time"].to_numpy().astype("datetime64[s]")
    air = mended(Hours(time, frame["temperature"].to_numpy(float), frame["vapour"].to_numpy(float)))
    sound = np.isfinite(air.temperature) & np.isfinite(air.vapour_pressure)
    values = pd.DataFrame({"t": air.temperature[sound], "e": air.vapour_pressure[sound]})
    grouped = values.groupby(time[sound].astype("datetime64[D]"))
    means, count = grouped.mean(), grouped.size().to_numpy()
    if not len(count):
        raise Unreadable("no row with date, temperature and humidity")
    whole = count >= WHOLE * np.median(count)
    day = means.index.to_numpy().astype("datetime64[D]")
    days = Days(day, means["t"].to_numpy(), means["e"].to_numpy(), np.full(len(day), 24))
    return days.where(whole)


def _is_isd_lite(text: str) -> bool:
    first = text.split("\n", 1)[0].split()
    return len(first) == 12 and all(re.fullmatch(r"-?\d+", part) for part in first)


def _isd_lite(text: str) -> pd.DataFrame:
    """NOAA ISD-Lite: year, month, day, hour (UTC), air temperature and dew point in tenths."""
    table = pd.read_csv(io.StringIO(text), sep=r"\s+", header=None, usecols=range(6))
    table = table.mask(table == -9999)
    table.columns = ["year", "month", "day", "hour", "t", "d"]
    time = pd.to_datetime(table[["year", "month", "day", "hour"]], errors="coerce")
    return pd.DataFrame(
        {
            "time": time,
            "temperature": table["t"] / 10,
            "vapour": saturation_pressure(table["d"] / 10),
        }
    )


def _table(text: str, *, lowest_for_dew: bool) -> pd.DataFrame:
    lines = text.splitlines()
    for number, line in enumerate(lines[:HEADING_WITHIN]):
        for sep in (",", ";", "\t", "|", SPACES):
            cells = line.split() if sep == SPACES else line.split(sep)
            columns = _columns([cell.strip(' "#') for cell in cells])
            if _enough(columns, lowest_for_dew=lowest_for_dew):
                return _air(*_body(lines[number:], sep, columns))
    first = next((line for line in lines if line.strip()), "")[:60]
    raise Unreadable(
        "no heading with a date, a temperature and a humidity in its first lines; it begins "
        f"with: {first}"
    )


def _body(
    lines: list[str], sep: str, columns: dict[str, int]
) -> tuple[dict[str, pd.Series], dict[str, str]]:
    """Return the columns of a table by kind, and their units as the heading names them."""
    table = pd.read_csv(
        io.StringIO("\n".join(lines)),
        sep=sep,
        engine="python" if sep == SPACES else "c",
        on_bad_lines="skip",
        skipinitialspace=sep != "\t",
        index_col=False,
    )
    found = {kind: table[table.columns[i]] for kind, i in columns.items()}
    return found, {kind: _unit(str(table.columns[i])) for kind, i in columns.items()}


def _columns(heading: list[str]) -> dict[str, int]:
    """Return the position of each kind of column; the better of several names comes first."""
    found: dict[str, int] = {}
    for i, head in enumerate(heading):
        name = re.sub(r"[^a-z0-9%°()\[\]]+", "_", head.strip().lower()).strip("_")
        bare = UNIT.sub("", name).strip("_") or name
        for kind, pattern in KINDS.items():
            if kind not in found and re.fullmatch(pattern, bare):
                found[kind] = i
    return found


def _enough(columns: dict[str, int], *, lowest_for_dew: bool) -> bool:
    date = (
        "date" in columns
        or {"year", "doy"} <= columns.keys()
        or {"year", "month", "day"} <= columns.keys()
    )
    warm = "temperature" in columns or {"lowest", "highest"} <= columns.keys()
    damp = {"dew", "humidity", "vapour"} & columns.keys() or (
        lowest_for_dew and "lowest" in columns
    )
    return bool(date and warm and damp)


def _unit(head: str) -> str:
    found = UNIT.search(head.strip().lower())
    return re.sub(r"[^a-z%]", "", found.group(1)).removeprefix("deg") if found else ""


def _air(found: dict[str, pd.Series], units: dict[str, str]) -> pd.DataFrame:
    values = {kind: _numbers(column) for kind, column in found.items() if kind not in ("date",)}

    def celsius(kind: str) -> pd.Series:
        return _celsius(values[kind], units[kind])

    warm = (
        celsius("temperature")
        if "temperature" in found
        else (celsius("lowest") + celsius("highest")) / 2
    )
    if "vapour" in found:
        damp = values["vapour"] * _pascals(values["vapour"], units["vapour"])
    elif "dew" in found:
        damp = pd.Series(saturation_pressure(_dew(values["dew"], units["dew"], warm)))
    elif "humidity" in found:
        share = values["humidity"] * (1.0 if values["humidity"].max() > 1.5 else 100.0)
        damp = pd.Series(vapour_pressure(share, warm))
    else:
        damp = pd.Series(saturation_pressure(celsius("lowest")))
    return pd.DataFrame(
        {"time": _time(found, values), "temperature": warm.to_numpy(), "vapour": np.asarray(damp)}
    )


def _numbers(column: pd.Series) -> pd.Series:
    if column.dtype == object or not pd.api.types.is_numeric_dtype(column):
        column = (
            column.astype(str).str.replace(",", ".", n=1, regex=False).str.rstrip("*ABCDEFGHI ")
        )
    numbers = pd.to_numeric(column, errors="coerce").astype(float)
    return numbers.mask(numbers.isin(FILL))


def _celsius(values: pd.Series, unit: str) -> pd.Series:
    if unit in ("k", "kelvin") or values.median() > 150.0:
        return values - 273.15
    if unit in ("f", "fahrenheit") or (not unit and values.quantile(0.999) > MOST_DAILY_MEAN_C):
        return (values - 32.0) / 1.8
    return values


def _dew(values: pd.Series, unit: str, warm: pd.Series) -> pd.Series:
    """Dew points in °C; without a unit, by which they lie below the temperatures."""
    plain, converted = values, (values - 32.0) / 1.8
    if unit or values.quantile(0.999) > MOST_DAILY_MEAN_C or values.median() > 150.0:
        return _celsius(values, unit)
    above = [(dew > warm + 1.0).mean() for dew in (plain, converted)]
    return converted if above[0] > above[1] + 0.05 else plain


def _pascals(values: pd.Series, unit: str) -> float:
    """What to multiply a vapour pressure by; without a unit, by its size."""
    if unit:
        return {"pa": 1.0, "kpa": 1000.0, "hpa": 100.0, "mb": 100.0, "mbar": 100.0}.get(unit, 1.0)
    middle = float(values.median())
    return 1.0 if middle > 60.0 else 100.0 if middle > 4.0 else 1000.0


def _time(found: dict[str, pd.Series], values: dict[str, pd.Series]) -> pd.Series:
    if "date" in found and not (
        {"year", "month"} <= found.keys() and "day" in found and _small(values.get("day"))
    ):
        text = found["date"].astype(str).str.strip().str.removesuffix(".0")
        forms = (("%Y%m%d", r"\d{8}"), ("%Y%m%d%H", r"\d{10}"), ("mixed", r".*"))
        form = next(form for form, signs in forms if text.str.fullmatch(signs).mean() > 0.9)
        stamps = pd.to_datetime(text, format=form, errors="coerce", utc=True)
        if stamps.notna().mean() > 0.5:
            return stamps.dt.tz_localize(None)
    if {"year", "month", "day"} <= values.keys():
        parts = pd.DataFrame({key: values[key] for key in ("year", "month", "day")})
        return pd.to_datetime(parts, errors="coerce")
    if {"year", "doy"} <= values.keys():
        first = pd.to_datetime(
            values["year"].astype("Int64").astype(str), format="%Y", errors="coerce"
        )
        return first + pd.to_timedelta(values["doy"] - 1, unit="D")
    raise Unreadable("no date could be read")


def _small(column: pd.Series | None) -> bool:
    return column is not None and bool(column.max() <= 31)
