"""The verbs of the record under hard faults: full, read-only, locked, cut, moved, old, new."""

import os
import sqlite3
import subprocess
import tempfile
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from functools import partial
from pathlib import Path

import pytest
from click.testing import Result

from planner.store.copies import copies_of
from planner.store.record import Record
from planner.store.record_checks import soundness
from planner.store.record_schema import MIGRATIONS
from tests.workshops import BENCH_TOWN, PROGRAM, environment, founded
from tests.workshops import planner as call

ONE = ("add", "reed", "--diameter-mm", "10.4", "--verdict", "good")
READING = (("export", "reeds"), ("verify",))
WRITING = (ONE, ("undo",), ("import", "reeds", "{shop}/new.csv"))


def planner(shop: Path, *words: str, typed: str = "") -> Result:
    """Call the planner in a workshop that the words may name."""
    return call(shop, *(word.format(shop=shop) for word in words), typed=typed)


def program(shop: Path, *words: str) -> list[str]:
    """The same as a program of its own."""
    return [*PROGRAM, "--workshop", str(shop), *words]


def lines(count: int) -> str:
    """So many reeds, one a line."""
    return "".join(f"10.4 0.58 0.82 # {i} {'x' * 150}\n" for i in range(count))


def workshop(folder: Path, reeds: int = 0) -> Path:
    """A workshop with so many reeds, and a table of one more."""
    founded(folder, BENCH_TOWN)
    (folder / "new.csv").write_text("date,diameter_mm,verdict\n2026-11-02,10.2,open\n")
    if reeds:
        assert planner(folder, "add", "reed", typed=lines(reeds)).exit_code == 0
    return folder


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A workshop with three reeds."""
    return workshop(tmp_path, 3)


def is_told(done: Result, *words: str) -> None:
    """One clear error with those words, exit code 1, nothing on stdout."""
    assert done.exit_code == 1, done.output
    assert done.stdout == ""
    assert done.stderr.count("Error: ") == 1
    assert "wasn't made for" not in done.stderr
    for word in words:
        assert word in done.stderr


def kept(stdout: str) -> int:
    """How many reeds were acknowledged."""
    return stdout.count("Kept as reed ")


def enter(shop: Path, typed: str, limit: int | None = None) -> subprocess.CompletedProcess[str]:
    """Enter lines through a pipe, with a limit on the size of files [bytes]."""
    adding = program(shop, "add", "reed")
    if limit is not None:
        adding = ["/bin/sh", "-c", f'ulimit -f {limit // 512}; exec "$@"', "sh", *adding]
    return subprocess.run(
        adding, input=typed, capture_output=True, text=True, check=False, env=environment()
    )


def fill(shop: Path, limit: int | None = None) -> subprocess.CompletedProcess[str]:
    """Enter reeds until the disk, or the limit on files, is full."""
    return enter(shop, lines(3000), limit)


def is_full_without_loss(shop: Path, done: subprocess.CompletedProcess[str]) -> None:
    """What was acknowledged is there, the first refused line is named, the record is sound."""
    assert done.returncode == 1
    count = kept(done.stdout)
    assert count > 50
    assert f"Line {count + 1} and what follows it were not taken." in done.stderr
    assert "can't be written" in done.stderr
    assert "Traceback" not in done.stderr
    with Record.open(shop / "workshop.db") as record:
        assert len(record.reeds()) == count
    assert soundness(shop / "workshop.db").sound


def test_a_full_disk_keeps_what_was_acknowledged_and_says_so(small_disk: Path):
    """A real one: entries, an import, a copy, an export; all go on once there is room."""
    done = fill(workshop(small_disk))
    is_full_without_loss(small_disk, done)
    count = kept(done.stdout)
    is_told(planner(small_disk, "import", "reeds", "{shop}/new.csv"), "Make room on the disk")
    refused = planner(small_disk, "backup")
    is_told(refused, "Make room on the disk", "-by-hand.db can't be written")
    assert ".half" not in refused.stderr
    is_told(planner(small_disk, "export", "reeds", "{shop}/all.csv"), "No space left")
    assert copies_of(small_disk / "workshop.db") == []
    assert not (small_disk / "all.csv").exists()
    assert planner(small_disk, "export", "reeds").stdout.count("\n") == count + 1
    subprocess.run(["mount", "-o", "remount,size=8m", str(small_disk)], check=True)
    assert planner(small_disk, *ONE).exit_code == 0
    assert planner(small_disk, "backup").exit_code == 0


def test_a_quota_keeps_what_was_acknowledged_and_says_so(quick_disk: Path):
    """The same by a limit on the size of files, where nobody may mount."""
    is_full_without_loss(quick_disk, fill(workshop(quick_disk), limit=200_000))


def test_a_read_only_disk_answers_and_refuses_entries(small_disk: Path):
    """A real read-only file system."""
    workshop(small_disk, 3)
    subprocess.run(["mount", "-o", "remount,ro", str(small_disk)], check=True)
    for words in READING:
        assert planner(small_disk, *words).exit_code == 0
    for words in WRITING:
        is_told(planner(small_disk, *words), "can't be written", "Check that you may write")
    is_told(planner(small_disk, "backup"), "can't be written")
    assert planner(small_disk, "export", "reeds").stdout.count("\n") == 4


@contextmanager
def as_nobody() -> Iterator[None]:
    """Be a user who owns nothing, where this one may do all."""
    root = not os.geteuid()
    if root:
        os.seteuid(65534)
    try:
        yield
    finally:
        if root:
            os.seteuid(0)


def test_a_folder_without_the_right_to_write_answers_and_refuses_entries(tmp_path: Path):
    """The record of another user, or a folder closed by oneself."""
    # What is loaded when first needed may lie where only this user reads.
    words_of_all = [("export", "reeds"), *WRITING, ("backup",)]
    other = tmp_path / "other"
    other.mkdir()
    workshop(other, 1)
    for words in words_of_all:
        planner(other, *words)
    with tempfile.TemporaryDirectory() as name:  # pytest's own folders are closed to others
        shop = workshop(Path(name), 3)
        for path in (shop, *shop.rglob("*")):
            path.chmod(0o555 if path.is_dir() else 0o444)
        try:
            with as_nobody():
                done = [planner(shop, *words) for words in words_of_all]
        finally:
            for path in (shop, *shop.rglob("*")):
                path.chmod(0o755)
        assert done[0].stdout.count("\n") == 4
        for refused in done[1:]:
            is_told(refused, "can't be written")
        assert planner(shop, "export", "reeds").stdout == done[0].stdout


def test_a_locked_record_is_told_and_left_alone(shop: Path, monkeypatch: pytest.MonkeyPatch):
    """Another program holds it for longer than the planner waits."""
    monkeypatch.setitem(Record.open.__func__.__kwdefaults__, "wait_ms", 50)
    holder = sqlite3.connect(shop / "workshop.db", isolation_level=None)
    holder.execute("BEGIN EXCLUSIVE")
    for words in (*WRITING, ("export", "reeds")):
        is_told(planner(shop, *words), "workshop.db is in use by another program")
    holder.execute("ROLLBACK")
    holder.close()
    assert planner(shop, *ONE).exit_code == 0


def test_a_line_refused_by_a_lock_can_be_typed_again(shop: Path, monkeypatch: pytest.MonkeyPatch):
    """The prompt goes on: the other program may let go."""
    monkeypatch.setitem(Record.open.__func__.__kwdefaults__, "wait_ms", 50)
    reader = sqlite3.connect(shop / "workshop.db", isolation_level=None)
    reader.execute("BEGIN")
    reader.execute("SELECT * FROM reeds").fetchall()
    done = planner(shop, "add", "reed", typed="10.1 good\n10.2 good\n")
    assert done.exit_code == 1
    assert done.stderr.count("in use by another program") == 2
    reader.execute("COMMIT")
    reader.close()
    assert kept(planner(shop, "add", "reed", typed="10.1 good\n").stdout) == 1


@pytest.mark.parametrize("share", [0.999, 0.7, 0.3, 0.01])
def test_a_truncated_record_is_told_with_the_way_back(shop: Path, share: float):
    """The file stays as it is; verify names the newest sound copy, and it takes its place."""
    path = shop / "workshop.db"
    assert planner(shop, "backup").exit_code == 0
    whole = path.read_bytes()
    cut = whole[: int(len(whole) * share)]
    path.write_bytes(cut)
    for words in (*WRITING, ("export", "reeds"), ("backup",)):
        is_told(planner(shop, *words), "workshop.db", "Put a copy from the backups in its place")
    verified = planner(shop, "verify")
    assert verified.exit_code == 1
    assert path.read_bytes() == cut
    copy = copies_of(path)[0]
    assert f"the newest sound one is {copy}." in verified.stdout
    copy.rename(path)
    assert planner(shop, "export", "reeds").stdout.count("\n") == 4


def test_an_emptied_or_missing_record_is_told(shop: Path):
    """No new one is begun where there are copies of an old one."""
    assert planner(shop, "backup").exit_code == 0
    path = shop / "workshop.db"
    path.write_bytes(b"")
    for words in (*WRITING, ("export", "reeds")):
        is_told(planner(shop, *words), "is empty, though there was a record")
    path.unlink()
    for words in (*WRITING, ("export", "reeds")):
        is_told(planner(shop, *words), "is missing, though there was a record")
    assert planner(shop, "verify").exit_code == 1
    assert not path.exists()


def test_a_folder_moved_during_entries_is_told(shop: Path):
    """The next line is refused; what was echoed went along."""
    with subprocess.Popen(
        program(shop, "add", "reed"),
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=environment(),
    ) as entering:
        assert entering.stdin is not None
        assert entering.stdout is not None
        entering.stdin.write("10.1 good\n")
        entering.stdin.flush()
        assert "Kept as reed 4" in entering.stdout.readline()
        moved = shop.rename(shop.with_name("elsewhere"))
        _, said = entering.communicate("10.2 good\n")
    assert entering.returncode == 1
    assert "moved" in said
    assert "Traceback" not in said
    is_told(planner(shop, *ONE), "There is no workshop in")
    assert planner(moved, "export", "reeds").stdout.count("\n") == 5


def later_version(connection: sqlite3.Connection) -> None:
    """A step that a later planner might take."""
    connection.execute("CREATE TABLE moods (mood TEXT NOT NULL) STRICT")


def test_a_newer_record_is_refused(shop: Path):
    """By every verb, and it stays as it is."""
    path = shop / "workshop.db"
    Record.open(path, migrations=(*MIGRATIONS, later_version)).close()
    before = path.read_bytes()
    for words in (*WRITING, ("export", "reeds"), ("add", "cane")):
        is_told(planner(shop, *words), "newer version of the planner", "install the newer planner")
    assert planner(shop, "verify").exit_code == 1
    assert path.read_bytes() == before


def test_an_older_record_is_brought_up_to_date_after_a_copy(
    shop: Path, monkeypatch: pytest.MonkeyPatch
):
    """By the first verb that opens it; the copy holds the version before."""
    path = shop / "workshop.db"
    copies = len(copies_of(path))
    steps = (*MIGRATIONS, later_version)
    monkeypatch.setitem(Record.open.__func__.__kwdefaults__, "migrations", steps)
    assert planner(shop, *ONE).exit_code == 0
    assert planner(shop, "export", "reeds").stdout.count("\n") == 5
    monkeypatch.undo()
    (copy,) = (entry for entry in copies_of(path) if entry.name.endswith("-version-1.db"))
    assert len(copies_of(path)) == copies + 1
    with Record.open(copy) as old:
        assert len(old.reeds()) == 3


def test_two_terminals_at_once_lose_nothing(quick_disk: Path):
    """Lines through two pipes at the same time: each acknowledged one is there, each once."""
    shop = workshop(quick_disk, 3)
    typed = ["".join(f"10.4 good # {name}.{i}\n" for i in range(100)) for name in ("one", "two")]
    with ThreadPoolExecutor() as hands:
        both = list(hands.map(partial(enter, shop), typed))
    assert [(done.returncode, kept(done.stdout)) for done in both] == [(0, 100)] * 2
    with Record.open(shop / "workshop.db") as record:
        reeds = record.reeds()
    assert len({reed.note for reed in reeds}) == len({reed.id for reed in reeds}) == 203
