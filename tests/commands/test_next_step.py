"""What the bare command says, for each state of a folder."""

import shutil
from datetime import date
from pathlib import Path

import pytest

from planner.commands.next_step import next_step
from planner.errors import RecordDamaged, WorkshopError
from planner.history.tables import Reed
from planner.store.record import Record
from tests.workshops import own_copy


@pytest.fixture
def folder(sample: Path, tmp_path: Path) -> Path:
    """The sample's workshop, to take things out of."""
    return own_copy(sample, tmp_path / "w").folder


def without_record(folder: Path) -> None:
    """Take the record away, its copies too."""
    (folder / "workshop.db").unlink()
    shutil.rmtree(folder / "backups")


def files(folder: Path) -> set[str]:
    """What lies in the folder."""
    return {path.name for path in folder.iterdir()}


def test_without_a_workshop_the_demo_and_the_start_are_named(tmp_path: Path):
    """The two ways in."""
    said = next_step(tmp_path)
    assert "planner demo" in said
    assert "planner start" in said
    assert not files(tmp_path)


def test_settings_that_cannot_be_read_come_first(tmp_path: Path):
    """What is wrong in them is what to do next."""
    (tmp_path / "workshop.toml").write_text("[workshop]\nnaem = 'x'\n")
    with pytest.raises(WorkshopError, match="naem"):
        next_step(tmp_path)


def test_without_weather_it_is_to_be_fetched(folder: Path):
    """Nothing is made by asking."""
    (folder / "weather.db").unlink()
    before = files(folder)
    said = next_step(folder)
    assert said.startswith("The Boathouse Bench has no weather for Quillhaven yet")
    assert "planner weather fetch" in said
    assert files(folder) == before


def test_without_a_reed_they_are_to_be_entered(folder: Path):
    """With no record, and with an empty one."""
    without_record(folder)
    assert "planner import reeds FILE" in next_step(folder)
    assert "workshop.db" not in files(folder)
    Record.open(folder / "workshop.db").close()
    assert "planner import reeds FILE" in next_step(folder)


def test_without_cane_in_the_record_it_is_to_be_noted(folder: Path):
    """Stock and orders need a ledger."""
    without_record(folder)
    with Record.open(folder / "workshop.db") as record:
        record.add(Reed(date(2026, 11, 2), "Quillhaven", diameter_mm=10.3, opening_mm=0.8))
    assert "planner add cane" in next_step(folder)


def test_a_workshop_at_work_is_told_its_daily_commands_and_its_newest_page(folder: Path):
    """The page of the latest day."""
    assert "newest page" not in next_step(folder)
    (folder / "reports").mkdir(exist_ok=True)
    for day in ("2026-11-16", "2026-11-23"):
        (folder / "reports" / f"plan-{day}.html").touch()
    said = next_step(folder)
    for words in ("is ready", "planner week", "planner prepare", "planner add reed"):
        assert words in said
    assert said.endswith("plan-2026-11-23.html")


def test_a_damaged_record_is_what_to_mend_first(folder: Path):
    """One sentence, nothing written over."""
    (folder / "workshop.db").write_bytes(bytes(range(256)) * 64)
    with pytest.raises(RecordDamaged):
        next_step(folder)
