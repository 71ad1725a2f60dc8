"""Any table to a file and back, in every format; any bytes as a file."""

import tempfile
import zipfile
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from planner.errors import TableError
from planner.history.read import TableFile, read_table
from planner.history.tables import TABLES, Reed, TableLimits
from planner.history.write import FORMATS, cells_of, csv_text, write_file

PLACES = {"Bench Town": "Europe/Berlin", "Far Bay": "America/New_York"}
TODAY = date(2026, 11, 25)
REED = Reed(date(2026, 11, 2), "Far Bay", diameter_mm=10.4, verdict="good")


def read(path: Path, table: str) -> TableFile:
    """A file as of TODAY."""
    return read_table(path, table, TableLimits(), PLACES, today=TODAY)


def said(path: Path, table: str) -> str | None:
    """What an unreadable file is told; None where it gave rows. Any other error comes through."""
    try:
        read(path, table)
    except TableError as error:
        return str(error)
    return None


@pytest.mark.parametrize("form", [*FORMATS, "decimal comma"])
def test_any_table_of_valid_rows_survives_export_and_import(
    form: str, any_table: st.SearchStrategy
):
    """Unchanged in every format: text that looks like formulas, numbers or dates too."""
    decimal_comma = form == "decimal comma"
    ending = ".csv" if decimal_comma else form

    @settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
    @given(drawn=any_table)
    def survives(drawn):
        table, rows = drawn
        rows = [replace(row, id=i) if i % 2 else row for i, row in enumerate(rows)]
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / f"table{ending}"
            write_file(cells_of(table, rows, PLACES), path, decimal_comma=decimal_comma)
            assert list(read(path, table).rows) == rows

    survives()


