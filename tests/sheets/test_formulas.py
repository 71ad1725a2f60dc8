"""Formulas of a spreadsheet: their results are read, and one without a result is never lost."""

import io
import re
import zipfile
from datetime import date
from pathlib import Path

import pytest
from odfdo import Cell, Document, Row, Table
from openpyxl import Workbook, load_workbook
from openpyxl.workbook.defined_name import DefinedName

from planner.errors import TableError
from planner.history.read import TableFile, read_table
from planner.history.tables import TableLimits
from planner.sheets.formulas import put_formulas

PLACES = {"Bench Town": "Europe/Berlin"}
HEADING = ["date", "diameter_mm", "opening_mm", "note"]
DAY = "2026-11-02"
EMPTY = (b"<v></v>", b"<v/>", b"<v />")


def read(path: Path) -> TableFile:
    """A file of reeds."""
    return read_table(path, "reeds", TableLimits(), PLACES, today=date(2026, 11, 25))


def xlsx(path: Path, *rows: list[object]) -> Path:
    """A workbook as a program writes it: its formulas have no results."""
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(HEADING)
    for row in rows:
        sheet.append(row)
    book.save(path)
    return path


def ods(path: Path, *rows: list[object]) -> Path:
    """The same in the OpenDocument format, by another library."""
    table = Table("reeds")
    for values in (HEADING, *rows):
        row = Row()
        for value in values:
            formula = isinstance(value, str) and value.startswith("=")
            row.append_cell(Cell(formula=f"of:{value}") if formula else Cell(value))
        table.append_row(row)
    document = Document("spreadsheet")
    document.body.clear()
    document.body.append(table)
    document.save(path)
    return path


def edited(path: Path, part: str, *changes: tuple[bytes, bytes]) -> Path:
    """A spreadsheet with some bytes of its parts changed."""
    made = io.BytesIO()
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(made, "w") as new:
        for entry in old.namelist():
            content = old.read(entry)
            for before, after in changes if part in entry else ():
                content = content.replace(before, after)
            new.writestr(entry, content)
    path.write_bytes(made.getvalue())
    return path


@pytest.mark.parametrize(("write", "sign"), [(xlsx, "="), (ods, "of:=")])
def test_a_formula_without_a_result_is_named_by_row_and_column(tmp_path: Path, write, sign: str):
    """In a column that must be filled and in one that may be empty."""
    path = write(
        tmp_path / "reeds.any",
        [DAY, 10.4, 0.8, "plain"],
        [],
        [DAY, "=10+0.4", 0.8, None],
        [DAY, 10.4, 0.8, "=A2"],
        [DAY, None, 0.8, "=A3"],
    )
    with pytest.raises(TableError) as refused:
        read(path)
    assert [(cell.row, cell.column, cell.found) for cell in refused.value.cells] == [
        (4, "diameter_mm", f"{sign}10+0.4"),
        (5, "note", f"{sign}A2"),
        (6, "note", f"{sign}A3"),
    ]
    assert "a formula without its result" in str(refused.value)


def test_a_result_in_the_file_is_what_counts(tmp_path: Path):
    """As a spreadsheet program saves it."""
    path = xlsx(tmp_path / "reeds.xlsx", [DAY, "=10+0.4", 0.8, None])
    edited(path, "sheet1", *((empty, b"<v>10.4</v>") for empty in EMPTY))
    assert [row.diameter_mm for row in read(path).rows] == [10.4]


def test_a_formula_whose_result_is_empty_text_is_an_empty_cell(tmp_path: Path):
    """=IF(A2="","",...) is how makers leave a cell blank; the file says it is text."""
    path = xlsx(tmp_path / "reeds.xlsx", [DAY, 10.4, 0.8, "=C2"])
    edited(path, "sheet1", (b'<c r="D2">', b'<c r="D2" t="str">'))
    assert [row.note for row in read(path).rows] == [None]


