"""Reading the answers of services, which are trusted in nothing: not in shape, not in type."""

import math
import re
from collections.abc import Iterable, Sequence
from datetime import UTC, datetime
from typing import Any

import numpy as np

from planner.air.days import Dates
from planner.air.humidity import KELVIN, Floats
from planner.weather.http import Refused

OLDEST, NEWEST = 1900, 2200  # years that a time in an answer may lie in


def branch(tree: Any, *keys: str, service: str) -> dict[str, Any]:
    """Return the object at *keys* of an answer.

    Raises
    ------
    Refused
        If it isn't there, or isn't an object.
    """
    for key in keys:
        tree = tree.get(key) if isinstance(tree, dict) else None
    if not isinstance(tree, dict):
        where = ".".join(keys) or "object"
        raise Refused(f"{service} answered in a form that isn't its own: no {where}.")
    return tree


def number(value: Any) -> float:
    """Return a JSON number, NaN for anything else (null, text, true, a number too large)."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return math.nan
    try:
        return float(value)
    except OverflowError:
        return math.nan


def numbers(values: Any, length: int | None = None) -> Floats:
    """Return a JSON list as numbers (n,), NaN where there is none; cut or filled to *length*."""
    found = [number(value) for value in values] if isinstance(values, list) else []
    if length is not None:
        found = [*found[:length], *[math.nan] * (length - len(found))]
    return np.array(found, dtype=float)


def times(values: Iterable[Any]) -> Dates:
    """Return ISO 8601 texts as UTC (n,), NaT where a text is no time; without offset it is UTC."""
    return np.array([_time(value) for value in values], dtype="datetime64[s]")


def time_of(value: Any) -> datetime | None:
    """Return the UTC time of one ISO 8601 text, None where it is none."""
    try:
        found = datetime.fromisoformat(value)
        if found.tzinfo is None:
            found = found.replace(tzinfo=UTC)
        found = found.astimezone(UTC)
    except (ValueError, TypeError, OverflowError):
        return None
    return found if OLDEST <= found.year < NEWEST else None


def _time(value: Any) -> Any:
    found = time_of(value)
    return np.datetime64("NaT") if found is None else np.datetime64(found.replace(tzinfo=None), "s")


def celsius(values: Floats, unit: Any, service: str) -> tuple[Floats, tuple[str, ...]]:
    """Return temperatures in °C, in their shape, and a note where they came in another unit.

    Raises
    ------
    Refused
        If the unit isn't one of temperature.
    """
    name = re.sub(r"[^a-z]", "", str(unit).rpartition(":")[2].casefold())
    if name in ("c", "degc", "celsius"):
        return values, ()
    note = (f"temperatures came in {unit} and were converted",)
    if name in ("f", "degf", "fahrenheit"):
        return (values - 32.0) / 1.8, note
    if name in ("k", "kelvin"):
        return values - KELVIN, note
    raise Refused(f'{service} gave temperatures in "{unit}", which is no unit of temperature.')


def check_near(
    latitude: float,
    longitude: float,
    found: Sequence[Any],
    *,
    service: str,
    tolerance: float,
) -> None:
    """Make sure that an answer is for our point: *found* is its latitude and longitude.

    Raises
    ------
    Refused
        If it is more than *tolerance* degrees away, measured across the date line where needed.
    """
    there = [number(value) for value in found[:2]]
    if len(there) < 2 or any(math.isnan(value) for value in there):
        raise Refused(f"{service} doesn't say for which point its answer is.")
    east = (there[1] - longitude + 180.0) % 360.0 - 180.0
    away = max(abs(there[0] - latitude), abs(east) * math.cos(math.radians(latitude)))
    if not away <= tolerance:
        raise Refused(
            f"{service} answered for {there[0]:g}, {there[1]:g}, but was asked for "
            f"{latitude:g}, {longitude:g}."
        )
