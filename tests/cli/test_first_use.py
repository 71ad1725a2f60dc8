"""What start asks of a maker, and how it takes slips at the keyboard."""

from pathlib import Path

import click
import pytest

from planner.cli.first_use import DIAMETER, GOUGE
from planner.settings import Settings, read_settings
from tests.workshops import BENCH_TOWN, planner


def started(folder: Path, typed: list[str], told: tuple[str, ...]) -> Settings:
    """The settings of a workshop made by what is typed, all of *told* said on the way."""
    done = planner(folder, "start", typed="\n".join(typed) + "\n")
    assert done.exit_code == 0, done.stderr
    for said in told:
        assert said in done.stderr
    return read_settings(folder)


def test_a_slip_at_the_keyboard_is_asked_again(tmp_path: Path):
    """Neither one number nor a range the wrong way round; commas and a unit are fine."""
    typed = ["Ghent, BE", "", "0.8", "0.9-0.7", "0,70 - 0,90", "wide", "10,4 mm", "", ""]
    told = (
        '"0.8" is not a range; write it as 0.70-0.90',
        '"0.9-0.7" ends where it begins or below',
        '"wide" is not a length in mm; write it as 10.5',
    )
    settings = started(tmp_path / "w", typed, told)
    assert (settings.opening.low_mm, settings.opening.high_mm) == (0.7, 0.9)
    assert settings.cane.usual_mm == 10.4


def test_answers_that_end_too_early_make_nothing(tmp_path: Path):
    """A pipe of one line; the options are named instead."""
    done = planner(tmp_path / "w", "start", typed="Ghent, BE\n")
    assert done.exit_code == 2
    assert "The answers ended before all was asked." in done.stderr
    assert not (tmp_path / "w" / "workshop.toml").exists()


@pytest.mark.parametrize(("typed", "length"), [("0.5", 0.5), ("0,5", 0.5), (" .59 mm", 0.59)])
def test_a_length_is_read_as_typed(typed: str, length: float):
    """Point or comma, with its unit or bare; a number stays one."""
    assert GOUGE.convert(typed, None, None) == length
    assert GOUGE.convert(length, None, None) == length
    with pytest.raises(click.BadParameter, match="is not a length in mm"):
        GOUGE.convert(f"{typed} in", None, None)


def test_a_length_that_no_reed_has_is_asked_again(tmp_path: Path):
    """A point forgotten and two answers swapped: nothing typed before is lost."""
    typed = ["Ghent, BE", "", "70-90", "0.70-0.90", "0.59", "10.5", "59", "0.59", ""]
    told = (
        '"70" must be from 0 to 10 mm',
        '"0.59" must be from 2 to 39 mm',
        '"59" must be from 0.13 to 2.97 mm',
    )
    assert started(tmp_path / "w", typed, told).gouge.usual_mm == 0.59
    done = planner(tmp_path / "x", "start", "--place", "Ghent, BE", "--usual-diameter-mm", "0.6")
    assert done.exit_code == 2
    assert "--usual-diameter-mm" in done.stderr
    assert DIAMETER.convert("39", None, None) == 39


def test_a_workshop_that_is_there_is_told_before_anything_is_asked(tmp_path: Path):
    """Nobody answers five questions for nothing; nor are tables poured into it."""
    shop, tables = tmp_path / "w", tmp_path / "tables"
    assert planner(shop, "start", "--place", "Ghent, BE").exit_code == 0
    tables.mkdir()
    (tables / "reeds.csv").write_text("date,diameter_mm,verdict\n2026-11-20,10.4,good\n")
    (tables / "workshop.toml").write_text(BENCH_TOWN)
    for words in ((), ("--from", tables)):
        done = planner(shop, "start", *words, typed="")
        assert done.exit_code == 1
        assert done.stderr.startswith(f"Error: There is a workshop in {shop} already;")
    assert not (shop / "workshop.db").exists()


def test_a_start_from_tables_goes_on_after_a_bad_one(tmp_path: Path):
    """With the very same settings it is the same workshop."""
    shop, tables = tmp_path / "w", tmp_path / "tables"
    tables.mkdir()
    (tables / "workshop.toml").write_text(BENCH_TOWN)
    for diameter, code in ((105, 1), (10.5, 0)):
        (tables / "reeds.csv").write_text(f"date,diameter_mm,verdict\n2026-11-20,{diameter},good\n")
        done = planner(shop, "start", "--from", tables, "--today", "2026-11-23")
        assert done.exit_code == code, done.stderr
    assert done.stdout.startswith(f"Made {shop / 'workshop.toml'};")


def test_answers_beside_settings_that_are_copied_are_refused(tmp_path: Path):
    """They would be passed over in silence."""
    tables = tmp_path / "tables"
    tables.mkdir()
    (tables / "workshop.toml").write_text(BENCH_TOWN)
    words = ("start", "--from", tables, "--place", "Ghent, BE", "--gouge-mm", "0.6")
    done = planner(tmp_path / "w", *words)
    assert done.exit_code == 2
    assert "says what --place, --gouge-mm would say. Leave them out" in done.stderr
    assert not (tmp_path / "w").exists()


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
