"""The command line as a whole: help, slips, trouble."""

import os
import subprocess
import sys
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from planner.cli import COMMANDS, ONE_THREAD, main
from planner.cli.shared import report_trouble
from planner.errors import PlannerError, WrongUse


@pytest.fixture
def empty(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Stand in an empty folder, with no workshop named elsewhere."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("PLANNER_WORKSHOP", raising=False)
    return tmp_path


def test_help_names_every_command():
    """The overview is complete."""
    result = CliRunner().invoke(main, ["--help"])
    assert result.exit_code == 0
    for name, (_, text) in COMMANDS.items():
        assert f"  {name} " in result.output
        assert text.split(".")[0][:30] in result.output


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_help_with_an_example(name: str):
    """A maker sees how a command is called."""
    result = CliRunner().invoke(main, [name, "--help"])
    assert result.exit_code == 0
    assert f"planner {name}" in result.output.split("Usage:")[1].split("\n", 1)[1]


def test_a_mistyped_command_is_told_the_nearest():
    """``pln`` was meant to be ``plan``."""
    result = CliRunner().invoke(main, ["pln"])
    assert result.exit_code == 2
    assert "Did you mean 'plan'?" in result.output


def test_the_bare_command_says_what_to_do_next(empty: Path):
    """In an empty folder that is the demo, or a workshop of one's own."""
    result = CliRunner().invoke(main, [])
    assert result.exit_code == 0
    assert "planner start" in result.output


@pytest.mark.parametrize("name", ["week", "plan", "prepare", "gouge", "review", "room"])
def test_a_command_without_a_workshop_says_how_to_make_one(empty: Path, name: str):
    """One sentence, exit code 1, nothing on stdout, nothing written."""
    result = CliRunner().invoke(main, [name])
    assert result.exit_code == 1
    assert result.stdout == ""
    assert result.stderr.startswith("Error: There is no workshop")
    assert not list(empty.iterdir())


@pytest.mark.parametrize(
    ("error", "code", "words"),
    [
        (PlannerError("The lot is unknown."), 1, "Error: The lot is unknown."),
        (WrongUse("Choose one of the two."), 2, "Error: Choose one of the two."),
        (KeyboardInterrupt(), 130, "what was acknowledged is kept"),
        (click.Abort(), 130, "what was acknowledged is kept"),
        (KeyError("gap"), 1, "it wasn't made for (KeyError"),
    ],
)
def test_trouble_is_one_sentence_and_an_exit_code(
    error: BaseException, code: int, words: str, capsys: pytest.CaptureFixture[str]
):
    """No traceback reaches a maker."""
    with pytest.raises(SystemExit) as left, report_trouble():
        raise error
    told = capsys.readouterr()
    assert left.value.code == code
    assert words in told.err
    assert told.out == ""


@pytest.mark.parametrize("day", ["0001-01-01", "1899-12-31", "9999-12-31", "2026-02-30", "", "now"])
@pytest.mark.parametrize("name", ["week", "plan", "review", "export"])
def test_a_day_that_no_calendar_reaches_is_wrong_use(empty: Path, name: str, day: str):
    """Neither the year 1 nor the year 9999; exit code 2, nothing written."""
    words = [name, "reeds"] if name == "export" else [name]
    result = CliRunner().invoke(main, [*words, "--today", day])
    assert result.exit_code == 2
    assert "'--today'" in result.stderr
    assert not list(empty.iterdir())


def test_half_a_wanted_range_is_wrong_use(empty: Path):
    """Not dropped in silence."""
    result = CliRunner().invoke(main, ["start", "--place", "Riga", "--opening-low-mm", "0,7"])
    assert result.exit_code == 2
    assert "go together" in result.stderr
    assert not list(empty.iterdir())


def test_whoever_mends_it_can_ask_for_the_traceback(monkeypatch: pytest.MonkeyPatch):
    """With the variable set, an unforeseen error comes through."""
    monkeypatch.setenv("PLANNER_DEBUG", "1")
    with pytest.raises(KeyError), report_trouble():
        raise KeyError("gap")


def test_help_loads_nothing_heavy():
    """The help comes at once: no numpy, pandas, scikit-learn or httpx."""
    program = (
        "import sys\nfrom planner.cli import main\n"
        "main(['--help'], standalone_mode=False)\n"
        "print(sorted({'numpy', 'pandas', 'sklearn', 'httpx', 'jinja2'} & set(sys.modules)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip().endswith("[]")


def test_the_linear_algebra_runs_on_one_thread_unless_told_otherwise(
    empty: Path, monkeypatch: pytest.MonkeyPatch
):
    """On small matrices several threads only wait for each other."""
    monkeypatch.setenv(ONE_THREAD[0], "3")
    for name in ONE_THREAD[1:]:
        monkeypatch.delenv(name, raising=False)
    CliRunner().invoke(main, [])
    assert [os.environ[name] for name in ONE_THREAD] == ["3", "1", "1"]
