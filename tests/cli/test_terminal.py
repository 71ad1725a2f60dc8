"""The terminal: 80 columns, plain in a pipe, completion, the nearest name."""

import fcntl
import os
import pty
import re
import shutil
import struct
import subprocess
import sys
import termios
from pathlib import Path

import pytest
from click.testing import CliRunner

from planner.cli import COMMANDS, main

TODAY = "2026-11-23"
PROGRAM = Path(sys.executable).with_name("planner")
ESCAPE = re.compile(r"\x1b\[")
ANSWERING = [
    ("week",),
    ("plan",),
    ("prepare",),
    ("gouge",),
    ("room",),
    ("for", "Saltreed"),
]


@pytest.fixture(scope="module")
def workshop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's folder."""
    folder = tmp_path_factory.mktemp("terminal") / "demo"
    assert CliRunner().invoke(main, ["demo", str(folder)]).exit_code == 0
    return folder


@pytest.mark.parametrize("words", ANSWERING, ids=lambda words: words[0])
def test_answers_keep_to_eighty_columns_without_colour(workshop: Path, words: tuple[str, ...]):
    """In a pipe there is no escape; the page's path alone may be longer than a line."""
    result = CliRunner().invoke(main, ["--workshop", str(workshop), *words, "--today", TODAY])
    assert result.exit_code == 0, result.stderr
    lines = [line for line in result.stdout.splitlines() if not line.startswith("Page: ")]
    assert max(map(len, lines)) <= 80
    assert not ESCAPE.search(result.stdout + result.stderr)


@pytest.mark.parametrize("columns", [40, 60])
@pytest.mark.parametrize("words", [*ANSWERING, ("weather", "show")], ids=lambda words: words[0])
def test_answers_fit_a_narrow_terminal(workshop: Path, words: tuple[str, ...], columns: int):
    """As wide as the terminal says that it is; the page's path alone may be longer than a line."""
    result = CliRunner(env={"COLUMNS": str(columns)}).invoke(
        main, ["--workshop", str(workshop), *words, "--today", TODAY]
    )
    assert result.exit_code == 0, result.stderr
    lines = [line for line in result.stdout.splitlines() if not line.startswith("Page: ")]
    assert columns - 12 < max(map(len, lines)) <= columns


@pytest.mark.parametrize("name", [None, *COMMANDS])
def test_help_keeps_to_eighty_columns(name: str | None):
    """The overview and each command's."""
    result = CliRunner().invoke(main, [*([name] if name else []), "--help"])
    assert max(map(len, result.stdout.splitlines())) <= 80


def run(words: list[str], folder: Path, **more: str) -> subprocess.CompletedProcess[str]:
    """Run the program in a process of its own."""
    kept = {k: v for k, v in os.environ.items() if k not in ("NO_COLOR", "FORCE_COLOR", "COLUMNS")}
    return subprocess.run(
        [str(PROGRAM), *words],
        cwd=folder,
        env={**kept, **more},
        capture_output=True,
        encoding="utf-8",
        check=False,
    )


@pytest.mark.parametrize("more", [{}, {"NO_COLOR": "1"}, {"TERM": "dumb"}])
def test_errors_are_plain_in_a_pipe(tmp_path: Path, more: dict[str, str]):
    """And on one line, on stderr."""
    done = run(["week"], tmp_path, **more)
    assert done.returncode == 1
    assert done.stdout == ""
    assert done.stderr.startswith("Error: There is no workshop")
    assert not ESCAPE.search(done.stderr)


def told_at_a_terminal(words: list[str], folder: Path, columns: int) -> list[str]:
    """What the program says on a terminal of so many columns."""
    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 24, columns, 0, 0))
    kept = {name: value for name, value in os.environ.items() if name != "COLUMNS"}
    try:
        subprocess.run(
            [str(PROGRAM), *words],
            cwd=folder,
            env={**kept, "NO_COLOR": "1", "TERM": "xterm"},
            stdin=subprocess.DEVNULL,
            stdout=theirs,
            stderr=theirs,
            check=False,
        )
        return os.read(ours, 100_000).decode().splitlines()
    finally:
        os.close(theirs)
        os.close(ours)


