"""The columns of a weather table: which ones there are, and what may stand in a cell."""

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from planner.errors import BadCell, TableError

TIME = "time"
# Column: lowest and highest value that is let in. A hygrometer in fog shows a little over 100.
LIMITS = {
    "temperature_c": (-90.0, 60.0),
    "temperature_f": (-130.0, 140.0),
    "dew_point_c": (-90.0, 40.0),
    "dew_point_f": (-130.0, 104.0),
    "rh_pct": (0.0, 110.0),
}
COLUMNS = (TIME, *LIMITS)
NAMES = {"date": TIME, "day": TIME, "timestamp": TIME, "datetime": TIME}
# A heading that says its unit: "Temp (°F)", "T [C]", "Temperature, Fahrenheit".
HEADED = re.compile(r"(?:°\s*|[(\[]\s*)([cf])\b|\b(celsius|fahrenheit)\b")
# What loggers and archives write for "nothing measured".
FILL = {-99.9, -999.0, -999.9, -9999.0, 999.0, 999.9, 9999.0, 9999.9, -9900.0}
EMPTY = {"", "na", "n/a", "nan", "null", "none", "-", "--", "m"}


@dataclass(frozen=True)
class Columns:
    """Where the columns stand in a row: the time, the temperature, and one or both humidities."""

    time: int
    temperature: tuple[str, int]
    humidity: tuple[tuple[str, int], ...]


def columns_of(
    heading: Sequence[str], name: str, row: int, renamed: Mapping[str, str] | None = None
) -> Columns:
    """Find the columns in a heading.

    *renamed* maps headings of the maker's own to ours, or to "" where one is to be passed over.

    Raises
    ------
    TableError
        If a column is missing or there twice, with what was found.
    """
    own = {_key(words): column for words, column in (renamed or {}).items()}
    found: dict[str, int] = {}
    for number, words in enumerate(heading):
        key = _key(words)
        column = _in_unit(own[key], words) if key in own else NAMES.get(key, key)
        if column in found and column in COLUMNS:
            cell = BadCell(name, row, column, words, "each column once")
            raise TableError(f"{name} has a column twice; nothing was stored.", (cell,))
        found.setdefault(column, number)
    temperature = [key for key in ("temperature_c", "temperature_f") if key in found]
    humidity = [key for key in ("dew_point_c", "dew_point_f", "rh_pct") if key in found]
    if TIME not in found or not temperature or not humidity:
        there = ", ".join(head for head in heading if head)[:300] or "none"
        raise TableError(
            f"{name}, row {row}: the columns are {there}; "
            "needed are time, temperature_c, and dew_point_c or rh_pct. Rename them, or say which "
            'is which with "planner weather import": --map "yours=temperature_c". '
            "Nothing was stored."
        )
    return Columns(
        found[TIME],
        (temperature[0], found[temperature[0]]),
        tuple((key, found[key]) for key in humidity),
    )


def number_of(cell: Any) -> float | None:
    """Return the number in a cell, NaN for an empty cell or a fill number, None for no number."""
    if isinstance(cell, bool):
        return None
    if isinstance(cell, int | float):
        value = float(cell)
    else:
        text = str(cell).strip().replace("\N{MINUS SIGN}", "-")
        if text.lower() in EMPTY:
            return math.nan
        try:
            value = float(text.replace(",", ".", 1))
        except ValueError:
            return None
        if "_" in text or math.isinf(value):
            return None
    return math.nan if value in FILL else value


def cell_problem(column: str, cell: Any) -> str | None:
    """Return what may stand in a cell, in words, where its content may not."""
    value = number_of(cell)
    low, high = LIMITS[column]
    if value is None or not (math.isnan(value) or low <= value <= high):
        return f"a number from {low:g} to {high:g}, or an empty cell"
    return None


def _in_unit(column: str, words: str) -> str:
    """Return the column of a heading that says °C or °F itself, whatever it was mapped to."""
    said = HEADED.search(words.casefold())
    if said is None or not column.endswith(("_c", "_f")):
        return column
    return f"{column[:-1]}{(said[1] or said[2])[0]}"


def _key(words: str) -> str:
    """Return a heading as headings are compared, one of signs alone as it is."""
    return _plain(words) or words.strip()


def _plain(head: str) -> str:
    """Return a heading in lower case, words joined: "Dew point (°C)" is ``dew_point_c``."""
    unit = {"%": "_pct", "°c": "_c", "°f": "_f"}
    text = str(head).strip().casefold()
    for sign, word in unit.items():
        text = text.replace(sign, word)
    return re.sub(r"[^\w]+|_+", "_", text).strip("_").replace("__", "_")