def test_an_error_of_the_spreadsheet_is_no_empty_cell(tmp_path: Path):
    """#REF! in a column that may be empty."""
    path = xlsx(tmp_path / "reeds.xlsx", [DAY, 10.4, 0.8, "=C2"], [DAY, 10.4, 0.8, "=C3"])
    edited(
        path,
        "sheet1",
        (b'<c r="D2">', b'<c r="D2" t="e">'),
        *((b"<f>C2</f>" + empty, b"<v>#REF!</v>") for empty in EMPTY),
        *((empty, b"<v>7</v>") for empty in EMPTY),
    )
    with pytest.raises(TableError) as refused:
        read(path)
    assert [(cell.row, cell.column, cell.found) for cell in refused.value.cells] == [
        (2, "note", "#REF!")
    ]


def test_a_file_too_odd_to_tell_where_is_refused(tmp_path: Path):
    """One sentence, and the way out."""
    path = xlsx(tmp_path / "reeds.xlsx", [DAY, "=10+0.4", 0.8, None])
    edited(path, "workbook.xml.rels", (b'Id="', b'Ix="'))
    with (
        zipfile.ZipFile(path) as archive,
        pytest.raises(TableError, match="holds formulas without their results"),
    ):
        put_formulas(archive, "reeds.xlsx", "Sheet", [[""] * 4] * 2)


def test_a_formula_in_a_column_that_is_left_out_does_not_matter(tmp_path: Path):
    """Nor one below the table's last column."""
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append([*HEADING, "price"])
    sheet.append([DAY, 10.4, 0.8, "x", "=B2*2"])
    book.save(tmp_path / "reeds.xlsx")
    found = read(tmp_path / "reeds.xlsx")
    assert len(found.rows) == 1
    assert found.notes == ("reeds.xlsx: left out the columns price.",)


def test_cells_that_stand_for_several_are_counted(tmp_path: Path):
    """OpenDocument writes equal neighbours once, with a count."""
    path = ods(tmp_path / "reeds.ods", [DAY, "=1", 0.8, None])
    empty = b'<table:table-row table:number-rows-repeated="3"><table:table-cell '
    empty += b'table:number-columns-repeated="4"/></table:table-row>'
    with zipfile.ZipFile(path) as archive:
        content = archive.read("content.xml")
    last = content.rindex(b"<table:table-row")
    edited(path, "content.xml", (content[last:], empty + content[last:]))
    with pytest.raises(TableError, match=r'row 5, column "diameter_mm": "of:=1"'):
        read(path)


def test_a_formula_in_a_cell_that_does_not_say_its_place_is_found(tmp_path: Path):
    """XLSX allows to leave the places of rows and cells out; they follow each other then."""
    path = xlsx(tmp_path / "reeds.xlsx", [DAY, 10.4, 0.8, "x"], [DAY, 10.4, "=0.8", "x"])
    with zipfile.ZipFile(path) as archive:
        content = archive.read("xl/worksheets/sheet1.xml")
    edited(path, "sheet1", (content, re.sub(rb' r="[A-Z]*\d+"', b"", content)))
    with pytest.raises(TableError, match=r'row 3, column "opening_mm": "=0\.8"'):
        read(path)


def test_a_name_given_to_cells_is_not_taken_for_their_sheet(tmp_path: Path):
    """A workbook may name a range of cells as one of its sheets is named."""
    path = xlsx(tmp_path / "reeds.xlsx", [DAY, "=10+0.4", 0.8, "x"])
    book = load_workbook(path)
    book.defined_names["Sheet"] = DefinedName("Sheet", attr_text="Sheet!$A$1:$D$2")
    book.save(path)
    with pytest.raises(TableError, match=r'row 2, column "diameter_mm": "=10\+0.4"'):
        read(path)


def test_a_formula_beside_or_below_the_table_is_no_fault_of_it(tmp_path: Path):
    """One cell beyond the last column, one row below the last."""
    cells = [["date", "note"], [DAY, ""]]
    path = xlsx(tmp_path / "reeds.xlsx", [DAY, None, "=A2"], ["=A2"])
    with zipfile.ZipFile(path) as archive:
        put_formulas(archive, "reeds.xlsx", "Sheet", cells)
    assert cells == [["date", "note"], [DAY, ""]]
