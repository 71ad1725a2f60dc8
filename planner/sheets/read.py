"""A file to rows of cells: CSV (comma, semicolon, tab; UTF-8, UTF-16, Windows-1252), XLSX, ODS."""

import csv
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeAlias
from zipfile import ZipFile

from planner.errors import TableError
from planner.sheets.archive import LARGEST, MOST_CELLS, check_reach, protected, sound_archive
from planner.sheets.formulas import put_formulas

ZIP, OLE = b"PK\x03\x04", b"\xd0\xcf\x11\xe0"  # XLSX and ODS; XLS, and XLSX with a password
PROTECTED = "EncryptedPackage".encode("utf-16-le")
# What a spreadsheet would run as a formula: see planner.history.write, which puts the mark there.
NEUTRALISED = re.compile(r"'+[=+\-@\uff1d\uff0b\uff0d\uff20]")
_LINE = re.compile(r"[^\r\n]*(?:\r\n|\r|\n)|[^\r\n]+")

Cells: TypeAlias = tuple[list[list[Any]], tuple[str, ...]]  # rows, and notes on how they were read


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
    raw, name = _bytes(path), _shown(path.name)
    if raw.startswith((ZIP, OLE)):
        cells, notes = _spreadsheet(raw, name, table)
    else:
        cells, notes = _text_rows(raw, name)
    filled = [(number, row) for number, row in enumerate(cells, start=1) if says_something(row)]
    if not filled:
        raise TableError(f"{name} is empty; it needs a heading and rows below it.")
    number, heading = filled[0]
    return Sheet(name, [_shown(str(cell)) for cell in heading], number, filled[1:], notes)


def read_text(path: Path) -> str:
    """Return the text of a file in UTF-8, UTF-16 with its mark, Windows-1252 or Latin-1.

    Raises
    ------
    TableError
        If the file can't be read, or isn't text.
    """
    return _text(_bytes(path), _shown(path.name))[0]


def says_something(row: list[Any]) -> bool:
    """Return whether a row holds a filled cell."""
    return any(cell is not None and str(cell).strip() for cell in row)


def _shown(text: str) -> str:
    """A name or heading as it may be shown and kept: no control signs, no bytes that are none."""
    text = text.encode("utf-8", "replace").decode("utf-8")
    return "".join(sign if sign.isprintable() else " " for sign in text)


def _bytes(path: Path) -> bytes:
    try:
        # A device has no size to ask for, and may have no end.
        with path.open("rb") as file:
            raw = file.read(LARGEST + 1)
    except FileNotFoundError as error:
        raise TableError(f"There is no file {path}.") from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise TableError(f"{path} can't be read: {reason}.") from error
    if len(raw) > LARGEST:
        raise TableError(f"{path} is larger than {LARGEST // 1_000_000} MB; is it a table?")
    return raw


def _text_rows(raw: bytes, name: str) -> Cells:
    text, notes = _text(raw, name)
    first = next(_lines(text), "")
    if re.fullmatch(r"sep=.", first.strip(), re.IGNORECASE):
        # The line stays as an empty row, so that rows count as the spreadsheet shows them.
        rows = [[], *_split(text[len(first) :], first.strip()[4], name)]
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
    heading = next((line for line in _lines(text) if line.strip()), "")
    return max(";\t,", key=heading.count)


def _lines(text: str) -> Iterator[str]:
    """Yield lines with their ends, one at a time: a list of millions would be too much."""
    return (found[0] for found in _LINE.finditer(text))


def _split(text: str, delimiter: str, name: str) -> list[list[str]]:
    rows: list[list[str]] = []
    cells, several, quoted = 0, False, '"' in text
    try:
        for row in csv.reader(_lines(text), delimiter=delimiter):
            rows.append(row)
            cells += len(row) or 1
            if cells > MOST_CELLS:
                raise TableError(f"{name} has more than {MOST_CELLS:,} cells; is it a table?")
            if quoted and any("\n" in cell or "\r" in cell for cell in row):
                several = True
        if several:
            _check_quotes(text, delimiter, name)
    except csv.Error as error:
        raise TableError(_unreadable(name, len(rows) + 1)) from error
    return rows


def _check_quotes(text: str, delimiter: str, name: str) -> None:
    """Refuse a quotation mark without its fellow: the rows after it would go into one cell."""
    row = 0
    try:
        for _ in csv.reader(_lines(text), delimiter=delimiter, strict=True):
            row += 1
    except csv.Error as error:
        raise TableError(_unreadable(name, row + 1)) from error


def _unreadable(name: str, row: int) -> str:
    return (
        f"{name}, row {row}: there is a quotation mark without its fellow, or a cell of more than "
        f"{csv.field_size_limit():,} signs. Mend it there or in a row before; nothing was stored."
    )


def _restored(cell: str) -> str:
    """Take away the mark that keeps a spreadsheet from running a cell."""
    return cell[1:] if NEUTRALISED.match(cell) else cell


def _spreadsheet(raw: bytes, name: str, table: str) -> Cells:
    if raw.startswith(OLE):
        if PROTECTED in raw:
            raise protected(name)
        return _laid_out(raw, name, table, None)
    with sound_archive(raw, name) as archive:
        return _laid_out(raw, name, table, archive)


def _laid_out(raw: bytes, name: str, table: str, archive: ZipFile | None) -> Cells:
    """The cells of the sheet named as the table, else of the first."""
    from python_calamine import CalamineError, CalamineWorkbook

    try:
        book = CalamineWorkbook.from_filelike(io.BytesIO(raw))
        sheets = book.sheet_names
        if not sheets:
            raise TableError(f"{name} has no sheet; it needs one with a heading and rows below it.")
        chosen = next((sheet for sheet in sheets if sheet.casefold() == table), sheets[0])
        if archive is not None:
            check_reach(archive, chosen, name)
        cells = book.get_sheet_by_name(chosen).to_python(skip_empty_area=False)
    except (CalamineError, OSError, IndexError, ValueError) as error:
        raise TableError(f"{name} can't be read as a spreadsheet: {_first_line(error)}.") from error
    except BaseException as error:
        # A Rust panic over a damaged file arrives as a BaseException of its own.
        if type(error).__name__ != "PanicException":
            raise
        raise TableError(f"{name} can't be read as a spreadsheet: it is damaged.") from error
    if archive is not None:
        put_formulas(archive, name, chosen, cells)
    return cells, (f'{name}: the sheet "{chosen}" was read.',) if len(sheets) > 1 else ()


def _first_line(error: BaseException) -> str:
    lines = str(error).strip().splitlines()
    return lines[0].rstrip(".") if lines else type(error).__name__
