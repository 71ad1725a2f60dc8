"""The prompts on a real terminal (a pseudo-terminal): typed, mended, interrupted, ended."""

import os
import re
import select
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from planner.history.tables import Reed
from planner.settings import read_settings
from planner.store.record import Record
from tests.workshops import BENCH_TOWN, environment, founded

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="needs Linux's terminals")

CTRL_C, CTRL_D, UP = "\x03", "\x04", "\x1b[A"
PATIENCE = 30.0  # seconds
# What is started from a background job ignores Ctrl-C from birth; a terminal's program doesn't.
PROGRAM = """
import signal
signal.signal(signal.SIGINT, signal.default_int_handler)
from planner.cli import main
main()
"""


class Terminal:
    """A program on a terminal: type, and wait for what it shows."""

    def __init__(self, folder: Path, *words: str, answers: Path | None = None) -> None:
        self._master, slave = os.openpty()
        tty = os.ttyname(slave)
        # The first terminal that a session's leader opens is the one whose Ctrl-C reaches it.
        opens = 'in=$1 out=$2; shift 2; exec "$@" <"$in" >"$out" 2>"$in"'
        program = [sys.executable, "-c", PROGRAM, *words]
        self._process = subprocess.Popen(
            ["/bin/sh", "-c", opens, "sh", tty, str(answers or tty), *program],
            cwd=folder,
            env=environment(TERM="xterm"),
            start_new_session=True,
        )
        self._slave = slave
        self.shown = ""

    def wait_for(self, words: str) -> None:
        """Wait until the words are shown after what was waited for before, on a line or two."""
        until = time.monotonic() + PATIENCE
        wanted = re.compile(re.escape(words).replace("\\ ", r"(?: |\s*\r\n\s*)"))
        while not (found := wanted.search(self.shown, self._read)):
            assert time.monotonic() < until, f"no {words!r} in {self.shown!r}"
            assert self._more(), f"ended without {words!r}: {self.shown!r}"
        self._read = found.end()

    _read = 0

    def type(self, keys: str) -> None:
        """Type keys, no faster than a hand; a line needs its own line end."""
        time.sleep(0.1)  # a Ctrl-C in the instant before Python waits for keys is seen at the next
        os.write(self._master, keys.encode())

    def ended(self) -> int:
        """Wait for the end; the exit code."""
        until = time.monotonic() + PATIENCE
        while self._more():
            assert time.monotonic() < until, f"never ended: {self.shown!r}"
        return self._process.wait(PATIENCE)

    def close(self) -> None:
        """End the program if it hasn't."""
        if self._process.poll() is None:
            self._process.kill()
            self._process.wait()
        os.close(self._master)
        os.close(self._slave)

    def _more(self) -> bool:
        ready, _, _ = select.select([self._master], [], [], 0.1)
        if not ready:
            return self._process.poll() is None
        try:
            read = os.read(self._master, 65536)
        except OSError:  # Linux: the other side is closed
            return False
        self.shown += read.decode(errors="replace")
        return bool(read)


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A workshop without a record."""
    return founded(tmp_path, BENCH_TOWN)


@pytest.fixture
def terminal() -> Iterator[Callable[..., Terminal]]:
    """Start a program on a terminal; it is ended with the test."""
    opened = []

    def start(folder: Path, *words: str, answers: Path | None = None) -> Terminal:
        opened.append(Terminal(folder, *words, answers=answers))
        return opened[-1]

    yield start
    for one in opened:
        one.close()


def reeds(shop: Path) -> list[Reed]:
    """The reeds of the record."""
    with Record.open(shop / "workshop.db") as record:
        return record.reeds()


def test_many_reeds_are_typed_and_each_is_kept_before_it_is_echoed(shop: Path, terminal):
    """Help at first and at ?, a slip told, undo, what stays, Ctrl-D ends."""
    screen = terminal(shop, "add", "reed")
    screen.wait_for("an empty line ends.")
    screen.wait_for("reed> ")
    screen.type("10.3 0.58 0.82\n")
    screen.wait_for("Kept as reed 1:")
    assert len(reeds(shop)) == 1
    screen.type("?\n")
    screen.wait_for("an empty line ends.")
    screen.type("10.3 0.8\n")
    screen.wait_for("Is 0.8 the gouge or the opening?")
    screen.type("lot=C\n")
    screen.wait_for("From now on: lot C.")
    screen.type("10-10.5 good\n")
    screen.wait_for("lot C")
    screen.type("undo\n")
    screen.wait_for("Taken back:")
    screen.type("9.9 open\n")
    screen.wait_for("Kept as reed 3:")
    screen.type(CTRL_D)
    assert screen.ended() == 0
    assert [(reed.diameter_mm, reed.lot) for reed in reeds(shop)] == [(10.3, None), (9.9, "C")]


def test_an_empty_line_ends(shop: Path, terminal):
    """As the help says."""
    screen = terminal(shop, "add", "cane")
    screen.wait_for("cane> ")
    screen.type("\n")
    assert screen.ended() == 0


def test_ctrl_c_within_a_line_keeps_what_was_echoed(shop: Path, terminal):
    """The half line is dropped; exit code 130; no traceback."""
    screen = terminal(shop, "add", "reed")
    screen.wait_for("reed> ")
    screen.type("10.3 0.58 0.82\n")
    screen.wait_for("Kept as reed 1:")
    screen.type("10.4 0.5")
    screen.wait_for("10.4 0.5")
    screen.type(CTRL_C)
    assert screen.ended() == 130
    assert "Stopped; what was acknowledged is kept." in screen.shown
    assert "Traceback" not in screen.shown
    assert [reed.diameter_mm for reed in reeds(shop)] == [10.3]


def test_the_last_line_comes_back_with_the_arrow(shop: Path, terminal):
    """To be changed and entered anew."""
    pytest.importorskip("readline")
    screen = terminal(shop, "add", "reed")
    screen.wait_for("reed> ")
    screen.type("10.3 0.58 0.82\n")
    screen.wait_for("Kept as reed 1:")
    screen.wait_for("reed> ")
    screen.type(f"{UP}\x7f9\n")  # one key back, another figure
    screen.wait_for("opening 0.89 mm")
    screen.type(CTRL_D)
    assert screen.ended() == 0


def test_answers_that_go_to_a_file_are_answers_only(shop: Path, terminal, tmp_path: Path):
    """The prompt stays on the terminal."""
    answers = tmp_path / "answers.txt"
    screen = terminal(shop, "add", "reed", answers=answers)
    screen.wait_for("reed> ")
    screen.type("10.4 good\n")
    screen.wait_for("reed> ")
    screen.type(CTRL_D)
    assert screen.ended() == 0
    assert answers.read_text().startswith("Kept as reed 1:")
    assert "reed>" not in answers.read_text()


def test_start_asks_and_makes_the_workshop(tmp_path: Path, terminal):
    """A wrong range is asked again; Enter takes what is offered."""
    screen = terminal(tmp_path, "start")
    screen.wait_for("Town of your bench, or its latitude and longitude: ")
    screen.type("Riga\n")
    screen.wait_for("Mail or web address")
    screen.type("\n")
    screen.wait_for("Wanted opening")
    screen.type("wide\n")
    screen.wait_for("is not a range")
    screen.type("0.9-0.7\n")
    screen.wait_for("ends where it begins or below")
    screen.type("0,7 - 0,9\n")
    screen.wait_for("Tube diameter")
    screen.type("wide\n")
    screen.wait_for("is not a length in mm")
    screen.type("10,4 mm\n")
    screen.wait_for("Gouge")
    screen.type("0.58\n")
    assert screen.ended() == 0
    text = (tmp_path / "workshop.toml").read_text(encoding="utf-8")
    assert "low_mm = 0.7\nhigh_mm = 0.9" in text
    assert "usual_mm = 10.4\n" in text
    assert "usual_mm = 0.58\n" in text


@pytest.mark.parametrize("key", [CTRL_C, CTRL_D])
def test_start_left_makes_nothing(tmp_path: Path, terminal, key: str):
    """No half workshop, no traceback."""
    screen = terminal(tmp_path, "start")
    screen.wait_for("Town of your bench, or its latitude and longitude: ")
    screen.type(key)
    assert screen.ended() == 130
    assert "Traceback" not in screen.shown
    assert list(tmp_path.iterdir()) == []


def test_a_bench_that_no_list_has_is_given_by_its_coordinates(tmp_path: Path, terminal):
    """A village: told so and asked again; then a slip beyond the pole, and the place itself."""
    screen = terminal(tmp_path, "start")
    for typed, said in (
        ("Nowhereville", "Give the next larger town, or the"),
        ("97.2, 3.7", "latitude to 90, longitude to 180 degrees"),
        ("-41.25, 174.5", "Name of the place: "),
    ):
        screen.type(f"{typed}\n")
        screen.wait_for(said)
    screen.type("Far Creek\n")
    screen.wait_for("Bench: Far Creek, time zone Pacific/Auckland")
    screen.wait_for("ask for: ")
    screen.type("\n")
    screen.wait_for("verdicts): ")
    screen.type("\n")
    screen.wait_for("[10.5]: ")
    screen.type("\n")
    screen.wait_for("[0.59]: ")
    screen.type("\n")
    assert screen.ended() == 0
    bench = read_settings(tmp_path).bench.place
    assert (bench.name, bench.latitude, bench.longitude) == ("Far Creek", -41.25, 174.5)