def test_what_the_record_answers_wraps_at_a_terminal_alone(workshop: Path, tmp_path: Path):
    """Long lines break between words where somebody looks; in a pipe each stays whole."""
    shop = ["--workshop", str(shutil.copytree(workshop, tmp_path / "w"))]
    more = tmp_path / "more.csv"
    row = "2026-11-20,Quillhaven,10.3,0.58,0.81,a note of the maker's that is rather long"
    more.write_text(f"date,place,diameter_mm,gouge_mm,opening_mm,note\n{row}\n")
    took = ["import", "reeds", str(more), "--today", TODAY]
    for words in ([*took, "--dry-run"], took, ["undo"], ["verify"], ["backup"]):
        told = told_at_a_terminal([*shop, *words], tmp_path, 45)
        wide = [line for line in told if len(line) > 45]
        assert told
        assert all(" " not in line.strip() for line in wide), wide
    planned = run([*shop, *took, "--dry-run"], tmp_path).stdout.splitlines()
    assert max(map(len, planned)) > 80


@pytest.mark.parametrize("columns", [50, 80])
def test_an_error_at_a_terminal_breaks_between_words(tmp_path: Path, columns: int):
    """In a pipe it is one line, to be searched; where somebody looks it wraps as answers do."""
    words = ["--workshop", "nowhere", "week"]
    piped = run(words, tmp_path).stderr.splitlines()
    lines = told_at_a_terminal(words, tmp_path, columns)
    assert len(piped) == 1 < len(lines)
    assert max(map(len, lines)) <= columns
    assert " ".join(" ".join(lines).split()) == piped[0]


def test_a_reader_that_closes_the_pipe_is_no_trouble(workshop: Path):
    """``planner plan | head -1``: no traceback."""
    shell = f"{PROGRAM} plan --today {TODAY} | head -1"
    done = subprocess.run(
        ["sh", "-c", shell], cwd=workshop, capture_output=True, encoding="utf-8", check=False
    )
    assert done.stdout.startswith("Weeks in which")
    assert done.stdout.count("\n") == 1
    assert "Traceback" not in done.stderr


def completed(typed: str, folder: Path) -> list[str]:
    """What bash would be offered after these words."""
    words = typed.split(" ")
    told = run(
        [],
        folder,
        _PLANNER_COMPLETE="bash_complete",
        COMP_WORDS=typed,
        COMP_CWORD=str(len(words) - 1),
    )
    assert told.stderr == ""
    return [line.split(",", 1)[1] for line in told.stdout.splitlines()]


@pytest.mark.parametrize(
    ("typed", "offered"),
    [
        ("planner pl", ["plan"]),
        ("planner plan --us", ["--usual-only"]),
        ("planner add re", ["reading", "reed"]),
        ("planner import ca", ["cane"]),
        ("planner weather fe", ["fetch"]),
    ],
)
def test_a_shell_completes_commands_options_and_tables(
    tmp_path: Path, typed: str, offered: list[str]
):
    """As the README tells how to switch it on."""
    assert completed(typed, tmp_path) == offered


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_completion_is_switched_on_by_a_script_for_each_shell(tmp_path: Path, shell: str):
    """The line of the README prints it."""
    told = run([], tmp_path, _PLANNER_COMPLETE=f"{shell}_source").stdout
    assert "_PLANNER_COMPLETE" in told


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        (["plon"], "plan"),
        (["add", "red"], "reed"),
        (["weather", "fecth"], "fetch"),
        (["--wrkshop", "x", "week"], "--workshop"),
        (["prepare", "--sort-to-finsh-days", "3"], "--sort-to-finish-days"),
        (["add", "reed", "--openng-mm", "0.8"], "--opening-mm"),
        (["for", "Ghent", "--winter", "20"], "--winter-c"),
    ],
)
def test_a_slip_in_a_command_or_option_is_told_the_nearest(typed: list[str], meant: str):
    """Wrong use, exit code 2, and nothing on stdout."""
    result = CliRunner().invoke(main, typed)
    assert result.exit_code == 2
    assert meant in result.stderr.split("Error:")[1]
    assert result.stdout == ""


def test_no_line_of_the_lists_of_commands_is_cut_short():
    """What each command is for, whole."""
    for name in ([], ["add"], ["weather"]):
        shown = CliRunner().invoke(main, [*name, "--help"]).stdout
        assert "..." not in shown.partition("Commands:")[2]
