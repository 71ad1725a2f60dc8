"""Copies by hand and the check of the record, without a terminal."""

from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from planner.commands.backup import backup, verify
from planner.commands.record import open_record
from planner.errors import RecordDamaged, RecordError, RecordFull, WrongUse
from planner.history.tables import Reed
from planner.settings import Settings, read_settings
from planner.store.record import Record
from tests.workshops import MILLRACE

PLACE = MILLRACE.format(timezone="UTC")
NOW = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)
REED = Reed(date(2026, 11, 2), "Millrace", diameter_mm=10.4, verdict="good")


@pytest.fixture
def shop(tmp_path: Path) -> Settings:
    """A workshop with one reed."""
    folder = tmp_path / "shop"
    folder.mkdir()
    (folder / "workshop.toml").write_text(PLACE, encoding="utf-8")
    settings = read_settings(folder)
    with open_record(settings) as record:
        record.add(REED)
    return settings


def test_a_copy_goes_where_it_is_wanted(shop: Settings, tmp_path: Path):
    """Among the backups, into a folder under a dated name, or to a file, its folder made."""
    stick = tmp_path / "stick"
    stick.mkdir()
    targets = [None, stick, tmp_path / "new" / "deep" / "reeds.db"]
    made = [backup(shop, target, NOW) for target in targets]
    assert made[0].parent == shop.folder / "backups"
    assert made[1].parent == stick
    assert made[1].name == made[0].name == "workshop-2026-11-25T093000Z-by-hand.db"
    for copy in made:
        with Record.open(copy) as record:
            assert len(record.reeds()) == 1


def test_an_older_copy_is_replaced_and_nothing_else(shop: Settings, tmp_path: Path):
    """Neither a letter nor the record itself."""
    copy = backup(shop, tmp_path / "copy.db", NOW)
    with open_record(shop) as record:
        record.add(REED)
    backup(shop, copy, NOW)
    with Record.open(copy) as record:
        assert len(record.reeds()) == 2
    letter = tmp_path / "letter.txt"
    letter.write_text("dear customer")
    for target in (letter, shop.folder / "workshop.db"):
        before = target.read_bytes()
        with pytest.raises(WrongUse, match="is no copy of a record; name another file"):
            backup(shop, target, NOW)
        assert target.read_bytes() == before


def test_a_copy_that_cannot_be_made_says_why(shop: Settings, tmp_path: Path):
    """No record, a damaged one, a name that no disk takes; the older copy stays."""
    copy = backup(shop, tmp_path / "copy.db", NOW)
    with pytest.raises(RecordFull, match="File name too long"):
        backup(shop, tmp_path / ("x" * 400), NOW)
    path = shop.folder / "workshop.db"
    path.write_bytes(b"noise" * 1000)
    before = copy.read_bytes()
    with pytest.raises(RecordDamaged):
        backup(shop, copy, NOW)
    assert copy.read_bytes() == before
    path.unlink()
    with pytest.raises(RecordError, match="There is no record in"):
        backup(shop, None, NOW)


def test_a_workshop_without_a_record_has_nothing_to_verify(tmp_path: Path):
    """But one whose record is gone while copies lie there has."""
    (tmp_path / "workshop.toml").write_text(PLACE, encoding="utf-8")
    settings = read_settings(tmp_path)
    assert verify(settings) is None
    with open_record(settings) as record:
        record.add(REED)
    copy = backup(settings, None, NOW)
    assert verify(settings).sound
    (tmp_path / "workshop.db").unlink()
    found = verify(settings)
    assert (found.sound, found.newest_copy) == (False, copy)
