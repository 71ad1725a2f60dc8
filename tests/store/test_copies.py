"""Copies of the record: whole, dated, thinned, and made while others write."""

import os
import subprocess
import sys
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from planner.errors import RecordDamaged, RecordFull
from planner.history.tables import Reed
from planner.store import copies
from planner.store.record import Record
from planner.store.record_checks import soundness

REED = Reed(date(2026, 11, 2), "Bench", diameter_mm=10.4, verdict="good")
NOW = datetime(2026, 11, 25, 9, 30, 15, tzinfo=UTC)


def test_a_copy_holds_what_was_kept_and_is_a_record(tmp_path: Path):
    """It can take the record's place."""
    path, target = tmp_path / "workshop.db", tmp_path / "stick" / "copy.db"
    with Record.open(path) as record:
        record.add(REED)
        copies.copy_database(path, target)
        record.add(REED)
    with Record.open(target) as copy:
        assert len(copy.reeds()) == 1
    assert soundness(target).sound
    assert [file.name for file in target.parent.iterdir()] == ["copy.db"]


WRITER = """
import sys
import time
from datetime import date
from pathlib import Path
from planner.history.tables import Reed
from planner.store.record import Record
with Record.open(Path(sys.argv[1])) as record:
    print("ready", flush=True)
    while True:
        record.add(Reed(date(2026, 11, 2), "Bench", diameter_mm=10.4, verdict="good"))
        time.sleep(0.002)
"""


def test_a_copy_made_while_another_writes_is_consistent(tmp_path: Path):
    """Five copies under a busy writer, each sound, none with fewer rows than before."""
    path = tmp_path / "workshop.db"
    Record.open(path).close()
    with subprocess.Popen(
        [sys.executable, "-c", WRITER, str(path)], stdout=subprocess.PIPE, cwd=Path.cwd()
    ) as writer:
        assert writer.stdout is not None
        writer.stdout.readline()
        counts = []
        for number in range(5):
            target = copies.copy_database(path, tmp_path / f"copy-{number}.db")
            assert soundness(target).sound
            with Record.open(target) as copy:
                counts.append(len(copy.reeds()))
        writer.kill()
    assert counts == sorted(counts)
    assert counts[-1] > counts[0]


def test_no_copy_is_made_of_an_unsound_record(tmp_path: Path):
    """And the older good copy is not overwritten by a bad one."""
    path, target = tmp_path / "workshop.db", tmp_path / "copy.db"
    with Record.open(path) as record:
        record.import_rows("reeds", [replace(REED, note=str(i) * 50) for i in range(200)])
    copies.copy_database(path, target)
    good = target.read_bytes()
    whole = path.read_bytes()
    middle = len(whole) // 2
    path.write_bytes(whole[:middle] + b"\xa5" * 8192 + whole[middle + 8192 :])
    with pytest.raises(RecordDamaged):
        copies.copy_database(path, target)
    assert target.read_bytes() == good
    assert sorted(file.name for file in tmp_path.iterdir()) == ["copy.db", "workshop.db"]


def test_a_copy_that_cannot_be_written_says_so(tmp_path: Path):
    """Its folder is a file."""
    path = tmp_path / "workshop.db"
    Record.open(path).close()
    (tmp_path / "stick").write_text("no folder")
    with pytest.raises(RecordFull, match=r"can't be written \([A-Z][a-z ]+\)\. Make room"):
        copies.copy_database(path, tmp_path / "stick" / "copy.db")


@pytest.mark.skipif(not Path("/proc/self/fd").is_dir(), reason="this system has no /proc")
def test_a_copy_is_on_the_disk_before_it_takes_its_place(tmp_path: Path, monkeypatch):
    """A power cut leaves the old copy or the whole new one: file, then name, then folder."""
    path, target = tmp_path / "workshop.db", tmp_path / "stick" / "copy.db"
    Record.open(path).close()
    done: list[tuple[str, Path]] = []
    replace_it, sync = Path.replace, os.fsync

    def replaced(draft: Path, goal: Path) -> Path:
        done.append(("named", draft))
        return replace_it(draft, goal)

    def synced(handle: int) -> None:
        done.append(("synced", Path(f"/proc/self/fd/{handle}").readlink()))
        sync(handle)

    monkeypatch.setattr(Path, "replace", replaced)
    monkeypatch.setattr(os, "fsync", synced)
    copies.copy_database(path, target)
    draft = done[0][1]
    assert done == [("synced", draft), ("named", draft), ("synced", target.parent)]


