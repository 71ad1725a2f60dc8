"""Whole tables into the record and out of it."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Any

from planner.commands.foreign import foreign_for
from planner.commands.record import limits_of, open_record, zones_of
from planner.history.changes import Difference
from planner.history.ledger import stock
from planner.history.read import read_table
from planner.history.write import Cells, cells_of
from planner.settings import Settings

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


def plain_rows(cells: Cells) -> list[dict[str, Any]]:
    """Return cells as rows of plain values by column, days and times as text."""
    return [
        {
            name: value.isoformat() if isinstance(value, date | datetime) else value
            for name, value in zip(cells.heading, row, strict=True)
        }
        for row in cells.rows
    ]
