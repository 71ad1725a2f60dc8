"""The record under hard faults: killed, two at once, full, read-only, locked, damaged, moved."""

import json
import os
import random
import resource
import sqlite3
import struct
import subprocess
import sys
import threading
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from planner.errors import RecordBusy, RecordDamaged, RecordError, RecordFull, RecordTooNew
from planner.history.tables import Reed
from planner.store.copies import copies_of
from planner.store.record import Record
from planner.store.record_checks import soundness
from planner.store.record_schema import MIGRATIONS
from tests.workshops import environment

HERE = Path(__file__).parent
REED = Reed(date(2026, 11, 2), "Bench", diameter_mm=10.4, opening_mm=0.82, note="x" * 200)


def filled(path: Path, count: int = 200) -> Path:
    """A record with so many reeds."""
    with Record.open(path) as record:
        record.import_rows("reeds", [replace(REED, lot=str(i)) for i in range(count)])
    return path


def program(name: str, *words: object) -> list[str]:
    """A call of a script beside this test."""
    return [sys.executable, str(HERE / name), *map(str, words)]


def test_a_killed_writer_loses_no_acknowledged_record_and_leaves_no_half_one(quick_disk: Path):
    """SIGKILL at 200 random moments of adds, imports and undos; 1,000 in a benchmark."""
    done = subprocess.run(
        program("kills.py", quick_disk, 200, 7),
        capture_output=True,
        text=True,
        env=environment(),
        check=False,
    )
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert found["rounds"] == 200
    assert found["acknowledged"] >= 200
    # Some kills fell within a transaction: the journal was left behind and rolled back.
    assert found["journals_left"] > 0


WRITER = """
import sys
from datetime import date
from pathlib import Path
from planner.history.tables import Reed
from planner.store.record import Record
with Record.open(Path(sys.argv[1])) as record:
    for i in range(int(sys.argv[3])):
        reed = Reed(date(2026, 11, 2), sys.argv[2], diameter_mm=10.4, verdict="good", lot=str(i))
        record.add(reed)
"""


def test_two_terminals_at_once_lose_nothing(quick_disk: Path):
    """1,000 rows each, at the same time: 2,000 rows, each with an id of its own."""
    path = quick_disk / "workshop.db"
    writers = [
        subprocess.Popen([sys.executable, "-c", WRITER, str(path), name, "1000"], env=environment())
        for name in ("one", "two")
    ]
    assert [writer.wait() for writer in writers] == [0, 0]
    with Record.open(path) as record:
        reeds = record.reeds()
    assert len(reeds) == len({reed.id for reed in reeds}) == 2000
    assert {(reed.place, reed.lot) for reed in reeds} == {
        (place, str(i)) for place in ("one", "two") for i in range(1000)
    }


def fill_up(record: Record) -> tuple[int, str]:
    """Add until the record refuses; how many were acknowledged, and what it said."""
    for count in range(100_000):
        try:
            record.add(replace(REED, lot=str(count)))
        except RecordFull as refused:
            return count, str(refused)
    raise AssertionError("the disk never filled")


def test_a_full_disk_keeps_what_was_acknowledged(small_disk: Path):
    """A real one: every acknowledged reed is there, the record is sound and goes on after."""
    path = small_disk / "workshop.db"
    with Record.open(path) as record:
        count, said = fill_up(record)
        assert count > 50
        assert "can't be written" in said
        assert "nothing was changed" in said
        with pytest.raises(RecordFull):
            record.import_rows("reeds", [replace(REED, note=str(i)) for i in range(50)])
        assert [reed.lot for reed in record.reeds()] == [str(i) for i in range(count)]
    assert soundness(path).sound
    assert not copies_of(path), "no half copy is left"
    subprocess.run(["mount", "-o", "remount,size=4m", str(small_disk)], check=True)
    with Record.open(path) as record:
        record.add(replace(REED, lot="after"))
        assert len(record.reeds()) == count + 1


def test_a_quota_keeps_what_was_acknowledged(tmp_path: Path):
    """The same by a limit on the size of a file, where nobody may mount."""
    path = tmp_path / "workshop.db"
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    with Record.open(path) as record:
        resource.setrlimit(resource.RLIMIT_FSIZE, (200_000, hard))
        try:
            count, said = fill_up(record)
        finally:
            resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
        assert "can't be written" in said
        assert len(record.reeds()) == count > 50
        record.add(REED)
    assert soundness(path).sound


