"""The zip that an XLSX or ODS file is, and how far its cells reach before they are laid out.

A small file can be far too much: a zip unpacks to a thousand times its size, and the reader of
cells lays a sheet out whole, so that one blank typed by mistake in the last cell of an XLSX sheet
would take 500 GB.
"""

import io
import re
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from xml.etree import ElementTree

from planner.errors import TableError

LARGEST = 200_000_000  # bytes, also of what a zip unpacks to
MOST_CELLS = 5_000_000
PICTURES = ("xl/media/", "Pictures/", "media/", "Thumbnails/")
ENCRYPTED = 0x1  # the flag of a zip's entry
UNSOUND = (zipfile.BadZipFile, zlib.error, EOFError, RuntimeError, NotImplementedError, OSError)

# Rows and cells of a sheet that aren't plainly empty; ECMA-376 part 1, ODF 1.2.
_XLSX = re.compile(rb"<(?:\w+:)?(row|c)\b([^>]*?)(/?)>(?!</)")
_AT = re.compile(rb"\br=[\"']([A-Z]{0,8})(\d{1,18})[\"']")
_ODS = re.compile(
    rb"<table:(table-row|table-cell|covered-table-cell|table(?=[\s>]))([^>]*?)(/?)>"
    rb"(?!</table:(?:covered-)?table-cell>)"
)
_ROWS = re.compile(rb"\btable:number-rows-repeated=[\"'](\d{1,18})[\"']")
_COLUMNS = re.compile(rb"\btable:number-columns-repeated=[\"'](\d{1,18})[\"']")


@contextmanager
def sound_archive(raw: bytes, name: str) -> Iterator[zipfile.ZipFile]:
    """Open the zip of a spreadsheet whose cells can be laid out.

    Raises
    ------
    TableError
        If it is damaged, protected by a password, no XLSX or ODS, or unpacks to too much.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as archive:
            _check(archive, name)
            yield archive
    except UNSOUND as error:
        raise TableError(
            f"{name} can't be read as a spreadsheet: it is damaged or cut short. Copy or save it "
            "anew."
        ) from error


def _check(archive: zipfile.ZipFile, name: str) -> None:
    names = archive.namelist()
    ods, xlsx = "content.xml" in names, "xl/workbook.xml" in names
    locked = any(entry.flag_bits & ENCRYPTED for entry in archive.infolist())
    if locked or (ods and b"encryption-data" in _manifest(archive)):
        raise protected(name)
    if not ods and not xlsx:
        raise TableError(f"{name} is no XLSX or ODS file; save the table as one of them, or CSV.")
    entries = [entry for entry in archive.infolist() if not entry.filename.startswith(PICTURES)]
    if sum(entry.file_size for entry in entries) > LARGEST:
        raise TableError(f"{name} unpacks to more than {LARGEST // 1_000_000} MB; is it a table?")
    if ods:
        for reach in _ods_reaches(archive.read("content.xml")):
            _refuse_far(name, *reach)


def protected(name: str) -> TableError:
    """Return what to say of a spreadsheet that only opens with a password."""
    return TableError(f"{name} is protected by a password; save it without one.")


def _manifest(archive: zipfile.ZipFile) -> bytes:
    try:
        return archive.read("META-INF/manifest.xml")
    except KeyError:
        return b""


def check_reach(archive: zipfile.ZipFile, sheet: str, name: str) -> None:
    """Make sure that the cells of a sheet of an XLSX file can be laid out.

    Raises
    ------
    TableError
        If they reach too far.
    """
    names = archive.namelist()
    try:
        parts = [part_of(archive, sheet)]
    except (ElementTree.ParseError, LookupError):
        parts = [part for part in names if "worksheets/" in part]
    for part in parts if "xl/workbook.xml" in names else ():
        if part in names:
            _refuse_far(name, *_xlsx_reach(archive.read(part)))


def _refuse_far(name: str, rows: int, columns: int) -> None:
    if rows * columns > MOST_CELLS:
        raise TableError(
            f"{name} has a sheet that reaches to row {rows:,} and column {columns:,}, more than a "
            "table has. If something stands there by mistake, delete the rows and columns beyond "
            "yours, or copy yours into a new file."
        )


def _xlsx_reach(content: bytes) -> tuple[int, int]:
    """The last row and column of a sheet that hold something; a cell may not say its place."""
    row = column = last_row = last_column = 0
    for kind, attributes, closed in _XLSX.findall(content):
        at = _AT.search(attributes)
        if kind == b"row":
            row, column = int(at[2]) if at else row + 1, 0
            continue
        column = column_number(at[1].decode()) if at and at[1] else column + 1
        row = int(at[2]) if at and at[1] else row
        if not closed:
            last_row, last_column = max(last_row, row), max(last_column, column)
    return last_row, last_column


def _ods_reaches(content: bytes) -> Iterator[tuple[int, int]]:
    """Yield the last row and column of each sheet that hold something."""
    row = following = column = last_row = last_column = 0
    for kind, attributes, closed in _ODS.findall(content):
        if kind == b"table":
            yield last_row, last_column
            row = following = column = last_row = last_column = 0
        elif kind == b"table-row":
            row, column = following, 0
            following = row + _repeated(_ROWS, attributes)
        else:
            column += _repeated(_COLUMNS, attributes)
            if not closed or b"office:value-type" in attributes:
                last_row, last_column = max(last_row, following), max(last_column, column)
    yield last_row, last_column


def _repeated(pattern: re.Pattern[bytes], attributes: bytes) -> int:
    found = pattern.search(attributes)
    return int(found[1]) if found else 1


def part_of(archive: zipfile.ZipFile, sheet: str) -> str:
    """Return the part of a workbook that holds a sheet.

    Raises
    ------
    xml.etree.ElementTree.ParseError, LookupError
        If the workbook doesn't say.
    """
    book = ElementTree.fromstring(archive.read("xl/workbook.xml"))
    links = ElementTree.fromstring(archive.read("xl/_rels/workbook.xml.rels"))
    link = {node.get("name"): _link(node) for node in book.iter() if local(node.tag) == "sheet"}
    target = {node.get("Id"): node.get("Target", "") for node in links}[link[sheet]]
    return target.removeprefix("/") if target.startswith("/") else f"xl/{target}"


def _link(sheet: ElementTree.Element) -> str | None:
    """The id of a sheet's link; a bare "id" is none."""
    return next((value for key, value in sheet.items() if key.endswith("}id")), None)


def local(tag: str) -> str:
    """Return a tag without its namespace."""
    return tag.rpartition("}")[2]


def column_number(letters: str) -> int:
    """Return the number of a column named by capital letters, from 1: of AB 28."""
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - ord("A") + 1
    return number
