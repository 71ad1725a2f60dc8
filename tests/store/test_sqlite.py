"""What a maker is told of a database that can't be used."""

import sqlite3
from pathlib import Path

import pytest

from planner.errors import RecordBusy, RecordDamaged, RecordError, RecordFull
from planner.store.sqlite import explain


def error_of(text: str, name: str = "") -> sqlite3.Error:
    """An error as SQLite raises it."""
    error = sqlite3.OperationalError(text)
    error.sqlite_errorname = name
    return error


@pytest.mark.parametrize(
    ("text", "kind", "said"),
    [
        ("database is locked", RecordBusy, "is in use by another program"),
        ("database or disk is full", RecordFull, "Make room on the disk"),
        ("attempt to write a readonly database", RecordFull, "Check that you may write"),
        ("database disk image is malformed", RecordDamaged, "Put a copy from the backups"),
        ("no such table: reeds", RecordError, "no such table: reeds; nothing was changed"),
    ],
)
def test_each_trouble_has_its_kind_and_its_way_out(
    tmp_path: Path, text: str, kind: type[RecordError], said: str
):
    """The file is named in each."""
    found = explain(error_of(text), tmp_path / "workshop.db")
    assert type(found) is kind
    assert said in str(found)
    assert str(tmp_path / "workshop.db") in str(found)


def test_a_file_or_folder_that_was_moved_is_told_as_that(tmp_path: Path):
    """Not as one that can't be written."""
    error = error_of("attempt to write a readonly database", "SQLITE_READONLY_DBMOVED")
    assert "was moved while in use" in str(explain(error, tmp_path / "workshop.db"))
    gone = tmp_path / "gone" / "workshop.db"
    assert f"The folder {gone.parent} isn't there; was it moved?" in str(explain(error, gone))


def test_a_name_of_bytes_that_are_no_text_is_to_be_renamed(tmp_path: Path):
    """SQLite takes names as text."""
    error = UnicodeEncodeError("utf-8", "\udcff", 0, 1, "surrogates not allowed")
    assert "Rename it." in str(explain(error, tmp_path / "workshop.db"))