def test_a_read_only_disk_can_be_read_and_says_why_it_is_not_written(small_disk: Path):
    """A real read-only file system."""
    path = filled(small_disk / "workshop.db", 20)
    subprocess.run(["mount", "-o", "remount,ro", str(small_disk)], check=True)
    with Record.open(path) as record:
        assert len(record.reeds()) == 20
        with pytest.raises(RecordFull, match="Check that you may write"):
            record.add(REED)
        with pytest.raises(RecordFull, match="Check that you may write"):
            record.undo()
    assert soundness(path).sound
    with pytest.raises(RecordFull):
        Record.open(small_disk / "other.db")


@pytest.mark.skipif(not os.geteuid(), reason="root may write anywhere")
def test_a_folder_without_the_right_to_write_says_so(tmp_path: Path):
    """The right to write was taken from the folder and the file."""
    path = filled(tmp_path / "workshop.db", 5)
    path.chmod(0o444)
    tmp_path.chmod(0o555)
    try:
        with Record.open(path) as record, pytest.raises(RecordFull, match="may write"):
            record.add(REED)
    finally:
        tmp_path.chmod(0o755)


def test_a_locked_record_is_waited_for_and_then_reported(tmp_path: Path):
    """Another program holds it: wait, then one sentence; nothing is changed."""
    path = filled(tmp_path / "workshop.db", 5)
    holder = sqlite3.connect(path, isolation_level=None, check_same_thread=False)
    holder.execute("BEGIN EXCLUSIVE")
    with pytest.raises(RecordBusy, match="in use by another program"):
        Record.open(path, wait_ms=50)
    holder.execute("COMMIT")
    with Record.open(path, wait_ms=10_000) as record:
        holder.execute("BEGIN IMMEDIATE")
        let_go = threading.Timer(0.2, holder.execute, ["ROLLBACK"])
        let_go.start()
        record.add(REED)
        let_go.join()
        assert len(record.reeds()) == 6
    holder.close()


def test_a_reader_at_work_does_not_stop_an_entry_for_good(tmp_path: Path):
    """A plan that reads makes an entry wait, not fail; too long a reader is reported."""
    path = filled(tmp_path / "workshop.db", 5)
    reader = sqlite3.connect(path, isolation_level=None)
    reader.execute("BEGIN")
    reader.execute("SELECT * FROM reeds").fetchall()
    with Record.open(path, wait_ms=50) as record:
        with pytest.raises(RecordBusy):
            record.add(REED)
        reader.execute("COMMIT")
        record.add(REED)
        assert len(record.reeds()) == 6
    reader.close()


def test_a_truncated_record_is_reported_wherever_it_was_cut(tmp_path: Path):
    """Any length: a clear error or (at full length) the rows; the file stays as it is."""
    path = filled(tmp_path / "workshop.db")
    whole = path.read_bytes()
    generator = random.Random(3)
    lengths = [1, 50, 99, 100, 512, 4095, 4096, 8192, len(whole) - 1]
    lengths += [generator.randrange(1, len(whole)) for _ in range(20)]
    for length in lengths:
        path.write_bytes(whole[:length])
        with pytest.raises(RecordDamaged, match=r"backups|isn't|another"), Record.open(path) as cut:
            cut.reeds()
        assert not soundness(path).sound
        assert path.read_bytes() == whole[:length]


def test_an_emptied_or_missing_record_is_no_new_one_where_copies_lie(tmp_path: Path):
    """Nobody starts anew without noticing that thirty years are gone."""
    path = filled(tmp_path / "workshop.db", 5)
    with Record.open(path) as record:
        record.import_rows("reeds", [replace(REED, lot="new")])
    assert len(copies_of(path)) == 1
    path.write_bytes(b"")
    with pytest.raises(RecordDamaged, match="is empty, though there was a record"):
        Record.open(path)
    path.unlink()
    with pytest.raises(RecordDamaged, match="is missing, though there was a record"):
        Record.open(path)
    copies_of(path)[0].rename(path)
    with Record.open(path) as record:
        assert len(record.reeds()) == 5


def test_an_empty_file_without_copies_is_a_new_record(tmp_path: Path):
    """As "touch" or a folder sync leaves it: nothing was there to be lost."""
    path = tmp_path / "workshop.db"
    path.write_bytes(b"")
    with Record.open(path) as record:
        assert record.reeds() == []


