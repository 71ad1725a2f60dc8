"""The record: what was kept, what holds, what was taken back."""

import sqlite3
import subprocess
import sys
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from planner.errors import RecordError, StockShort
from planner.history.tables import CaneMove, Check, Order, Reading, Reed
from planner.store.record import MARKS, Record

DAY = date(2026, 11, 2)
REED = Reed(DAY, "Bench", diameter_mm=10.4, gouge_mm=0.58, opening_mm=0.82)
ROWS = [
    REED,
    Reading(datetime(2026, 11, 2, 8, 15, tzinfo=UTC), "Bench", 45.5, 20.5),
    Check(DAY, "old", 0.59, event="sharpened", note="new stone"),
    CaneMove(DAY, "supplier", "tube", 40, "B", 10.0, 10.5),
    Order(DAY, "Riga", 12),
]


@pytest.fixture
def record(tmp_path: Path):
    """A new record."""
    with Record.open(tmp_path / "workshop.db") as opened:
        yield opened


@pytest.mark.parametrize("row", ROWS, ids=lambda row: type(row).__name__)
def test_a_row_comes_back_as_it_was_kept(record: Record, row):
    """Every kind of row, with its id."""
    identity = record.add(row)
    rows = [*record.reeds(), *record.readings(), *record.checks(), *record.cane(), *record.orders()]
    assert rows == [replace(row, id=identity)]


def test_another_connection_sees_what_was_acknowledged(record: Record):
    """What add returned for is in the file."""
    record.add(REED)
    with Record.open(record.path) as other:
        assert len(other.reeds()) == 1


def test_only_rows_of_the_days_up_to_a_day_are_given(record: Record):
    """As of a day: that day's rows count, the next day's don't."""
    for day in (date(2026, 11, 1), DAY, date(2026, 11, 3)):
        record.add(replace(REED, date=day))
    assert [reed.date.day for reed in record.reeds(until=DAY)] == [1, 2]
    record.add(Reading(datetime(2026, 11, 2, 23, 59, 59, tzinfo=UTC), "Bench", 40.0))
    record.add(Reading(datetime(2026, 11, 3, tzinfo=UTC), "Bench", 41.0))
    assert [reading.rh_pct for reading in record.readings(until=DAY)] == [40.0]


def test_the_revision_grows_with_every_write(record: Record):
    """A kept plan notices an add, an import and an undo, and that nothing was written."""
    seen = [record.revision()]
    record.add(REED)
    seen.append(record.revision())
    record.import_rows("reeds", [replace(REED, note="x")])
    seen.append(record.revision())
    record.undo()
    seen.append(record.revision())
    assert seen == sorted(set(seen))
    record.import_rows("reeds", [REED])
    assert record.revision() == seen[-1]


def test_a_record_put_back_has_another_revision_after_the_next_write(tmp_path: Path):
    """Two records that parted at a copy don't share a revision but by a chance in a million."""
    marks = set()
    for name in ("one.db", "two.db"):
        with Record.open(tmp_path / name) as record:
            record.add(REED)
            marks.add(record.revision() % MARKS)
    assert len(marks) == 2


def test_undo_goes_back_entry_by_entry_and_keeps_the_trace(record: Record):
    """Changed rows come back as they were; nothing is deleted."""
    first = record.add(REED)
    record.import_rows("reeds", [replace(REED, id=first, opening_mm=0.85), replace(REED, lot="B")])
    assert sorted(reed.opening_mm for reed in record.reeds()) == [0.82, 0.85]
    undone = record.undo()
    assert undone is not None
    assert (undone.kind, len(undone.difference.removed)) == ("import", 1)
    assert record.reeds() == [replace(REED, id=first)]
    record.undo()
    assert record.reeds() == []
    assert record.undo() is None
    with sqlite3.connect(record.path) as raw:
        assert raw.execute("SELECT COUNT(*), COUNT(voided) FROM reeds").fetchone() == (4, 4)


def test_an_undo_tells_which_rows_it_takes_out_brings_back_and_changes(record: Record):
    """As the maker sees them after it."""
    kept, gone = record.add(REED), record.add(replace(REED, lot="A"))
    edited = replace(REED, id=kept, opening_mm=0.85)
    record.import_rows("reeds", [edited, replace(REED, lot="B")], replacing=True)
    told = record.undo().difference
    assert [row.lot for row in told.removed] == ["B"]
    assert told.added == (replace(REED, id=gone, lot="A"),)
    assert told.changed == ((edited, replace(REED, id=kept)),)
    assert told.same == 0


