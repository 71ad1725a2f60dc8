"""A file to rows of cells: CSV (comma, semicolon, tab; UTF-8, UTF-16, Windows-1252), XLSX, ODS."""

import csv
import io
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from planner.errors import TableError
from planner.sheets.formulas import put_formulas

SPREADSHEET_MARKS = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0")  # zip (XLSX, ODS) and OLE (XLS)
LARGEST = 200_000_000  # bytes
# What a spreadsheet would run as a formula: see planner.history.write, which puts the mark there.
NEUTRALISED = re.compile(r"'+[=+\-@\uff1d\uff0b\uff0d\uff20]")


@dataclass(frozen=True)
class Sheet:
    """The heading and the rows of a file, each with its number in a spreadsheet, and notes."""

    name: str
    heading: list[str]
    heading_row: int
    rows: list[tuple[int, list[Any]]]
    notes: tuple[str, ...] = ()


def read_sheet(path: Path, table: str = "") -> Sheet:
    """Read the sheet named as the table, else the first; its first filled row is the heading.

    Raises
    ------
    TableError
        If the file can't be read or has no heading.
    """
    raw = _bytes(path)
    if raw.startswith(SPREADSHEET_MARKS):
        cells, notes = _spreadsheet(raw, path.name, table)
    else:
        cells, notes = _text_rows(raw, path.name)
    filled = [(number, row) for number, row in enumerate(cells, start=1) if says_something(row)]
    if not filled:
        raise TableError(f"{path.name} is empty; it needs a heading and rows below it.")
    number, heading = filled[0]
    return Sheet(path.name, [str(cell) for cell in heading], number, filled[1:], notes)


def read_text(path: Path) -> str:
    """Return the text of a file in UTF-8, UTF-16 with its mark, Windows-1252 or Latin-1.

    Raises
    ------
    TableError
        If the file can't be read, or isn't text.
    """
    return _text(_bytes(path), path.name)[0]


def says_something(row: list[Any]) -> bool:
    """Return whether a row holds a filled cell."""
    return any(cell is not None and str(cell).strip() for cell in row)


def _bytes(path: Path) -> bytes:
    try:
        if path.stat().st_size > LARGEST:
            raise TableError(f"{path} is larger than {LARGEST // 1_000_000} MB; is it a table?")
        return path.read_bytes()
    except FileNotFoundError as error:
        raise TableError(f"There is no file {path}.") from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise TableError(f"{path} can't be read: {reason}.") from error


def _text_rows(raw: bytes, name: str) -> tuple[list[list[Any]], tuple[str, ...]]:
    text, notes = _text(raw, name)
    first, _, rest = text.partition("\n")
    if re.fullmatch(r"sep=.", first.strip(), re.IGNORECASE):
        # The line stays as an empty row, so that rows count as the spreadsheet shows them.
        rows = [[], *_split(rest, first.strip()[4], name)]
    else:
        rows = _split(text, _delimiter(text), name)
    return [[_restored(cell) for cell in row] for row in rows], notes


def _text(raw: bytes, name: str) -> tuple[str, tuple[str, ...]]:
    marked = raw.startswith((b"\xff\xfe", b"\xfe\xff"))
    for encoding in ["utf-16"] if marked else ["utf-8-sig", "cp1252", "latin-1"]:
        try:
            text = raw.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" not in text:
            said = {"utf-16": "UTF-16", "cp1252": "Windows-1252", "latin-1": "Latin-1"}
            notes = (f"{name} was read as {said[encoding]} text.",) if encoding in said else ()
            return text, notes
    raise TableError(f"{name} isn't a text file; save the table as CSV, XLSX or ODS.")


def _delimiter(text: str) -> str:
    heading = next((line for line in text.splitlines() if line.strip()), "")
    return max(";\t,", key=heading.count)


def _split(text: str, delimiter: str, name: str) -> list[list[str]]:
    try:
        return list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter))
    except csv.Error as error:
        raise TableError(f"{name} can't be read as a table: {error}.") from error


def _restored(cell: str) -> str:
    """Take away the mark that keeps a spreadsheet from running a cell."""
    return cell[1:] if NEUTRALISED.match(cell) else cell


def _spreadsheet(raw: bytes, name: str, table: str) -> tuple[list[list[Any]], tuple[str, ...]]:
    from python_calamine import CalamineError, CalamineWorkbook

    try:
        book = CalamineWorkbook.from_filelike(io.BytesIO(raw))
        sheets = book.sheet_names
        wanted = next((sheet for sheet in sheets if sheet.casefold() == table), None)
        chosen = wanted or sheets[0]
        cells = book.get_sheet_by_name(chosen).to_python(skip_empty_area=False)
    except (CalamineError, OSError, IndexError, ValueError) as error:
        raise TableError(f"{name} can't be read as a spreadsheet: {_first_line(error)}.") from error
    except BaseException as error:
        # A Rust panic over a damaged file arrives as a BaseException of its own.
        if type(error).__name__ != "PanicException":
            raise
        raise TableError(f"{name} can't be read as a spreadsheet: it is damaged.") from error
    notes = (f'{name}: the sheet "{chosen}" was read.',) if len(sheets) > 1 else ()
    put_formulas(raw, name, chosen, cells)
    return cells, notes


def _first_line(error: BaseException) -> str:
    lines = str(error).strip().splitlines()
    return lines[0].rstrip(".") if lines else type(error).__name__
