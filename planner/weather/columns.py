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
NAMES = {"date": TIME, "day": TIME, "timestamp": TIME, "datetime": TIME}
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
    """Find the columns in a heading; *renamed* maps headings of the maker's own to ours.

    Raises
    ------
    TableError
        If a column is missing or there twice, with what was found.
    """
    own = {_plain(key): value for key, value in (renamed or {}).items()}
    found: dict[str, int] = {}
    for number, head in enumerate(heading):
        head = own.get(_plain(head), _plain(head))
        head = NAMES.get(head, head)
        if head in found and head in (TIME, *LIMITS):
            cell = BadCell(name, row, head, head, "each column once")
            raise TableError(f"{name} has a column twice; nothing was stored.", (cell,))
        found.setdefault(head, number)
    temperature = [key for key in ("temperature_c", "temperature_f") if key in found]
    humidity = [key for key in ("dew_point_c", "dew_point_f", "rh_pct") if key in found]
    if TIME not in found or not temperature or not humidity:
        raise TableError(
            f"{name}, row {row}: the columns are {', '.join(h for h in heading if h) or 'none'}; "
            "needed are time, temperature_c, and dew_point_c or rh_pct. "
            "Rename the headings in the file. Nothing was stored."
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


def _plain(head: str) -> str:
    """Return a heading in lower case, words joined: "Dew point (°C)" is ``dew_point_c``."""
    unit = {"%": "_pct", "°c": "_c", "°f": "_f"}
    text = str(head).strip().casefold()
    for sign, word in unit.items():
        text = text.replace(sign, word)
    return re.sub(r"[^\w]+|_+", "_", text).strip("_").replace("__", "_")
