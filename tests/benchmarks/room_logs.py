"""Read logs of rooms, however their columns are spelt: for ``room_houses.py``.

A log is a table with a time, the outdoor temperature and humidity, and the indoor temperature and
humidity. What is forgiven: the names and the order of the columns, commas, semicolons or tabs,
decimal commas, °F, humidity as a share of 1, a dew point in place of the outdoor humidity, date and
time in two columns, gaps, rows twice or out of order, a missing heading, other steps than an hour,
from minutes to a day.
"""

import gzip
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd
from room_headings import DEW, TIME, kind_of, quantity_of, words_of

from planner.air.days import Days
from planner.air.hours import days_of_hours
from planner.air.humidity import relative_humidity, vapour_pressure

ENDINGS = (".csv", ".csv.gz", ".tsv", ".tsv.gz", ".txt", ".xlsx", ".ods")
COLUMNS = ("outdoor_c", "outdoor_pct", "indoor_c", "indoor_pct")  # as kept, and as in a bare table
MISSING = ["", "-", "--", "na", "n/a", "nan", "null", "none", "NA", "N/A", "NaN", "NULL", "None"]
WARMEST, COLDEST = 60.0, -60.0  # °C; beyond, a value is taken for missing
SURELY_FAHRENHEIT = 45.0  # a room's usual temperature, if that is no °F
HELD_FOR_A_DAY = 0.75  # of the log's usual readings a day, from which on a day counts
WEATHER_FOR_A_DAY = 0.5  # of the weather's
FEWEST_DAYS = 56


class UnreadableLog(Exception):
    """A table that is no log of a room; the message says why."""


@dataclass(frozen=True)
class Log:
    """One room's log.

    Attributes
    ----------
    name : of the table
    hours : by hour (UTC or the table's own clock): ``outdoor_c``, ``outdoor_pct``, ``indoor_c``,
        ``indoor_pct``
    outdoor : days with half the weather's usual hours or more
    humidity : indoor relative humidity of days with three quarters of the usual hours or more [%]
    notes : what was taken for what
    """

    name: str
    hours: pd.DataFrame
    outdoor: Days
    humidity: pd.Series
    notes: tuple[str, ...]


def tables_in(folder: Path) -> list[Path]:
    """Return the tables of a folder and of the folders within; of a file, that file."""
    if folder.is_file():
        return [folder]
    return sorted(p for p in folder.rglob("*") if p.is_file() and p.name.lower().endswith(ENDINGS))


def read_log(path: Path) -> Log:
    """Read a table.

    Raises
    ------
    UnreadableLog
        If a column can't be found or too few days are left.
    """
    raw = _raw(path)
    notes: list[str] = []
    chosen = _columns(raw, notes)
    time = _time(raw, notes)
    hours = pd.DataFrame({name: _numbers(raw[column]) for name, column in chosen.items()})
    hours = _usual_units(hours, chosen, notes)
    hours = hours[time.notna().to_numpy()].set_index(pd.DatetimeIndex(time.dropna()).floor("h"))
    hours = hours.groupby(level=0).mean().dropna(how="all")
    weather = hours.dropna(subset=["outdoor_c", "outdoor_pct"])
    vapour = np.asarray(vapour_pressure(weather["outdoor_pct"], weather["outdoor_c"]))
    stamps = weather.index.to_numpy().astype("datetime64[s]")
    if not len(stamps):
        raise UnreadableLog("no hour has both an outdoor temperature and an outdoor humidity")
    outdoor = days_of_hours(stamps, weather["outdoor_c"].to_numpy(float), vapour, "UTC")
    outdoor = outdoor.where(outdoor.hours >= WEATHER_FOR_A_DAY * np.median(outdoor.hours))
    humidity = _humidity_by_day(hours["indoor_pct"].dropna(), notes)
    humidity = humidity[humidity.index.isin(pd.DatetimeIndex(outdoor.day))]
    if len(humidity) < FEWEST_DAYS:
        days = f"{len(humidity)} day" + "s" * (len(humidity) != 1)
        raise UnreadableLog(
            f"there are readings indoors and weather beside them on {days}; "
            f"{FEWEST_DAYS} are the fewest that tell anything"
        )
    return Log(path.name.split(".")[0], hours, outdoor, humidity, tuple(notes))