def test_undoing_a_replacing_import_brings_the_rows_back(record: Record):
    """What --replace took out returns under its id."""
    first = record.add(REED)
    record.import_rows("reeds", [replace(REED, lot="B")], replacing=True)
    assert [reed.lot for reed in record.reeds()] == ["B"]
    record.undo()
    assert record.reeds() == [replace(REED, id=first)]


def test_an_entry_can_be_taken_back_by_its_row(record: Record):
    """Also when others came after it."""
    first, second = record.add(REED), record.add(replace(REED, lot="B"))
    assert record.undo(("reeds", first)) is not None
    assert [reed.id for reed in record.reeds()] == [second]
    assert record.undo(("reeds", first)) is None


def test_an_entry_that_a_later_one_stands_on_is_not_taken_back(record: Record):
    """The import changed what the add brought."""
    first = record.add(REED)
    record.import_rows("reeds", [replace(REED, id=first, lot="B"), replace(REED, lot="C")])
    added = next(reed for reed in record.reeds() if reed.lot == "C").id
    record.import_rows("reeds", [replace(REED, id=first, lot="D")])
    with pytest.raises(RecordError, match="changed by a later entry"):
        record.undo(("reeds", added))
    assert sorted(reed.lot for reed in record.reeds()) == ["C", "D"]


def test_an_id_is_never_given_twice(record: Record):
    """Also after the row it was given to is gone."""
    first = record.add(REED)
    record.undo()
    assert record.add(REED) > first


def test_new_rows_take_no_id_that_the_file_gives_another_row(record: Record):
    """A table from another workshop keeps its ids, rows without one come after."""
    found = record.import_rows("reeds", [replace(REED, lot="B"), replace(REED, id=1, lot="C")])
    assert [(row.id, row.lot) for row in found.added] == [(2, "B"), (1, "C")]


def test_the_same_rows_twice_add_nothing_but_two_equal_reeds_stay_two(record: Record):
    """Idempotent, and no reed is lost for being like another."""
    rows = [REED, REED, replace(REED, lot="B")]
    assert len(record.import_rows("reeds", rows).added) == 3
    again = record.import_rows("reeds", rows)
    assert not again
    assert again.same == 3


def test_an_import_that_was_undone_can_be_imported_again(record: Record):
    """Rows with ids that were taken back come in anew under them."""
    record.add(REED)
    rows = record.reeds()
    record.undo()
    assert len(record.import_rows("reeds", rows).added) == 1
    assert record.reeds() == rows


def test_a_failing_row_leaves_the_record_as_it_was(record: Record):
    """All or nothing: the last of three breaks a fence of the schema."""
    record.add(REED)
    before = record.reeds(), record.revision()
    rows = [replace(REED, lot="B"), replace(REED, lot="C"), replace(REED, verdict="tight")]
    with pytest.raises(RecordError, match="nothing was changed"):
        record.import_rows("reeds", rows)
    assert (record.reeds(), record.revision()) == before


@pytest.mark.parametrize(
    "row",
    [
        replace(REED, diameter_low_mm=10.0, diameter_high_mm=10.5),
        replace(REED, diameter_mm=None),
        replace(REED, diameter_mm=None, diameter_low_mm=11.0, diameter_high_mm=10.0),
        replace(REED, diameter_mm=None, diameter_low_mm=10.0),
        replace(REED, opening_mm=None),
        replace(REED, opening_mm=-0.1),
        replace(REED, room_rh_pct=101.0),
        replace(REED, place=""),
        Order(date(2026, 11, 3), "Bench", 5),
        Order(DAY, "Bench", -1),
        Check(DAY),
        CaneMove(DAY, "tube", "tube", 5),
        CaneMove(DAY, "supplier", "tube", 0),
        CaneMove(DAY, "supplier", "shelf", 5),
        Reading(datetime(2026, 11, 2, 8, 15, tzinfo=UTC), "Bench", -1.0),
    ],
)
def test_a_wrong_state_is_impossible(record: Record, row):
    """The last fence: SQLite itself refuses, whoever writes."""
    with pytest.raises(RecordError):
        record.add(row)


