"""Standard streams as a shell hands them over: closed, full, cut, of few signs, of odd bytes."""

import csv
import json
import os
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest

from planner.cli.streams import HANDLER, ready_streams, takes_all_signs
from planner.store.record import Record
from tests.workshops import BENCH_TOWN, environment, founded

pytestmark = pytest.mark.skipif(os.name == "nt", reason="needs a POSIX shell")

ONE = "add reed --diameter-low-mm 10 --diameter-high-mm 10.5 --verdict good --note grün→"


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A workshop without a record."""
    return founded(tmp_path, BENCH_TOWN)


def shell(shop: Path, line: str, typed: bytes = b"", **variables: str):
    """A line of the shell in which $P is the planner."""
    return subprocess.run(
        ["/bin/sh", "-c", line.replace("$P", f"'{sys.executable}' -m planner")],
        cwd=shop,
        input=typed,
        capture_output=True,
        check=False,
        env=environment(**variables),
    )


def count(shop: Path) -> int:
    """How many reeds the record holds."""
    with Record.open(shop / "workshop.db") as record:
        return len(record.reeds())


@pytest.mark.parametrize("encoding", ["latin-1", "ascii"])
def test_a_terminal_of_few_signs_gets_plain_ones(shop: Path, encoding: str):
    """A dash for a dash, a question mark for what has no like; the record keeps all."""
    done = shell(shop, f"$P {ONE}", PYTHONIOENCODING=encoding, LC_ALL="C")
    assert (done.returncode, done.stderr) == (0, b"")
    if encoding == "latin-1":
        assert b"10.00-10.50 mm, good, gr\xfcn->." in done.stdout
    with Record.open(shop / "workshop.db") as record:
        assert record.reeds()[0].note == "grün→"


def test_tables_and_json_lose_no_sign(shop: Path):
    """Whatever the terminal takes."""
    shell(shop, f"$P {ONE}")
    table = shell(shop, "$P export reeds", PYTHONIOENCODING="latin-1").stdout
    assert next(csv.DictReader(table.decode("utf-8").splitlines()))["note"] == "grün→"
    answer = shell(shop, "$P export reeds --json", PYTHONIOENCODING="latin-1").stdout
    assert json.loads(answer.decode("ascii"))["rows"][0]["note"] == "grün→"


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs /dev/full")
@pytest.mark.parametrize("words", [ONE, "--help"])
def test_an_answer_to_a_full_disk_is_told(shop: Path, words: str):
    """One sentence that doesn't deny what was kept."""
    done = shell(shop, f"$P {words} > /dev/full")
    assert done.returncode == 1
    assert done.stderr.decode().startswith("Error: the answer could not be written (No space left")
    assert "what the command did stands" in done.stderr.decode()
    assert count(shop) == (words == ONE)


@pytest.mark.parametrize("closed", ["<&-", ">&- 2>&- <&-"])
def test_closed_streams_stop_no_entry(shop: Path, closed: str):
    """As a job without a terminal may have them."""
    assert shell(shop, f"$P {ONE} {closed}").returncode == 0
    assert shell(shop, f"$P add reed --lot B {closed}").returncode == 0
    assert count(shop) == 1


def test_a_reader_that_goes_away_is_no_trouble(shop: Path):
    """``| head -1``: neither a traceback nor a word."""
    shell(shop, "$P add reed", "".join(f"10.4 good # {i}\n" for i in range(99)).encode())
    for words in ("export reeds", "--help"):
        done = shell(shop, f"$P {words} | head -1")
        assert done.stderr == b""
        assert done.stdout.count(b"\n") == 1


def test_lines_of_other_bytes_are_told_and_the_rest_is_kept(shop: Path):
    """A pipe in another encoding."""
    done = shell(shop, "$P add reed", b"\xff\xfe\n10.4 good # gr\xfcn\n", LC_ALL="C.UTF-8")
    assert done.returncode == 1
    assert b"Line 1:" in done.stderr
    assert b"Traceback" not in done.stderr
    assert count(shop) == 1


def test_nothing_in_the_pipe_is_told(shop: Path):
    """Rather than passed over."""
    done = shell(shop, "$P add cane < /dev/null")
    assert (done.returncode, done.stdout) == (0, b"")
    assert b"No line came" in done.stderr


def test_start_without_anyone_to_ask_says_what_to_give(tmp_path: Path):
    """Nothing is made."""
    done = shell(tmp_path, "$P start <&-")
    assert done.returncode == 2
    assert b"Give them as options, at least --place" in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_names_that_are_no_text_are_told(shop: Path):
    """Of a folder, or so long that no disk takes it."""
    shell(shop, f"$P {ONE}")
    long = shell(shop, f"$P backup {'x' * 400}")
    assert (long.returncode, long.stdout) == (1, b"")
    assert b"can't be written: File name too long" in long.stderr
    odd = shell(shop, "printf x > o && $P backup \"$(printf 'a\\377.db')\"", LC_ALL="C.UTF-8")
    assert odd.returncode in (0, 1)
    assert b"wasn't made for" not in odd.stderr


@pytest.mark.parametrize(
    ("encoding", "all_signs"), [("utf-8", True), ("UTF-16", True), ("latin-1", False), ("?", False)]
)
def test_only_unicode_takes_all_signs(
    encoding: str, *, all_signs: bool, monkeypatch: pytest.MonkeyPatch
):
    """An encoding that Python doesn't know takes none for sure."""
    monkeypatch.setattr("sys.stdout", SimpleNamespace(encoding=encoding))
    assert takes_all_signs() is all_signs


def test_plain_signs_stand_in_where_text_is_written_and_nowhere_else():
    """Bytes that are no text aren't read as some."""
    ready_streams()
    assert "10–11 mm → ø".encode("ascii", HANDLER) == b"10-11 mm -> ?"
    with pytest.raises(UnicodeDecodeError):
        b"\xff".decode("ascii", HANDLER)
