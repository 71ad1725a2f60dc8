"""Formulas of a spreadsheet that carry no result: a program wrote them and none reckoned them.

The reader of cells shows such a cell as empty; a diameter or a note would be lost in silence.
"""

import io
import re
import zipfile
import zlib
from collections.abc import Iterator
from typing import Any
from xml.etree import ElementTree

from planner.errors import TableError
from planner.history.cells import Formula

Cells = list[list[Any]]
ODD = (ValueError, TypeError, AttributeError)  # what openpyxl raises over a file it can't follow

# ECMA-376 part 1, elements c, f and v: a formula and then no value, or an empty one.
_XLSX = re.compile(
    rb"<(?:\w+:)?f\b[^>]*(?:/>|>[^<]*</(?:\w+:)?f>)\s*"
    rb"(?:<(?:\w+:)?v\s*/>|<(?:\w+:)?v></|</(?:\w+:)?c>)"
)
# ODF 1.2, table:table-cell: a formula's result stands in office:value-type and its value.
_ODS = re.compile(rb"<table:table-cell\b(?=[^>]*\btable:formula=)(?![^>]*\boffice:value-type=)")
_TABLE = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"
_OFFICE = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"
_CELLS = (f"{_TABLE}table-cell", f"{_TABLE}covered-table-cell")


def put_formulas(raw: bytes, name: str, sheet: str, cells: Cells) -> None:
    """Put a :class:`Formula` where a cell of the sheet is one without a result.

    Raises
    ------
    TableError
        If there are some, but the file is too odd to tell where.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as archive:
            content = _suspect(archive)
    except (zipfile.BadZipFile, zlib.error, EOFError, RuntimeError, OSError):
        return  # no zip, or a damaged one of which the reader of cells made what it could
    if content is None:
        return
    try:
        found = dict(_of_ods(content, sheet) if content else _of_xlsx(raw, sheet))
    except (zipfile.BadZipFile, ElementTree.ParseError, LookupError, *ODD) as error:
        raise TableError(
            f"{name} holds formulas without their results; open it in a spreadsheet program and "
            "save it there."
        ) from error
    for (row, column), text in found.items():
        if row < len(cells) and column < len(cells[row]) and cells[row][column] in ("", None):
            cells[row][column] = Formula(text)


def _suspect(archive: zipfile.ZipFile) -> bytes | None:
    """The content of an ODS file with such formulas, nothing of such an XLSX file, else None."""
    names = archive.namelist()
    if "content.xml" in names:
        content = archive.read("content.xml")
        return content if _ODS.search(content) else None
    sheets = [name for name in names if "worksheets/" in name]
    return b"" if any(_XLSX.search(archive.read(name)) for name in sheets) else None


def _of_xlsx(raw: bytes, sheet: str) -> Iterator[tuple[tuple[int, int], str]]:
    from openpyxl import load_workbook

    for row in load_workbook(io.BytesIO(raw), read_only=True)[sheet].iter_rows():
        for cell in row:
            if cell.data_type == "f":
                yield (cell.row - 1, cell.column - 1), str(cell.value)


def _of_ods(content: bytes, sheet: str) -> Iterator[tuple[tuple[int, int], str]]:
    """Walk the sheet; rows and cells may stand for several alike."""
    here, row, column = False, 0, 0
    for event, node in ElementTree.iterparse(io.BytesIO(content), ("start", "end")):
        if node.tag == f"{_TABLE}table":
            here = event == "start" and node.get(f"{_TABLE}name") == sheet
        elif event == "end" and node.tag == f"{_TABLE}table-row":
            row, column = row + int(node.get(f"{_TABLE}number-rows-repeated", 1)) * here, 0
            node.clear()
        elif event == "end" and node.tag in _CELLS:
            formula = node.get(f"{_TABLE}formula")
            if here and formula and node.get(f"{_OFFICE}value-type") is None:
                yield (row, column), formula
            column += int(node.get(f"{_TABLE}number-columns-repeated", 1))