def _humidity_by_day(indoors: pd.Series, notes: list[str]) -> pd.Series:
    """Means of the days that have most of the log's usual readings, be they 24 or 1 a day."""
    by_day = indoors.groupby(indoors.index.normalize())
    count = by_day.count()
    usual = float(count.median()) if len(count) else 0.0
    if 0.0 < usual < HELD_FOR_A_DAY * 24:
        notes.append(f"{usual:.0f} readings a day, a day's mean known only so well")
    return by_day.mean()[count >= HELD_FOR_A_DAY * usual]


def _raw(path: Path) -> pd.DataFrame:
    """Read cells as text, the first line as the heading unless it is a row itself."""
    lower = path.name.lower()
    if lower.endswith((".xlsx", ".ods")):
        table = pd.read_excel(path, header=None, dtype=str, engine="calamine")
    else:
        try:
            table = pd.read_csv(
                path,
                header=None,
                dtype=str,
                sep=_separator(path),
                comment="#",
                encoding="utf-8-sig",
                encoding_errors="replace",
                on_bad_lines="skip",
            )
        except (pd.errors.ParserError, pd.errors.EmptyDataError, ValueError, OSError) as error:
            raise UnreadableLog(f"no table: {error}") from error
    table = table.dropna(how="all").dropna(axis=1, how="all").reset_index(drop=True)
    if len(table) < 2 or table.shape[1] < 5:
        raise UnreadableLog("fewer than two rows or five columns")
    first = table.iloc[0].fillna("").astype(str)
    if _numbers(first).notna().sum() >= 4:
        table.columns = [f"column {i + 1}" for i in range(table.shape[1])]
        return table
    table.columns = [str(cell).strip() or f"column {i + 1}" for i, cell in enumerate(first)]
    return table.loc[1:, ~pd.Index(table.columns).duplicated()].reset_index(drop=True)


def _separator(path: Path) -> str:
    """The character that parts the cells: in most lines, and before a comma, which decimals use."""
    opener = gzip.open if path.name.lower().endswith(".gz") else open
    with opener(path, "rb") as file:
        lines = file.read(20000).decode("utf-8", "replace").splitlines()[:30]
    lines = [line for line in lines if line.strip() and not line.startswith("#")]
    for character in (";", "\t", "|"):
        if lines and sum(character in line for line in lines) > 0.8 * len(lines):
            return character
    return ","


def _numbers(cells: pd.Series) -> pd.Series:
    text = cells.astype("string").str.strip()
    text = text.mask(text.isin(MISSING))
    plain = pd.to_numeric(text, errors="coerce")
    if plain.isna().mean() > text.isna().mean() + 0.5:
        plain = pd.to_numeric(text.str.replace(",", ".", regex=False), errors="coerce")
    return plain.astype(float)


def _columns(raw: pd.DataFrame, notes: list[str]) -> dict[str, str]:
    """Return the column of each quantity."""
    found: dict[str, str] = {}
    for column in raw.columns:
        kind = kind_of(column)
        if kind in found:
            notes.append(f'"{column}" left out beside "{found[kind]}"')
        elif kind:
            found[kind] = column
    for column in raw.columns:
        # Beside columns that say outdoors, those that don't say where are the room's.
        kind = f"indoor_{quantity_of(column)}"
        if kind in COLUMNS and kind not in found and column not in found.values():
            found[kind] = column
            notes.append(f'"{column}" taken as indoors')
    if "outdoor_pct" not in found and "outdoor_dew" in found:
        found["outdoor_pct"] = found["outdoor_dew"]
    chosen = {name: found[name] for name in COLUMNS if name in found}
    if len(chosen) == len(COLUMNS):
        return chosen
    if raw.shape[1] == 5:
        notes.append("columns taken by their order, the headings don't tell")
        return dict(zip(COLUMNS, raw.columns[1:], strict=True))
    lacking = ", ".join(name for name in COLUMNS if name not in found)
    raise UnreadableLog(
        f"no column for {lacking} among {', '.join(raw.columns)}; name them time, outdoor_c, "
        "outdoor_pct, indoor_c and indoor_pct, or keep to these five in this order"
    )


