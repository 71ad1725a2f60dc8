"""Whole tables into the record and out of it."""

import json
import os
import tomllib
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import asdict, dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Any

from planner.commands.record import limits_of, open_record, zones_of
from planner.errors import RecordFull, WrongUse
from planner.history.changes import Difference
from planner.history.foreign import Foreign, foreign_of
from planner.history.ledger import stock
from planner.history.read import read_table
from planner.history.tables import TABLES
from planner.history.write import Cells, cells_of, csv_text, write_file
from planner.settings import FILE_NAME, Settings

STOCK = "stock"  # worked out of the ledger, so it can be taken out but not in
STOCK_COLUMNS = ("diameter_low_mm", "diameter_high_mm", "stage", "pieces")


@dataclass(frozen=True)
class Imported:
    """What an import changed, or would change, and notes on how the file was read."""

    difference: Difference
    notes: tuple[str, ...]


def import_table(
    settings: Settings,
    table: str,
    path: Path,
    *,
    today: date,
    said: Mapping[str, Any] | None = None,
    replacing: bool = False,
    dry_run: bool = False,
) -> Imported:
    """Take a file into the record, all rows or none.

    ``said`` are ``map``, ``verdicts``, ``units`` and ``dates``, put over what ``workshop.toml``
    keeps for the table, and that over its own ``dates``.

    Raises
    ------
    TableError
        With every bad cell of the file.
    RecordError
        If the rows can't be kept.
    """
    foreign = foreign_for(settings, table, said or {})
    file = read_table(
        path, table, limits_of(settings), zones_of(settings), today=today, foreign=foreign
    )
    with open_record(settings) as record:
        if dry_run:
            found = record.compare(table, file.rows, replacing=replacing)
        else:
            found = record.import_rows(table, file.rows, replacing=replacing, source=path.name)
    return Imported(found, file.notes)


def foreign_for(settings: Settings, table: str, said: Mapping[str, Any]) -> Foreign:
    """Return how a foreign table is read: what is said now over what the settings keep.

    Raises
    ------
    WrongUse
        If one of them can't be understood.
    """
    for name in settings.imports:
        if name not in (*TABLES, "weather"):
            known = ", ".join(TABLES)
            raise WrongUse(f"{FILE_NAME}: [import.{name}] is no table; the tables are {known}.")
    kept = settings.imports.get(table, {})
    where = f"{FILE_NAME} [import.{table}] "
    if not isinstance(kept, Mapping):
        raise WrongUse(f"{where}must be a table of map, verdicts, units and dates.")
    told = {key: value for key, value in said.items() if value is not None}
    own = foreign_of(TABLES[table], kept, where).over(Foreign(dates=settings.typed_dates))
    return foreign_of(TABLES[table], told).over(own)


def to_remember(settings: Settings, table: str, said: Mapping[str, Any]) -> str:
    """Return the lines of ``workshop.toml`` that keep how a foreign table is read.

    Raises
    ------
    WrongUse
        If nothing was said, or the settings keep something for the table already.
    """
    told = {key: value for key, value in said.items() if value}
    if not told:
        raise WrongUse("There is nothing to remember; say --map, --verdicts, --units or --dates.")
    if table in settings.imports:
        raise WrongUse(
            f"{FILE_NAME} keeps [import.{table}] already; edit it there. Nothing was taken in."
        )
    lines = [f"[import.{table}]"]
    lines += [f"{key} = {json.dumps(value, ensure_ascii=False)}" for key, value in told.items()]
    text = "\n".join(lines) + "\n"
    tomllib.loads(f"{settings.text}\n{text}")
    return text


def remember(settings: Settings, lines: str) -> None:
    """Write lines of :func:`to_remember` into ``workshop.toml``.

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


def table_cells(settings: Settings, table: str, until: date | None = None) -> Cells:
    """Return a table of the record, or the stock at the end of *until*, as cells.

    Raises
    ------
    RecordError
        If the record can't be read.
    """
    with open_record(settings) as record:
        if table != STOCK:
            return cells_of(table, record.rows(table, until), zones_of(settings))
        held = stock(record.cane(until), until or date.max)
        return Cells(STOCK, STOCK_COLUMNS, tuple(tuple(asdict(row).values()) for row in held))


def export_table(
    cells: Cells, path: Path, *, decimal_comma: bool = False, overwriting: bool = False
) -> None:
    """Write cells to CSV, XLSX or ODS, by the ending of the file.

    Raises
    ------
    TableError
        If the file is there already or can't be written.
    """
    write_file(cells, path, decimal_comma=decimal_comma, overwriting=overwriting)


def export_text(cells: Cells, *, decimal_comma: bool = False) -> str:
    """Return cells as CSV text."""
    return csv_text(cells, decimal_comma=decimal_comma)


def plain_rows(cells: Cells) -> list[dict[str, Any]]:
    """Return cells as rows of plain values by column, days and times as text."""
    return [
        {
            name: value.isoformat() if isinstance(value, date | datetime) else value
            for name, value in zip(cells.heading, row, strict=True)
        }
        for row in cells.rows
    ]
