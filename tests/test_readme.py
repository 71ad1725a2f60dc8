"""What the README shows is what the program prints."""

import re
import shlex
from pathlib import Path

import pytest
from click.testing import CliRunner

from planner.cli import COMMANDS, main
from planner.history.tables import TABLES

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
MOST_PICTURE = 200_000  # bytes


def quoted() -> dict[str, list[str]]:
    """The commands that the README answers, with the lines that it quotes of each answer."""
    found: dict[str, list[str]] = {}
    for block in re.findall(r"(?:^    .*\n)+", README, re.MULTILINE):
        lines = [line.removeprefix("    ") for line in block.splitlines()]
        if lines[0].startswith("$ planner "):
            found.setdefault(lines[0].removeprefix("$ planner "), []).extend(lines[1:])
    return found


@pytest.fixture(scope="module")
def workshop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's folder."""
    folder = tmp_path_factory.mktemp("readme") / "demo"
    assert CliRunner().invoke(main, ["demo", str(folder)]).exit_code == 0
    return folder


@pytest.mark.parametrize("command", quoted())
def test_every_line_that_is_quoted_is_printed(workshop: Path, command: str):
    """The November story, line by line, as the sample's workshop answers."""
    words = ["--workshop", str(workshop), *shlex.split(command)]
    result = CliRunner().invoke(main, words)
    assert result.exit_code == 0
    printed = [plain(line) for line in result.stdout.splitlines()]
    missing = [line for line in quoted()[command] if plain(line) not in printed]
    assert missing == [], "If figures moved, python .ci/remake quotes them anew; read it over."


def plain(line: str) -> str:
    """A line with plain spaces, as it is typed."""
    return line.replace("\u00a0", " ")


def test_the_story_is_told_by_what_to_prepare():
    """At least the spell, an order, something to sort and something to gouge."""
    story = "\n".join(quoted()["prepare --today 2026-11-23"])
    for words in ("Dry spell, Frostmere", "Order ", "Sort ", "Gouge "):
        assert words in story


def test_every_command_that_is_named_is_there():
    """No command of an earlier day."""
    named = set(re.findall(r"`planner ([a-z]+)", README)) | set(
        re.findall(r"^    planner ([a-z]+)", README, re.MULTILINE)
    )
    assert named <= set(COMMANDS)
    assert {"week", "plan", "prepare", "gouge", "review", "for"} <= named


def test_every_file_that_is_shown_is_there_and_small():
    """The picture of the page, and what the text points at."""
    for name in re.findall(r"\]\(([^)]+)\)", README):
        if "://" not in name:
            assert (ROOT / name).is_file(), name
            assert (ROOT / name).stat().st_size < MOST_PICTURE


def test_every_column_of_the_tables_is_listed_and_the_needed_ones_are_bold():
    """In the order of the files; what one of several will do for is bold too."""
    for name, table in TABLES.items():
        row = re.search(rf"^\| `{name}` \| [^|]+ \| (.+) \|$", README, re.MULTILINE)
        assert row is not None, name
        listed = re.findall(r"`(\w+)`", row[1])
        assert set(listed) == {column.name for column in table.columns}
        bold = set(re.findall(r"\*\*`(\w+)`\*\*", row[1]))
        assert {column.name for column in table.columns if column.required} <= bold
