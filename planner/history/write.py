"""Rows of the record to a file that a spreadsheet opens and that reads back to the same rows."""

import csv
import io
import os
import re
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from planner.errors import TableError
from planner.history.headings import ID
from planner.history.ods import write_ods
from planner.history.tables import TABLES, Row

FORMATS = (".csv", ".xlsx", ".ods")
# Signs at which a spreadsheet takes a cell of a CSV file for a formula, the wide ones of East
# Asian keyboards among them: OWASP, CSV Injection (community page). An apostrophe before them
# keeps the cell text; planner.sheets.read takes one apostrophe away again.
FORMULA = re.compile(r"'*[=+\-@\uff1d\uff0b\uff0d\uff20]")

# What XLSX takes for the code of a sign in a text (ECMA-376, ST_Xstring): _x000D_
ESCAPE = re.compile(r"_(?=x[0-9A-Fa-f]{4}_)")


@dataclass(frozen=True)
class Cells:
    """A table as cells: its name, its heading and its rows."""

    name: str
    heading: tuple[str, ...]
    rows: tuple[tuple[Any, ...], ...]


def cells_of(table: str, rows: Sequence[Row], places: Mapping[str, str]) -> Cells:
    """Return the rows of a table as cells, ``id`` first, times on the clock of their place."""
    names = (ID, *(column.name for column in TABLES[table].columns))
    zones = {name: ZoneInfo(zone) for name, zone in places.items()}
    return Cells(table, names, tuple(tuple(_values(row, names, zones)) for row in rows))


def _values(row: Row, names: Sequence[str], zones: Mapping[str, ZoneInfo]) -> Iterator[Any]:
    for name in names:
        value = getattr(row, name)
        if isinstance(value, datetime):
            zone = zones.get(getattr(row, "place", ""))
            yield value.astimezone(zone).isoformat() if zone else value.isoformat()
        else:
            yield value


def csv_text(cells: Cells, *, decimal_comma: bool = False) -> str:
    """Return cells as CSV; with *decimal_comma* split by semicolons."""
    file = io.StringIO(newline="")
    writer = csv.writer(file, delimiter=";" if decimal_comma else ",", lineterminator="\r\n")
    writer.writerow(cells.heading)
    for row in cells.rows:
        writer.writerow([_csv_cell(value, decimal_comma=decimal_comma) for value in row])
    return file.getvalue()


def _csv_cell(value: Any, *, decimal_comma: bool) -> str:
    if value is None:
        return ""
    if isinstance(value, str):
        return f"'{value}" if FORMULA.match(value) else value
    text = value.isoformat() if isinstance(value, date) else repr(value)
    return text.replace(".", ",") if decimal_comma and isinstance(value, float) else text


def write_file(
    cells: Cells, path: Path, *, decimal_comma: bool = False, overwriting: bool = False
) -> None:
    """Write cells to a file, its format by its ending; the file is whole or not there.

    Raises
    ------
    TableError
        If the ending is none of :data:`FORMATS`, the file is there already, or can't be written.
    """
    if path.suffix.lower() not in FORMATS:
        raise TableError(f"{path}: name a file that ends in {', '.join(FORMATS)}.")
    if path.exists() and not overwriting:
        raise TableError(
            f"{path} is there already; name another file, or say --overwrite. Nothing was written."
        )
    draft = path.with_name(f".{path.name}.{os.getpid()}")
    try:
        draft.write_bytes(_bytes(cells, path.suffix.lower(), decimal_comma=decimal_comma))
        draft.replace(path)
    except OSError as error:
        raise TableError(f"{path} can't be written: {error.strerror or error}.") from error
    finally:
        with suppress(OSError):
            draft.unlink(missing_ok=True)


def _bytes(cells: Cells, ending: str, *, decimal_comma: bool) -> bytes:
    if ending == ".csv":
        # The mark tells a spreadsheet that this is UTF-8.
        return csv_text(cells, decimal_comma=decimal_comma).encode("utf-8-sig")
    file = io.BytesIO()
    if ending == ".ods":
        write_ods(file, cells.name, [cells.heading, *cells.rows])
    else:
        _write_xlsx(file, cells)
    return file.getvalue()


def _xlsx_value(value: Any) -> Any:
    return ESCAPE.sub("_x005F_", value) if isinstance(value, str) else value


def _write_xlsx(file: io.BytesIO, cells: Cells) -> None:
    from openpyxl import Workbook
    from openpyxl.cell import WriteOnlyCell

    book = Workbook(write_only=True)
    sheet = book.create_sheet(cells.name)
    sheet.freeze_panes = "A2"
    for row in (cells.heading, *cells.rows):
        made = [WriteOnlyCell(sheet, _xlsx_value(value)) for value in row]
        for cell, value in zip(made, row, strict=True):
            if isinstance(value, str):
                # Text stays text, also where it begins with an equals sign.
                cell.data_type = "s"
            elif isinstance(value, date):
                cell.number_format = "yyyy-mm-dd"
        sheet.append(made)
    book.save(file)