@settings(max_examples=150, deadline=None)
@given(
    raw=st.binary(max_size=400)
    | st.binary(max_size=200).map(lambda raw: b"PK\x03\x04" + raw)
    | st.binary(max_size=200).map(lambda raw: b"\xd0\xcf\x11\xe0" + raw)
    | st.text(max_size=200).map(lambda text: text.encode("utf-8", "replace"))
    | st.text(alphabet=";,\t\"\n\r'=-0123456789.", max_size=200).map(
        lambda text: b"date,diameter_mm,opening_mm\n" + text.encode()
    ),
    table=st.sampled_from(list(TABLES)),
)
def test_any_bytes_give_rows_or_a_sentence(raw: bytes, table: str):
    """Never a traceback."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "any.csv"
        path.write_bytes(raw)
        said(path, table)


@pytest.mark.parametrize("ending", [".xlsx", ".ods"])
def test_a_damaged_spreadsheet_gives_rows_or_a_sentence(tmp_path: Path, ending: str):
    """A bite out of it anywhere, or cut anywhere."""
    path = tmp_path / f"reeds{ending}"
    write_file(cells_of("reeds", [REED] * 20, PLACES), path)
    whole = path.read_bytes()
    for start in range(0, len(whole), max(len(whole) // 60, 1)):
        for damaged in (whole[:start], whole[:start] + b"\xff" * 9 + whole[start + 9 :]):
            path.write_bytes(damaged)
            assert said(path, "reeds") != ""


def test_cells_that_a_spreadsheet_would_run_are_marked_and_come_back(tmp_path: Path):
    """OWASP, CSV Injection: =, +, -, @ begin a formula; numbers below nothing are no text."""
    notes = ["=HYPERLINK(1)", "+1", "-1", "@x", "'=kept", "plain", "a=b"]
    text = csv_text(cells_of("reeds", [replace(REED, note=note) for note in notes], PLACES))
    cells = [line.rsplit(",", 1)[1] for line in text.splitlines()[1:]]
    assert cells == ["'=HYPERLINK(1)", "'+1", "'-1", "'@x", "''=kept", "plain", "a=b"]
    path = tmp_path / "reeds.csv"
    path.write_text(text, encoding="utf-8")
    assert [row.note for row in read(path, "reeds").rows] == notes


def test_only_numbers_have_a_decimal_comma_and_only_where_it_is_wanted():
    """A point of a text is a point."""
    rows = cells_of("reeds", [replace(REED, lot="No. 3.5")], PLACES)
    plain, commas = csv_text(rows), csv_text(rows, decimal_comma=True)
    assert "10.4" in plain
    assert "10,4" in commas
    assert all("No. 3.5" in text for text in (plain, commas))


def test_text_that_looks_like_a_formula_is_text_in_a_spreadsheet(tmp_path: Path):
    """Read by another library: a string cell, no formula."""
    from openpyxl import load_workbook

    path = tmp_path / "reeds.xlsx"
    write_file(cells_of("reeds", [replace(REED, note="=1+1")], PLACES), path)
    sheet = load_workbook(path).active
    cells = dict(zip([c.value for c in sheet[1]], sheet[2], strict=True))
    assert (cells["note"].value, cells["note"].data_type) == ("=1+1", "s")
    assert cells["date"].is_date
    assert cells["diameter_mm"].data_type == "n"


def test_our_opendocument_file_is_read_by_another_library(tmp_path: Path):
    """Read by odfdo (an independent implementation of ODF): the same cells and types."""
    from odfdo import Document

    path = tmp_path / "reeds.ods"
    write_file(cells_of("reeds", [replace(REED, note="<a> & b", id=3)], PLACES), path)
    document = Document(str(path))
    assert document.mimetype == "application/vnd.oasis.opendocument.spreadsheet"
    heading, row = document.body.tables[0].get_values()
    found = dict(zip(heading, row, strict=True))
    assert str(found["date"])[:10] == "2026-11-02"
    assert (float(found["diameter_mm"]), found["note"], int(found["id"])) == (10.4, "<a> & b", 3)
    assert found["lot"] is None


def test_an_opendocument_file_says_what_it_is_in_its_first_bytes(tmp_path: Path):
    """ODF 1.2 part 3, section 3.3: "mimetype" first, neither packed nor with an extra field."""
    path = tmp_path / "reeds.ods"
    write_file(cells_of("reeds", [REED] * 50, PLACES), path)
    begins = path.read_bytes()[:77]
    assert begins[30:] == b"mimetypeapplication/vnd.oasis.opendocument.spreadsheet"[:47]
    with zipfile.ZipFile(path) as archive:
        first, *others = archive.infolist()
    assert (first.filename, first.compress_type) == ("mimetype", zipfile.ZIP_STORED)
    assert {entry.compress_type for entry in others} == {zipfile.ZIP_DEFLATED}


def test_the_same_rows_make_the_same_opendocument_bytes(tmp_path: Path):
    """No clock in it."""
    for name in ("a.ods", "b.ods"):
        write_file(cells_of("reeds", [REED], PLACES), tmp_path / name)
    assert (tmp_path / "a.ods").read_bytes() == (tmp_path / "b.ods").read_bytes()


def test_a_file_that_is_there_is_not_written_over(tmp_path: Path):
    """The maker may have edited it; --overwrite says it may go."""
    path = tmp_path / "reeds.csv"
    path.write_text("edited by hand")
    with pytest.raises(TableError, match="there already"):
        write_file(cells_of("reeds", [REED], PLACES), path)
    assert path.read_text() == "edited by hand"
    write_file(cells_of("reeds", [REED], PLACES), path, overwriting=True)
    assert path.read_text(encoding="utf-8-sig").startswith("id,date,place")
    assert [file.name for file in tmp_path.iterdir()] == ["reeds.csv"]


def test_a_file_that_cannot_be_written_says_so(tmp_path: Path):
    """A folder that isn't there, an ending that is none of ours."""
    with pytest.raises(TableError, match="can't be written"):
        write_file(cells_of("reeds", [REED], PLACES), tmp_path / "no" / "reeds.csv")
    with pytest.raises(TableError, match=r"ends in \.csv, \.xlsx, \.ods"):
        write_file(cells_of("reeds", [REED], PLACES), tmp_path / "reeds.pdf")


def test_times_are_written_on_the_clock_of_their_place():
    """With the offset, so that nothing is lost when the clock is set back."""
    from datetime import UTC, datetime

    from planner.history.tables import Reading

    reading = Reading(datetime(2026, 7, 1, 12, tzinfo=UTC), "Far Bay", 50.0)
    assert cells_of("readings", [reading], PLACES).rows[0][1] == "2026-07-01T08:00:00-04:00"
