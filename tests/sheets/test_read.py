"""Files of rows and cells that are none, or are too much."""

import errno
import os
from pathlib import Path

import pytest
from openpyxl import Workbook

from planner.errors import TableError
from planner.sheets import read as reading
from planner.sheets.read import read_text


def test_a_file_that_is_far_too_large_is_not_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    """It is asked whether it is a table at all."""
    path = tmp_path / "film.csv"
    path.write_text("x" * 11)
    monkeypatch.setattr(reading, "LARGEST", 10)
    with pytest.raises(TableError, match=r"film\.csv is larger than 0 MB; is it a table\?"):
        read_text(path)


def test_a_quote_that_is_never_closed_is_one_sentence(tmp_path: Path):
    """The rest of the file is one cell then, more than a cell can hold."""
    path = tmp_path / "reeds.csv"
    path.write_text('date,note\n2026-11-02,"' + "tight\n" * 40_000)
    with pytest.raises(TableError, match=r"reeds\.csv, row 2: there is a quotation mark without"):
        reading.read_sheet(path, "reeds")


def test_a_folder_is_no_table(tmp_path: Path):
    """Said by its name and the reason alone, as the system words it."""
    with pytest.raises(TableError, match="can't be read: ") as refused:
        read_text(tmp_path)
    name, reason = str(refused.value).split(" can't be read: ")
    assert name == str(tmp_path)
    assert reason in {f"{os.strerror(number)}." for number in (errno.EISDIR, errno.EACCES)}


@pytest.mark.parametrize("sign", [";", "\t", ","])
def test_blank_lines_before_the_heading_do_not_decide_what_parts_the_cells(
    tmp_path: Path, sign: str
):
    """The first filled line does, and rows count as the file shows them."""
    path = tmp_path / "reeds.csv"
    path.write_text(f"\n  \ndate{sign}opening_mm\n2026-11-02{sign}0.82\n")
    sheet = reading.read_sheet(path, "reeds")
    assert (sheet.heading, sheet.heading_row) == (["date", "opening_mm"], 3)
    assert sheet.rows == [(4, ["2026-11-02", "0.82"])]


@pytest.mark.parametrize(("table", "heading"), [("reeds", "of reeds"), ("orders", "of anything")])
def test_the_sheet_named_as_the_table_is_read_else_the_first(
    tmp_path: Path, table: str, heading: str
):
    """Whatever its case, and the maker is told which."""
    book = Workbook()
    for name, words in (("Notes", "of anything"), ("REEDS", "of reeds"), ("cane", "of cane")):
        book.create_sheet(name).append([words])
    del book["Sheet"]
    book.save(tmp_path / "all.xlsx")
    sheet = reading.read_sheet(tmp_path / "all.xlsx", table)
    assert sheet.heading == [heading]
    named = "REEDS" if table == "reeds" else "Notes"
    assert sheet.notes == (f'all.xlsx: the sheet "{named}" was read.',)


def test_a_row_of_blanks_says_nothing():
    """Neither do cells that aren't there."""
    assert not reading.says_something([None, "", "  "])
    assert reading.says_something([None, 0.0])