@pytest.mark.parametrize(
    "statement",
    [
        "DELETE FROM reeds",
        "DELETE FROM entries",
        "UPDATE reeds SET opening_mm = 0.9",
        "UPDATE reeds SET id = 7",
        "UPDATE entries SET at = '2020-01-01T00:00:00Z'",
        "UPDATE reeds SET voided = NULL",
        "INSERT INTO reeds (id, entry, origin, seal, date, place, measured, verdict, diameter_mm)"
        " VALUES (9, 1, 1, 0, '2026-02-30', 'Bench', 'soaked', 'good', 10.4)",
        # A second row under the number of one that holds.
        "INSERT INTO reeds (id, entry, origin, seal, date, place, measured, verdict, diameter_mm)"
        " VALUES (1, 1, 1, 0, '2026-02-03', 'Bench', 'soaked', 'good', 10.4)",
    ],
)
def test_nothing_written_can_be_changed_from_outside(record: Record, statement: str):
    """Not even by hand with another tool, short of removing the fences."""
    record.add(REED)
    record.add(REED)
    record.undo()
    with (
        sqlite3.connect(record.path) as raw,
        pytest.raises(sqlite3.IntegrityError),
    ):
        raw.execute(statement)


def test_a_time_without_an_offset_is_misuse(record: Record):
    """Times are UTC; a caller that forgets is told at once."""
    with pytest.raises(ValueError, match="without an offset"):
        record.add(Reading(datetime(2026, 11, 2), "Bench", 40.0))  # noqa: DTZ001
    assert record.readings() == []


def test_no_stage_goes_below_nothing(record: Record):
    """Neither by a movement, nor by one before it in time, nor by an undo of what it stands on."""
    bought = record.add(CaneMove(DAY, "supplier", "tube", 10, None, 10.0, 10.5))
    with pytest.raises(
        StockShort, match=r"1 tube of 10 to 10\.5 mm more would leave the stage tube"
    ):
        record.add(CaneMove(DAY, "tube", "split", 11, None, 10.0, 10.5))
    record.add(CaneMove(date(2026, 11, 9), "tube", "split", 10, None, 10.0, 10.25))
    with pytest.raises(StockShort, match="On 2026-11-09, 1 tube"):
        record.add(CaneMove(date(2026, 11, 3), "tube", "discarded", 1, None, 10.0, 10.5))
    with pytest.raises(StockShort):
        record.undo(("cane", bought))
    assert [move.pieces for move in record.cane()] == [10, 10]


def test_of_many_classes_that_lie_there_some_are_named(record: Record):
    """Six, and how many more there are."""
    for tenth in range(8):
        low = 9.0 + tenth / 10
        record.add(CaneMove(DAY, "supplier", "tube", 3, None, low, low + 0.1))
    with pytest.raises(StockShort) as refused:
        record.add(CaneMove(DAY, "tube", "split", 1, None, 11.0, 11.5))
    assert str(refused.value).count("3 tubes of 9") == 6
    assert "and 2 more" in str(refused.value)


def test_an_import_of_cane_is_whole_or_not(record: Record):
    """A ledger that can't be so is refused as a whole."""
    moves = [
        CaneMove(DAY, "supplier", "tube", 10),
        CaneMove(DAY, "tube", "split", 12),
    ]
    with pytest.raises(StockShort, match="no diameter noted"):
        record.import_rows("cane", moves)
    assert record.cane() == []


def test_a_correction_of_the_ledger_keeps_what_was_written_first(record: Record):
    """The corrected movement is another version under the same id."""
    moved = record.add(CaneMove(DAY, "supplier", "tube", 10))
    record.import_rows("cane", [CaneMove(DAY, "supplier", "tube", 12, id=moved)])
    assert [move.pieces for move in record.cane()] == [12]
    with sqlite3.connect(record.path) as raw:
        kept = raw.execute("SELECT pieces, voided IS NULL FROM cane ORDER BY version").fetchall()
    assert kept == [(10, 0), (12, 1)]


def test_the_record_loads_the_standard_library_only():
    """Opening it and reading reeds brings no numpy, pandas, httpx or click."""
    program = (
        "import sys, planner.store.record, planner.history.read\n"
        "heavy = {'numpy', 'pandas', 'scipy', 'httpx', 'click', 'openpyxl', 'python_calamine'}\n"
        "print(sorted(heavy & set(sys.modules)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "[]"


def test_a_file_whose_name_is_no_text_is_taken_in(record: Record):
    """As an old stick leaves it; the database was blamed."""
    record.import_rows("reeds", [REED], source="M\udcfcller.csv")
    assert len(record.reeds()) == 1
