"""The check of the record: what it finds, and that it changes nothing."""

import sqlite3
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from planner.history.tables import CaneMove, Reed
from planner.store.copies import copies_of, copy_path
from planner.store.record import Record, utc_now
from planner.store.record_checks import SHOWN_AT_MOST, is_record, soundness

DAY = date(2026, 11, 2)
REED = Reed(DAY, "Bench", diameter_mm=10.4, verdict="good")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A record with three reeds, one of them changed and one taken back, and some cane."""
    file = tmp_path / "workshop.db"
    with Record.open(file) as record:
        record.import_rows("reeds", [REED, replace(REED, lot="B")])
        record.import_rows("reeds", [replace(REED, id=1, lot="A")])
        record.add(REED)
        record.undo()
        record.add(CaneMove(DAY, "supplier", "tube", 5))
    return file


def broken(path: Path, *statements: str) -> tuple[str, ...]:
    """Break the record with the fences down and put them up again; the faults found."""
    raw = sqlite3.connect(path, isolation_level=None)
    fences = raw.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
    for name, _ in fences:
        raw.execute(f"DROP TRIGGER {name}")
    raw.execute("PRAGMA ignore_check_constraints = ON")
    raw.execute("PRAGMA foreign_keys = OFF")
    for statement in statements:
        raw.execute(statement)
    for _, fence in fences:
        raw.execute(fence)
    raw.close()
    return soundness(path).faults


def test_a_sound_record_is_counted(path: Path):
    """Rows that hold, and those replaced or taken back."""
    found = soundness(path)
    assert found.sound
    assert found.entries == 5
    assert [(held.table, held.now, held.voided) for held in found.held][:1] == [("reeds", 2, 2)]
    assert broken(path) == ()


def test_the_check_changes_nothing(path: Path):
    """Not a byte, and no file beside it."""
    before = path.read_bytes(), sorted(path.parent.iterdir())
    soundness(path)
    assert (path.read_bytes(), sorted(path.parent.iterdir())) == before


@pytest.mark.parametrize(
    ("statement", "words"),
    [
        ("UPDATE reeds SET diameter_mm = 11 WHERE id = 1", "Row 1 of reeds isn't what"),
        ("UPDATE reeds SET date = '2026-13-01' WHERE id = 2", "CHECK constraint"),
        ("UPDATE reeds SET entry = 99, origin = 99 WHERE id = 2", "entries that isn't there"),
        ("DROP INDEX reeds_now", "aren't as the planner makes them"),
        ("PRAGMA application_id = 1", "no record of the planner"),
        ("PRAGMA user_version = 9", "version 9"),
    ],
)
def test_a_fault_is_found_and_named(path: Path, statement: str, words: str):
    """What got past the fences is seen by the check."""
    assert any(words in fault for fault in broken(path, statement))


def test_many_changed_rows_are_counted(tmp_path: Path):
    """The first are named, the others are a number."""
    file = tmp_path / "workshop.db"
    with Record.open(file) as record:
        record.import_rows("reeds", [replace(REED, lot=str(n)) for n in range(SHOWN_AT_MOST + 4)])
    faults = broken(file, "UPDATE reeds SET diameter_mm = 11")
    assert faults[0] == "Row 1 of reeds isn't what the planner wrote: changed from outside."
    assert "And 4 more rows of reeds." in faults


def test_cane_below_nothing_is_found(path: Path):
    """A ledger that can't be so, written by hand with its seal."""
    from planner.store.record_rows import seal, stored

    move = CaneMove(DAY, "tube", "split", 50)
    values = stored(move)
    faults = broken(
        path,
        "INSERT INTO cane (id, entry, origin, seal, date, from_stage, to_stage, pieces) "
        f"VALUES (9, 1, 1, {seal(9, values)}, '{DAY}', 'tube', 'split', 50)",
    )
    assert len(faults) == 1
    assert "45 tubes of no diameter noted more would leave the stage tube than" in faults[0]


def test_the_newest_sound_copy_is_named(path: Path):
    """A damaged newer copy is passed over."""
    (good,) = copies_of(path)  # made before the second import
    bad = copy_path(path, utc_now() + timedelta(hours=1), "import")
    bad.write_bytes(b"noise" * 1000)
    found = soundness(path)
    assert (found.copies, found.newest_copy) == (2, good)
    path.unlink()
    missing = soundness(path)
    assert missing.faults == (f"There is no file {path}.",)
    assert missing.newest_copy == good


def test_a_record_is_told_from_other_files(path: Path, tmp_path: Path):
    """So that a backup never writes over a maker's other file."""
    assert is_record(path)
    other = tmp_path / "letter.txt"
    other.write_text("dear customer")
    assert not is_record(other)