def _usual_units(hours: pd.DataFrame, chosen: dict[str, str], notes: list[str]) -> pd.DataFrame:
    """Bring values to °C and %, what can't be to missing."""
    hours = hours.copy()
    dew = bool(set(words_of(chosen["outdoor_pct"])) & DEW)
    warmth = ["outdoor_c", "indoor_c", *(["outdoor_pct"] if dew else [])]
    hot = hours["indoor_c"].median() > SURELY_FAHRENHEIT
    for name in warmth:
        hours.loc[hours[name].abs() > 200, name] = np.nan
        words = set(words_of(chosen[name]))
        if words & {"f", "fahrenheit", "degf"} or (hot and not words & {"c", "celsius", "degc"}):
            notes.append(f'"{chosen[name]}" taken as °F')
            hours[name] = (hours[name] - 32.0) / 1.8
        hours[name] = hours[name].where(hours[name].between(COLDEST, WARMEST))
    if dew:
        notes.append(f'outdoor humidity from the dew point "{chosen["outdoor_pct"]}"')
        shown = relative_humidity(vapour_pressure(100.0, hours["outdoor_pct"]), hours["outdoor_c"])
        hours["outdoor_pct"] = np.minimum(shown, 100.0)
    for name in ("outdoor_pct", "indoor_pct"):
        good = hours[name].where(hours[name].between(0.0, 200.0))
        if good.quantile(0.99) <= 1.2:
            notes.append(f'"{chosen[name]}" taken as a share of 1')
            good = good * 100.0
        hours[name] = good.where(good.between(1.0, 110.0)).clip(upper=100.0)
    return hours


def _time(raw: pd.DataFrame, notes: list[str]) -> pd.Series:
    """Return the times without a zone: UTC where offsets are given, else as the table has them."""
    parts = {c.strip().lower(): c for c in raw.columns}
    if {"year", "month", "day"} <= set(parts):
        given = [name for name in ("year", "month", "day", "hour", "minute") if name in parts]
        numbers = {name: pd.to_numeric(raw[parts[name]], errors="coerce") for name in given}
        return pd.to_datetime(pd.DataFrame(numbers), errors="coerce")
    named = [c for c in raw.columns if set(words_of(c)) & TIME and kind_of(c) is None]
    cells = [raw[c].astype("string").str.strip() for c in named or raw.columns[:1]]
    tried = list(cells)
    if len(cells) > 1:
        bare = cells[1].str.fullmatch(r"\d{1,2}").mean() > 0.9
        tried.append(cells[0] + " " + (cells[1].str.zfill(2) + ":00" if bare else cells[1]))
    readings = [_parsed(text) for text in tried]
    # The one that tells most hours apart: of a date and an hour, the two together.
    time = max(readings, key=lambda time: time.dt.floor("h").nunique())
    if time.notna().mean() < 0.5:
        raise UnreadableLog(
            f'the times in "{(named or raw.columns[:1])[0]}" can\'t be read, such as '
            f'"{cells[0].iloc[0]}"; 2026-11-25T14:00 can'
        )
    if time.isna().any():
        notes.append(f"{int(time.isna().sum())} rows without a readable time left out")
    return time


def _parsed(text: pd.Series) -> pd.Series:
    number = pd.to_numeric(text, errors="coerce")
    if number.notna().mean() > 0.9:
        unit = "ms" if number.median() > 1e11 else "s"
        if number.median() < 1e8:
            return pd.Series(pd.NaT, index=text.index, dtype="datetime64[ns]")
        return pd.to_datetime(number, unit=unit, errors="coerce")
    ways = _ways(text)
    return max(ways, key=lambda time: (time.notna().sum(), -_backward(time)))


def _ways(text: pd.Series) -> list[pd.Series]:
    iso = bool(text.str.match(r"\d{4}-\d").mean() > 0.5)
    read: list[pd.Series] = []
    for day_first in (False,) if iso else (True, False):
        stamps = pd.to_datetime(
            text,
            errors="coerce",
            utc=True,
            format="ISO8601" if iso else "mixed",
            dayfirst=day_first,
        )
        read.append(stamps.dt.tz_localize(None))
    return read


def _backward(time: pd.Series) -> float:
    """Sum of steps back and of leaps: the wrong order of day and month has many. [h]"""
    steps = time.dropna().diff().dt.total_seconds().dropna() / 3600.0
    return float((steps - steps.median()).abs().sum()) if len(steps) else 0.0


def described(log: Log) -> Iterator[str]:
    """Yield what a log is, for the report."""
    first, last = log.humidity.index[0].date(), log.humidity.index[-1].date()
    yield f"{log.name}: {first} to {last}, {len(log.humidity)} days with weather"
    yield from (f"  {note}" for note in log.notes)
