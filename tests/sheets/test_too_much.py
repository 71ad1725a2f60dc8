"""Files that are far more than they look: cells far off, zips that swell, endless devices."""

import io
import os
import re
import zipfile
from datetime import date
from pathlib import Path

import pytest
from openpyxl import Workbook

from planner.errors import TableError
from planner.sheets import archive as archives
from planner.sheets import read as reading
from planner.sheets.read import read_sheet

HEADING = ["date", "diameter_mm", "opening_mm"]
ROW = [date(2026, 11, 2), 10.4, 0.8]


def xlsx(path: Path, *far: tuple[int, int], other: bool = False) -> Path:
    """A table with something written far off, in its own sheet or in another."""
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(HEADING)
    sheet.append(ROW)
    target = book.create_sheet("scratch") if other else sheet
    for row, column in far:
        target.cell(row, column, "x")
    book.save(path)
    return path


def remade(path: Path, part: str, before: bytes, after: bytes) -> Path:
    """Put other bytes into a part of the zip."""
    made = io.BytesIO()
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as new:
        for entry in old.namelist():
            content = old.read(entry)
            new.writestr(entry, content.replace(before, after) if part in entry else content)
    path.write_bytes(made.getvalue())
    return path


def ods(path: Path, rows: str, manifest: str = "") -> Path:
    """An OpenDocument table of the rows given as XML."""
    spaces = "".join(
        f' xmlns:{name}="urn:oasis:names:tc:opendocument:xmlns:{name}:1.0"'
        for name in ("office", "table", "text")
    )
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        archive.writestr("META-INF/manifest.xml", f"<manifest>{manifest}</manifest>")
        archive.writestr(
            "content.xml",
            f"<office:document-content{spaces}><office:body><office:spreadsheet>"
            f'<table:table table:name="Sheet1">{rows}</table:table>'
            "</office:spreadsheet></office:body></office:document-content>",
        )
    return path


def cell(text: str, times: int = 1) -> str:
    """A cell of text, or several alike."""
    return (
        f'<table:table-cell table:number-columns-repeated="{times}" office:value-type="string">'
        f"<text:p>{text}</text:p></table:table-cell>"
    )


def refusal(path: Path) -> str:
    """What is said of a file that is no table."""
    with pytest.raises(TableError) as refused:
        read_sheet(path)
    return str(refused.value)


@pytest.mark.parametrize(
    ("at", "words"),
    [((1048576, 16384), "row 1,048,576 and column 16,384"), ((60000, 3000), "row 60,000")],
)
def test_a_cell_far_off_is_said_where_it_is(tmp_path: Path, at: tuple[int, int], words: str):
    """One blank typed there by mistake made the program fall over without a word."""
    said = refusal(xlsx(tmp_path / "reeds.xlsx", at))
    assert words in said
    assert "by mistake" in said


def test_a_cell_that_names_a_place_that_no_sheet_has_is_refused(tmp_path: Path):
    """The same, by damage."""
    path = xlsx(tmp_path / "reeds.xlsx")
    assert "reaches to" in refusal(remade(path, "sheet1", b'r="B2"', b'r="ZZZZZ99999999"'))


def test_long_and_wide_are_no_fault_by_themselves(tmp_path: Path):
    """Nor what is far off in a sheet that isn't read, or is only coloured."""
    for far in ((2, 16384), (200_000, 2)):
        assert read_sheet(xlsx(tmp_path / "reeds.xlsx", far)).heading[:3] == HEADING
    path = xlsx(tmp_path / "reeds.xlsx", (1048576, 16384), other=True)
    assert len(read_sheet(path).rows) == 1
    path = xlsx(tmp_path / "reeds.xlsx")
    coloured = b'<row r="1048576"><c r="XFD1048576" s="0"/></row></sheetData>'
    assert len(read_sheet(remade(path, "sheet1", b"</sheetData>", coloured)).rows) == 1


def test_cells_that_do_not_say_their_place_are_counted(tmp_path: Path, monkeypatch):
    """XLSX allows to leave the places out."""
    path = xlsx(tmp_path / "reeds.xlsx")
    with zipfile.ZipFile(path) as archive:
        content = archive.read("xl/worksheets/sheet1.xml")
    plain = re.sub(rb' r="[A-Z]*\d+"', b"", content)
    remade(path, "sheet1", content, plain)
    assert len(read_sheet(path).rows) == 1
    monkeypatch.setattr(archives, "MOST_CELLS", 5)
    assert "row 2 and column 3" in refusal(path)


@pytest.mark.parametrize(
    "rows",
    [
        f'<table:table-row table:number-rows-repeated="1048576">{cell("x", 100)}</table:table-row>',
        '<table:table-row table:number-rows-repeated="1048575"><table:table-cell/>'
        f"</table:table-row><table:table-row>{cell('x', 16384)}</table:table-row>",
    ],
)
def test_an_opendocument_table_that_stands_for_too_many_is_refused(tmp_path: Path, rows: str):
    """A few bytes may stand for all rows there are."""
    assert "row 1,048,576" in refusal(ods(tmp_path / "reeds.ods", rows))


