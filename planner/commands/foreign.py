"""How a maker's own table is read: what is said now, over what ``workshop.toml`` keeps of it."""

import json
import os
import tomllib
from collections.abc import Mapping
from contextlib import suppress
from typing import Any

from planner.errors import RecordFull, WrongUse
from planner.history.foreign import KEYS, Foreign, foreign_from, foreign_of
from planner.history.tables import TABLES
from planner.settings import FILE_NAME, Settings
from planner.weather.columns import COLUMNS

WEATHER = "weather"
WEATHER_KEYS = ("map", "dates")  # its units stand in the names of its columns


def foreign_for(settings: Settings, table: str, said: Mapping[str, Any]) -> Foreign:
    """Return how a table of the record, or of the weather, is read.

    Parameters
    ----------
    said : ``map``, ``verdicts``, ``units`` and ``dates``, of the weather ``map`` and ``dates``;
        put over what ``workshop.toml`` keeps for the table, and that over its own ``dates``

    Raises
    ------
    WrongUse
        If one of them can't be understood.
    """
    for name in settings.imports:
        if name not in (*TABLES, WEATHER):
            known = ", ".join((*TABLES, WEATHER))
            raise WrongUse(f"{FILE_NAME}: [import.{name}] is no table; the tables are {known}.")
    kept = settings.imports.get(table, {})
    where = f"{FILE_NAME} [import.{table}] "
    if not isinstance(kept, Mapping):
        raise WrongUse(f"{where}must be a table of {_listed(table, 'and')}.")
    told = {key: value for key, value in said.items() if value is not None}
    own = _understood(table, kept, where).over(Foreign(dates=settings.typed_dates))
    return _understood(table, told).over(own)


def _understood(table: str, said: Mapping[str, Any], where: str = "") -> Foreign:
    if table == WEATHER:
        return foreign_from(said, where, columns=COLUMNS, keys=WEATHER_KEYS)
    return foreign_of(TABLES[table], said, where)


def _listed(table: str, last: str, before: str = "") -> str:
    """What may be said of a table: "map, verdicts, units and dates"."""
    *others, end = (f"{before}{key}" for key in (WEATHER_KEYS if table == WEATHER else KEYS))
    return f"{', '.join(others)} {last} {end}"


def to_remember(settings: Settings, table: str, said: Mapping[str, Any]) -> str:
    """Return the lines of ``workshop.toml`` that keep how a table is read.

    Raises
    ------
    WrongUse
        If nothing was said, or the settings keep something for the table already.
    """
    told = {key: value for key, value in said.items() if value}
    if not told:
        raise WrongUse(f"There is nothing to remember; say {_listed(table, 'or', '--')}.")
    if table in settings.imports:
        raise WrongUse(
            f"{FILE_NAME} keeps [import.{table}] already; edit it there. Nothing was taken in."
        )
    lines = [f"[import.{table}]"]
    lines += [f"{key} = {json.dumps(value, ensure_ascii=False)}" for key, value in told.items()]
    text = "\n".join(lines) + "\n"
    tomllib.loads(f"{settings.text}\n{text}")
    return text


def remember(settings: Settings, lines: str) -> tuple[str, ...]:
    """Write lines of :func:`to_remember` into ``workshop.toml``; return what to tell of it.

    Raises
    ------
    RecordFull
        If the file can't be written.
    """
    path = settings.folder / FILE_NAME
    draft = path.with_name(f".{FILE_NAME}.{os.getpid()}")
    try:
        draft.write_text(f"{settings.text.rstrip()}\n\n{lines}", encoding="utf-8")
        draft.replace(path)
    except OSError as error:
        raise RecordFull(
            f"The table was taken in, but {path} can't be written: {error.strerror}."
        ) from error
    finally:
        with suppress(OSError):
            draft.unlink(missing_ok=True)
    return f"{FILE_NAME} now keeps:", lines.rstrip()