def test_noise_over_the_record_never_passes_for_rows(tmp_path: Path):
    """Blocks of noise at random places: an error, or a check that finds it; never a crash."""
    path = filled(tmp_path / "workshop.db")
    whole = path.read_bytes()
    with Record.open(path) as record:
        intact = record.reeds()
    generator = random.Random(5)
    found = 0
    for _ in range(60):
        start = generator.randrange(len(whole))
        noise = generator.randbytes(generator.choice([1, 64, 4096]))
        changed = (whole[:start] + noise + whole[start + len(noise) :])[: len(whole)]
        path.write_bytes(changed)
        try:
            with Record.open(path) as record:
                reeds = record.reeds()
        except RecordError:
            reeds = None
        checked = soundness(path)
        if reeds != intact:
            assert not checked.sound
        found += not checked.sound
        assert path.read_bytes() == changed
    assert found > 20


def test_a_changed_figure_is_noticed(tmp_path: Path):
    """One bit in a number passes SQLite's own check, not the seal."""
    path = filled(tmp_path / "workshop.db", 3)
    whole = path.read_bytes()
    wrong = whole.replace(struct.pack(">d", 0.82), struct.pack(">d", 0.28), 1)
    assert wrong != whole
    path.write_bytes(wrong)
    faults = soundness(path).faults
    assert len(faults) == 1
    assert "changed from outside" in faults[0]


def test_a_file_of_another_program_is_left_alone(tmp_path: Path):
    """A text, and a database that isn't ours."""
    path = tmp_path / "workshop.db"
    path.write_bytes(b"dear diary, " * 100)
    with pytest.raises(RecordDamaged, match="isn't a sound database"):
        Record.open(path)
    assert path.read_bytes() == b"dear diary, " * 100
    path.unlink()
    with sqlite3.connect(path) as other:
        other.execute("CREATE TABLE songs (title TEXT)")
    other.close()
    before = path.read_bytes()
    with pytest.raises(RecordDamaged, match="another program"):
        Record.open(path)
    assert path.read_bytes() == before


def test_a_folder_that_is_not_there_is_named(tmp_path: Path):
    """Moved or mistyped."""
    with pytest.raises(RecordFull, match="isn't there; was it moved"):
        Record.open(tmp_path / "gone" / "workshop.db")


def test_a_folder_moved_while_entering_is_reported(tmp_path: Path):
    """The next entry is refused, and all that was acknowledged went along."""
    folder = tmp_path / "shop"
    folder.mkdir()
    with Record.open(folder / "workshop.db") as record:
        record.add(REED)
        folder.rename(tmp_path / "elsewhere")
        with pytest.raises(RecordError, match="moved"):
            record.add(REED)
    with Record.open(tmp_path / "elsewhere" / "workshop.db") as record:
        assert len(record.reeds()) == 1


def add_mood(connection: sqlite3.Connection) -> None:
    """A step that a later version might take."""
    connection.execute("CREATE TABLE moods (mood TEXT NOT NULL) STRICT")


def break_down(connection: sqlite3.Connection) -> None:
    """A step that fails half way."""
    connection.execute("CREATE TABLE halves (half TEXT) STRICT")
    connection.execute("CREATE TABLE halves (half TEXT) STRICT")


def test_an_older_record_is_brought_up_to_date_after_a_copy(tmp_path: Path):
    """The copy is of the version before; rows are all there; a second opening does nothing."""
    path = filled(tmp_path / "workshop.db", 10)
    for _ in range(2):
        with Record.open(path, migrations=(*MIGRATIONS, add_mood)) as record:
            assert len(record.reeds()) == 10
    copies = copies_of(path)
    assert [copy.name.endswith("-version-1.db") for copy in copies] == [True]
    with Record.open(copies[0]) as old:
        assert len(old.reeds()) == 10


def test_a_failing_step_leaves_the_record_as_it_was(tmp_path: Path):
    """Version, rows and tables; the copy stays too."""
    path = filled(tmp_path / "workshop.db", 10)
    with pytest.raises(RecordError):
        Record.open(path, migrations=(*MIGRATIONS, add_mood, break_down))
    with Record.open(path) as record:
        assert len(record.reeds()) == 10
    with sqlite3.connect(path) as raw:
        names = {name for (name,) in raw.execute("SELECT name FROM sqlite_master")}
    raw.close()
    assert not names & {"moods", "halves"}


def test_a_newer_record_is_refused_and_left_alone(tmp_path: Path):
    """Written by a newer planner."""
    path = filled(tmp_path / "workshop.db", 3)
    Record.open(path, migrations=(*MIGRATIONS, add_mood)).close()
    before = path.read_bytes()
    with pytest.raises(RecordTooNew, match="newer version of the planner"):
        Record.open(path)
    assert path.read_bytes() == before