def test_the_empty_rest_of_an_opendocument_sheet_does_not_count(tmp_path: Path):
    """As office programs write it below and beside every table."""
    rest = '<table:table-cell table:number-columns-repeated="16383"/>'
    rows = f"<table:table-row>{cell('date')}{rest}</table:table-row>" * 2
    rows += f'<table:table-row table:number-rows-repeated="1048574">{rest}</table:table-row>'
    assert len(read_sheet(ods(tmp_path / "reeds.ods", rows)).rows) == 1


def test_a_zip_that_swells_is_not_unpacked(tmp_path: Path, monkeypatch):
    """A thousand blanks are three bytes in a zip."""
    path = remade(xlsx(tmp_path / "reeds.xlsx"), "sheet1", b"<sheetData>", b" " * 10**6)
    assert path.stat().st_size < 20_000
    monkeypatch.setattr(archives, "LARGEST", 10**6)
    assert "unpacks to more than 1 MB" in refusal(path)


def test_a_text_of_too_many_cells_is_refused_while_it_is_read(tmp_path: Path, monkeypatch):
    """Empty rows are counted too."""
    monkeypatch.setattr(reading, "MOST_CELLS", 10)
    path = tmp_path / "reeds.csv"
    for text in ("a,b\n" * 6, "\n" * 11):
        path.write_text(text)
        assert "has more than 10 cells" in refusal(path)


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="this system has no /dev/zero")
def test_a_device_without_an_end_is_no_table(monkeypatch):
    """It has no size to ask for."""
    monkeypatch.setattr(reading, "LARGEST", 10**6)
    assert "is larger than" in refusal(Path("/dev/zero"))


def test_a_zip_with_a_password_is_said(tmp_path: Path):
    """The flag of an entry, as packers set it (PKWARE's APPNOTE, 4.4.4: bit 0)."""
    path = xlsx(tmp_path / "reeds.xlsx")
    raw = bytearray(path.read_bytes())
    for mark, flags in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        for found in re.finditer(re.escape(mark), bytes(raw)):
            raw[found.start() + flags] |= 1
    path.write_bytes(raw)
    assert "protected by a password" in refusal(path)


def test_what_a_spreadsheet_is_not_is_said(tmp_path: Path):
    """Cut short, protected, a zip of something else, a book without a sheet."""
    path = xlsx(tmp_path / "reeds.xlsx")
    path.write_bytes(path.read_bytes()[:-40])
    assert "damaged or cut short" in refusal(path)
    locked = ods(tmp_path / "locked.ods", "", "<manifest:encryption-data/>")
    assert "protected by a password" in refusal(locked)
    ole = tmp_path / "locked.xlsx"
    name = "EncryptedPackage".encode("utf-16-le")
    ole.write_bytes(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(500) + name)
    assert "protected by a password" in refusal(ole)
    with zipfile.ZipFile(tmp_path / "my.zip", "w") as archive:
        archive.writestr("reeds.csv", "date\n")
    assert "is no XLSX or ODS file" in refusal(tmp_path / "my.zip")


@pytest.mark.parametrize("note", ['"cracked\n{row}{row}', '"cracked\n{row}2026-11-02,1,"thin\n'])
def test_a_lost_quotation_mark_swallows_no_rows(tmp_path: Path, note: str):
    """The reeds after it went into a note, without a word."""
    row = "2026-11-02,10.4,tight\n"
    path = tmp_path / "reeds.csv"
    path.write_text(f"date,diameter_mm,note\n{row}2026-11-02,10.4,{note.format(row=row)}")
    assert "reeds.csv, row 3: there is a quotation mark without its fellow" in refusal(path)


def test_quotation_marks_of_all_other_kinds_are_read(tmp_path: Path):
    """Several lines in a cell, inches, a mark in the midst, blanks after it."""
    path = tmp_path / "reeds.csv"
    path.write_text('a,b\n"one\ntwo","say ""so"""\n5",7"\n')
    assert [row for _, row in read_sheet(path).rows] == [["one\ntwo", 'say "so"'], ['5"', '7"']]
    path.write_text('a,b\n"10.3" ,"un"closed\n"last one,1')
    assert [row for _, row in read_sheet(path).rows] == [["10.3 ", "unclosed"], ["last one,1"]]


def test_names_and_headings_are_shown_without_control_signs(tmp_path: Path):
    """They go to a terminal, which would obey them."""
    path = tmp_path / "re\x1b[31meds.csv"
    path.write_text("da\x1b[31mte\n1\n")
    sheet = read_sheet(path)
    assert (sheet.name, sheet.heading) == ("re [31meds.csv", ["da [31mte"])


@pytest.mark.skipif(os.name != "posix", reason="names are text elsewhere")
def test_a_name_that_is_no_text_is_shown(tmp_path: Path):
    """As an old stick leaves it."""
    path = Path(os.fsdecode(os.fsencode(tmp_path) + b"/M\xfcller.csv"))
    path.write_text("date\n1\n")
    assert read_sheet(path).name == "M?ller.csv"
