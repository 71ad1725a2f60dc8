"""A file of the maker's to rows of the record: all of them, or every bad cell."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from planner.errors import BadCell, TableError
from planner.history.cells import Reader
from planner.history.foreign import Foreign
from planner.history.headings import ID, Headings, headings_of
from planner.history.rows import row_of, shown
from planner.history.tables import TABLES, Row, Table, TableLimits
from planner.sheets.read import Sheet, read_sheet

LARGEST_ID = 2**53


@dataclass(frozen=True)
class TableFile:
    """The rows of a file, the spreadsheet's number of each, and notes on how it was read."""

    rows: tuple[Row, ...]
    numbers: tuple[int, ...]
    notes: tuple[str, ...]


def read_table(
    path: Path,
    table: str,
    limits: TableLimits,
    places: Mapping[str, str],
    *,
    today: date,
    foreign: Foreign | None = None,
) -> TableFile:
    """Read the rows of a table (one of :data:`TABLES`) from CSV, XLSX or ODS.

    Parameters
    ----------
    places : name of each place to its IANA time zone; the first is the bench
    today : nothing that happened may lie after it

    Raises
    ------
    TableError
        If the file can't be read, lacks a column, or has bad cells: with every one of them.
    """
    spec = TABLES[table]
    sheet = read_sheet(path, table)
    foreign = foreign or Foreign()
    found = headings_of(spec, sheet.heading, foreign, sheet.name, sheet.heading_row)
    foreign = foreign.with_units(found.units)
    dates = foreign.dates or "ymd"
    reader = Reader(limits, places, today, dates, foreign.units, {"verdict": foreign.verdicts})
    rows: list[Row] = []
    faults: list[BadCell] = []
    for number, cells in _cells(sheet, found):
        row = _row(spec, cells, reader)
        if isinstance(row, list):
            faults += [BadCell(sheet.name, number, *fault) for fault in row]
        else:
            rows.append(row)
    faults += _doubled(sheet, found)
    if faults:
        raise TableError(_sentence(sheet.name, faults), tuple(sorted(faults, key=lambda f: f.row)))
    numbers = tuple(number for number, _ in sheet.rows)
    return TableFile(tuple(rows), numbers, (*sheet.notes, *found.notes))


def _cells(sheet: Sheet, found: Headings) -> Iterator[tuple[int, dict[str, Any]]]:
    for number, row in sheet.rows:
        yield number, {column: row[i] for column, i in found.places.items() if i < len(row)}


def _row(table: Table, cells: dict[str, Any], reader: Reader) -> Row | list[tuple[str, str, str]]:
    number, wrong = _id(cells.get(ID))
    row = row_of(table, cells, reader, number)
    faults = [] if not isinstance(row, list) else [(f.column, f.found, f.allowed) for f in row]
    if wrong:
        faults.append((ID, shown(cells[ID]), "must be a number given at export, or empty"))
    return faults or row  # type: ignore[return-value]


def _id(cell: Any) -> tuple[int | None, bool]:
    """The number of a row, and whether it can't be one."""
    text = "" if cell is None else shown(cell)
    if not text:
        return None, False
    sound = text.isascii() and text.isdigit() and 0 < int(text[:20]) <= LARGEST_ID
    return (int(text), False) if sound else (None, True)


def _doubled(sheet: Sheet, found: Headings) -> Iterator[BadCell]:
    seen: dict[int, int] = {}
    for number, cells in _cells(sheet, found):
        identity, _ = _id(cells.get(ID))
        if identity is not None and identity in seen:
            allowed = f"each id once; it is in row {seen[identity]} too"
            yield BadCell(sheet.name, number, ID, str(identity), allowed)
        elif identity is not None:
            seen[identity] = number


def _sentence(name: str, faults: list[BadCell]) -> str:
    rows = len({fault.row for fault in faults})
    noun = "a row" if rows == 1 else f"{rows} rows"
    return f"{name} has {noun} that can't be used; nothing was stored."
