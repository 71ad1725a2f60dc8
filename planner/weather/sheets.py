"""A file of rows, as spreadsheets and loggers write it: CSV (comma, semicolon, tab), XLSX, ODS."""

import csv
import io
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from planner.errors import TableError

SPREADSHEETS = (".xlsx", ".xls", ".xlsb", ".ods")


@dataclass(frozen=True)
class Sheet:
    """The heading and the rows of a file; each row with its number in a spreadsheet."""

    name: str
    heading: list[str]
    heading_row: int
    rows: list[tuple[int, list[Any]]]


def read_sheet(path: Path) -> Sheet:
    """Read the first sheet of a file; the first row that isn't empty is the heading.

    Raises
    ------
    TableError
        If the file can't be read or holds no rows.
    """
    cells = _spreadsheet(path) if path.suffix.lower() in SPREADSHEETS else _text_rows(path)
    filled = [(number, row) for number, row in enumerate(cells, start=1) if _says_something(row)]
    if len(filled) < 2:
        raise TableError(f"{path.name} holds no rows; it needs a heading and rows below it.")
    heading_row, heading = filled[0]
    return Sheet(path.name, [str(cell) for cell in heading], heading_row, filled[1:])


def read_text(path: Path) -> str:
    """Return the text of a file in UTF-8, UTF-16 with its mark, or Windows-1252.

    Raises
    ------
    TableError
        If the file can't be read, or isn't text.
    """
    try:
        raw = path.read_bytes()
    except OSError as error:
        raise TableError(f"{path} can't be read: {error.strerror}.") from error
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        encodings = ["utf-16"]
    else:
        encodings = ["utf-8-sig", "cp1252"]
    for encoding in encodings:
        try:
            text = raw.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" not in text:
            return text
    raise TableError(f"{path.name} isn't a text file; save the table as CSV, XLSX or ODS.")


def _text_rows(path: Path) -> list[list[Any]]:
    text = read_text(path)
    first_line, _, rest = text.partition("\n")
    if first_line.strip().lower().startswith("sep=") and len(first_line.strip()) == 5:
        # The line stays as an empty row, so that rows count as the spreadsheet shows them.
        return [[], *_split(rest, first_line.strip()[4], path.name)]
    return _split(text, _delimiter(text), path.name)


def _split(text: str, delimiter: str, name: str) -> list[list[Any]]:
    try:
        return list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter))
    except csv.Error as error:
        raise TableError(f"{name} can't be read as a table: {error}.") from error


def _delimiter(text: str) -> str:
    heading = next((line for line in text.splitlines() if line.strip()), "")
    return max(";\t,", key=heading.count)


def _spreadsheet(path: Path) -> list[list[Any]]:
    from python_calamine import CalamineError, CalamineWorkbook

    try:
        book = CalamineWorkbook.from_path(str(path))
        return [list(row) for row in book.get_sheet_by_index(0).to_python(skip_empty_area=False)]
    except (CalamineError, OSError, IndexError, ValueError) as error:
        raise TableError(f"{path} can't be read as a spreadsheet: {error}.") from error
    except BaseException as error:
        # A Rust panic over a damaged file arrives as a BaseException of its own.
        if type(error).__name__ != "PanicException":
            raise
        raise TableError(f"{path} can't be read as a spreadsheet: it is damaged.") from error


def _says_something(row: list[Any]) -> bool:
    return any(str(cell).strip() for cell in row)
