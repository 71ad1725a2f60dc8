"""Cells of a spreadsheet without a value to read: formulas that nobody reckoned, errors (#REF!).

The reader of cells shows them as empty; a diameter or a note would be lost in silence.
"""

import io
import re
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any
from xml.etree import ElementTree

from planner.errors import TableError
from planner.sheets.archive import column_number, local, part_of

Cells = list[list[Any]]
Found = Iterator[tuple[tuple[int, int], str]]  # row and column from 0, and what stands there

# ECMA-376 part 1, elements c, f and v: a formula and then no value, or an empty one; an error.
_XLSX = re.compile(
    rb"<(?:\w+:)?f\b[^>]*(?:/>|>[^<]*</(?:\w+:)?f>)\s*"
    rb"(?:<(?:\w+:)?v\s*/>|<(?:\w+:)?v></|</(?:\w+:)?c>)"
    rb"|<(?:\w+:)?c\b[^>]*\bt=[\"']e[\"']"
)
# ODF 1.2, table:table-cell: a formula's result stands in office:value-type and its value.
_ODS = re.compile(rb"<table:table-cell\b(?=[^>]*\btable:formula=)(?![^>]*\boffice:value-type=)")
_TABLE = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"
_OFFICE = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"
_CELLS = (f"{_TABLE}table-cell", f"{_TABLE}covered-table-cell")
_PLACE = re.compile(r"([A-Z]+)(\d+)")


@dataclass(frozen=True)
class Formula:
    """A cell of a spreadsheet with a formula whose result isn't in the file, or with an error."""

    text: str

    def __str__(self) -> str:
        return self.text


def put_formulas(archive: zipfile.ZipFile, name: str, sheet: str, cells: Cells) -> None:
    """Put a :class:`Formula` where a cell of the sheet holds one, but no value.

    Raises
    ------
    TableError
        If there are some, but the file is too odd to tell where.
    """
    try:
        found = dict(_found(archive, sheet))
    except (ElementTree.ParseError, LookupError, ValueError) as error:
        raise TableError(
            f"{name} holds formulas without their results; open it in a spreadsheet program and "
            "save it there."
        ) from error
    for (row, column), text in found.items():
        if row < len(cells) and column < len(cells[row]) and cells[row][column] in ("", None):
            cells[row][column] = Formula(text)


def _found(archive: zipfile.ZipFile, sheet: str) -> Found:
    """Yield such cells; the sheet is walked only where a quick look found some."""
    names = archive.namelist()
    if "content.xml" in names:
        content = archive.read("content.xml")
        if _ODS.search(content):
            yield from _of_ods(content, sheet)
    elif any(_XLSX.search(archive.read(name)) for name in names if "worksheets/" in name):
        yield from _of_xlsx(archive, sheet)


def _of_xlsx(archive: zipfile.ZipFile, sheet: str) -> Found:
    row, column = -1, -1
    for event, node in ElementTree.iterparse(
        archive.open(part_of(archive, sheet)), ("start", "end")
    ):
        kind = local(node.tag)
        if event == "start" and kind == "row":
            row, column = int(node.get("r", row + 2)) - 1, -1
        elif event == "end" and kind == "c":
            column = _column(node.get("r"), column + 1)
            parts = {local(part.tag): part.text or "" for part in node}
            unreckoned = "f" in parts and not parts.get("v") and node.get("t") != "str"
            if unreckoned or node.get("t") == "e":
                yield (row, column), f"={parts['f']}" if parts.get("f") else parts.get("v", "=")
        elif event == "end" and kind == "row":
            node.clear()


def _column(place: str | None, following: int) -> int:
    """The column of a cell's place such as AB12, else the one that follows. [from 0]"""
    found = _PLACE.fullmatch(place or "")
    return following if found is None else column_number(found[1]) - 1


def _of_ods(content: bytes, sheet: str) -> Found:
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
