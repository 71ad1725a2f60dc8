"""Files of rows and cells that are none, or are too much."""

from pathlib import Path

import pytest

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
