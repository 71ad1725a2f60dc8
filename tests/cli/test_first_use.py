"""What start asks of a maker, and how it takes slips at the keyboard."""

from pathlib import Path

import click
import pytest

from planner.cli.first_use import MM
from planner.settings import read_settings
from tests.workshops import planner


def test_a_slip_at_the_keyboard_is_asked_again(tmp_path: Path):
    """Neither one number nor a range the wrong way round; commas and a unit are fine."""
    typed = ["Ghent, BE", "", "0.8", "0.9-0.7", "0,70 - 0,90", "wide", "10,4 mm", "", ""]
    done = planner(tmp_path / "w", "start", typed="\n".join(typed) + "\n")
    assert done.exit_code == 0, done.stderr
    for said in (
        '"0.8" is not a range; write it as 0.70-0.90',
        '"0.9-0.7" ends where it begins or below',
        '"wide" is not a length in mm; write it as 10.5',
    ):
        assert said in done.stderr
    settings = read_settings(tmp_path / "w")
    assert (settings.opening.low_mm, settings.opening.high_mm) == (0.7, 0.9)
    assert settings.cane.usual_mm == 10.4


def test_answers_that_end_too_early_make_nothing(tmp_path: Path):
    """A pipe of one line; the options are named instead."""
    done = planner(tmp_path / "w", "start", typed="Ghent, BE\n")
    assert done.exit_code == 2
    assert "The answers ended before all was asked." in done.stderr
    assert not (tmp_path / "w" / "workshop.toml").exists()


@pytest.mark.parametrize(("typed", "length"), [("10.5", 10.5), ("10,5", 10.5), (" .59 mm", 0.59)])
def test_a_length_is_read_as_typed(typed: str, length: float):
    """Point or comma, with its unit or bare; a number stays one."""
    assert MM.convert(typed, None, None) == length
    assert MM.convert(length, None, None) == length
    with pytest.raises(click.BadParameter, match="is not a length in mm"):
        MM.convert(f"{typed} in", None, None)


def test_tables_without_settings_fill_a_new_workshop(tmp_path: Path):
    """The place by an option, the reeds from a folder."""
    tables = tmp_path / "tables"
    tables.mkdir()
    (tables / "reeds.csv").write_text("date,diameter_mm,verdict\n2026-11-20,10.4,good\n")
    words = ("start", "--place", "Ghent, BE", "--from", tables, "--today", "2026-11-23")
    done = planner(tmp_path / "w", *words)
    assert done.exit_code == 0, done.stderr
    assert "1\u00a0row of reeds from reeds.csv" in done.stderr
    assert "workshop.toml" in done.stdout