def test_a_half_copy_left_by_a_killed_program_is_swept_away_later(tmp_path: Path):
    """Not while it may still be at work."""
    import os

    path = tmp_path / "workshop.db"
    Record.open(path).close()
    folder = tmp_path / copies.FOLDER
    folder.mkdir()
    old, fresh = folder / f".a.db.1{copies.DRAFT}", folder / f".b.db.2{copies.DRAFT}"
    for half in (old, fresh):
        half.write_bytes(b"half")
    os.utime(old, (0, 0))
    copies.set_aside(path, NOW, "import")
    assert not old.exists()
    assert fresh.exists()


def test_two_copies_of_one_second_are_both_kept(tmp_path: Path):
    """Two imports within a second."""
    path = tmp_path / "workshop.db"
    Record.open(path).close()
    made = {copies.set_aside(path, NOW, "import") for _ in range(3)}
    assert len(made) == 3
    assert set(copies.copies_of(path)) == made
    assert {copies.copied_at(copy) for copy in made} == {NOW}


def test_the_first_import_needs_no_copy_and_later_ones_make_one(tmp_path: Path):
    """An empty record is not copied; an import that changes nothing makes none."""
    path = tmp_path / "workshop.db"
    with Record.open(path, now=lambda: NOW) as record:
        record.import_rows("reeds", [REED])
        assert copies.copies_of(path) == []
        record.import_rows("reeds", [REED])
        assert copies.copies_of(path) == []
        record.import_rows("reeds", [replace(REED, lot="B")])
    (copy,) = copies.copies_of(path)
    assert copy.name == "workshop-2026-11-25T093015Z-import.db"
    with Record.open(copy) as before:
        assert len(before.reeds()) == 1


def test_an_import_whose_copy_cannot_be_made_is_not_done(tmp_path: Path):
    """No way back, no import."""
    path = tmp_path / "workshop.db"
    with Record.open(path) as record:
        record.add(REED)
        (tmp_path / copies.FOLDER).write_text("no folder")
        with pytest.raises(RecordFull):
            record.import_rows("reeds", [replace(REED, lot="B")])
        assert len(record.reeds()) == 1


def daily(count: int, folder: Path) -> list[Path]:
    """Names of so many daily copies, back from NOW."""
    path = folder / "workshop.db"
    return [copies.copy_path(path, NOW - timedelta(days=i), "import") for i in range(count)]


def test_copies_are_thinned_with_age(tmp_path: Path):
    """Ten years of daily copies: the last ten, weeks, months and years, and nothing doubled."""
    made = daily(3650, tmp_path)
    spare = set(copies.spares(made))
    kept = [copy for copy in made if copy not in spare]
    assert kept[:10] == made[:10]
    ages = [(NOW - copies.copied_at(copy)).days for copy in kept]
    assert ages == sorted(ages)
    assert len(kept) <= 10 + copies.KEEP_WEEKS + copies.KEEP_MONTHS + 11
    assert max(ages) > 9 * 365 - 1
    assert {copies.copied_at(copy).year for copy in kept} == set(range(2016, 2027))


def test_copies_thinned_again_and_again_keep_their_span(tmp_path: Path):
    """Thinned after every copy, as it happens, a year back is never further than a month away."""
    path = tmp_path / "workshop.db"
    kept: list[Path] = []
    for day in range(500):
        kept.append(copies.copy_path(path, NOW + timedelta(days=day), "import"))
        spare = set(copies.spares(kept))
        kept = [copy for copy in kept if copy not in spare]
    wanted = NOW + timedelta(days=500 - 365)
    assert min(abs(copies.copied_at(copy) - wanted) for copy in kept) <= timedelta(days=31)


def test_copies_made_by_hand_are_never_thinned(tmp_path: Path):
    """However old and many."""
    path = tmp_path / "workshop.db"
    made = [copies.copy_path(path, NOW - timedelta(hours=i), copies.BY_HAND) for i in range(500)]
    assert copies.spares(made) == []


def test_no_copy_is_made_of_a_record_whose_end_is_cut(tmp_path: Path):
    """SQLite would fill the last page up with noughts and find nothing wrong."""
    path = tmp_path / "workshop.db"
    with Record.open(path) as record:
        record.import_rows("reeds", [replace(REED, note=str(i)) for i in range(50)])
    whole = path.read_bytes()
    path.write_bytes(whole[:-10])
    with pytest.raises(RecordDamaged, match="its end is cut off"):
        copies.copy_database(path, tmp_path / "copy.db")
    assert not (tmp_path / "copy.db").exists()
    assert not soundness(path).sound
    assert path.read_bytes() == whole[:-10]
