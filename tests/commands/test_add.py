"""Entries at the bench without a terminal: one by its cells, many by lines."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from planner.commands.add import Session, add_row, copy_now_and_then, undo
from planner.commands.record import open_record
from planner.errors import StockShort, WrongUse
from planner.history.ledger import Stock
from planner.settings import Settings, read_settings
from planner.store.copies import copies_of
from planner.store.record import Record
from tests.workshops import FAR_BAY, MILLRACE

SETTINGS = MILLRACE.format(timezone="Pacific/Auckland") + FAR_BAY
NOW = datetime(2026, 11, 24, 20, 15, tzinfo=UTC)  # a quarter past nine of the next day there


@pytest.fixture
def shop(tmp_path: Path) -> Settings:
    """The settings of a workshop at the other end of the world."""
    (tmp_path / "workshop.toml").write_text(SETTINGS, encoding="utf-8")
    return read_settings(tmp_path)


@pytest.fixture
def record(shop: Settings):
    """Its record."""
    with open_record(shop) as opened:
        yield opened


def session(record: Record, shop: Settings, table: str, **staying: str) -> Session:
    """Entries of one table as of NOW."""
    return Session(record, shop, table, lambda: NOW, staying)


def test_what_is_left_out_is_now_at_the_bench(record: Record, shop: Settings):
    """The day of the bench's clock, not the computer's; a reading's clock alone is that day's."""
    reed = add_row(record, shop, "reeds", {"diameter_mm": "10.4", "verdict": "good"}, NOW).row
    assert (reed.date.isoformat(), reed.place) == ("2026-11-25", "Millrace")
    assert add_row(record, shop, "readings", {"rh_pct": "45"}, NOW).row.time == NOW
    early = add_row(record, shop, "readings", {"rh_pct": "45", "time": "08:15"}, NOW).row
    assert early.time == NOW - timedelta(hours=1)


def test_every_slip_of_an_entry_is_told_at_once(record: Record, shop: Settings):
    """Not one after the other; nothing is kept."""
    cells = {"diameter_mm": "105", "gouge_mm": "thin", "place": "Mars", "opening_mm": "0.8"}
    with pytest.raises(WrongUse) as refused:
        add_row(record, shop, "reeds", cells, NOW)
    for column in ("diameter_mm", "gouge_mm", "place"):
        assert f"{column}: " in str(refused.value)
    assert record.reeds() == []


def test_words_stay_until_changed_and_only_a_kept_row_changes_them(record: Record, shop: Settings):
    """A refused line leaves all as it was; an empty word ends its staying."""
    bench = session(record, shop, "reeds", lot="A")
    assert bench.enter("10.4 good").added.row.lot == "A"
    with pytest.raises(WrongUse, match="place"):
        bench.enter("lot=B place=Mars 10.4 good")
    assert bench.staying == {"lot": "A"}
    assert bench.enter('lot=B place="far bay"').staying == {"lot": "B", "place": "far bay"}
    assert bench.enter("10.5 open date=2026-11-20").added.row.place == "Far Bay"
    assert bench.enter("10.5 open").added.row.date.isoformat() == "2026-11-20"
    assert bench.enter("lot= date=").staying == {"place": "far bay"}
    with pytest.raises(WrongUse, match="date"):
        bench.enter("date=2030-01-01")


def test_undo_takes_back_what_was_entered_here(record: Record, shop: Settings):
    """Not what another terminal entered meanwhile; and no further back than this terminal began."""
    record.add(add_row(record, shop, "reeds", {"diameter_mm": "9.9", "verdict": "good"}, NOW).row)
    before = len(record.reeds())
    bench = session(record, shop, "reeds")
    bench.enter("10.4 good")
    add_row(record, shop, "reeds", {"diameter_mm": "10.0", "verdict": "open"}, NOW)
    taken = bench.enter(" UNDO ").undone
    assert [row.diameter_mm for row in taken.difference.removed] == [10.4]
    with pytest.raises(WrongUse, match="Nothing was entered here yet"):
        bench.enter("undo")
    assert len(record.reeds()) == before + 1


def test_an_entry_taken_back_elsewhere_is_not_taken_back_twice(record: Record, shop: Settings):
    """Another terminal was quicker."""
    bench = session(record, shop, "reeds")
    bench.enter("10.4 good")
    assert undo(shop).kind == "add"
    with pytest.raises(WrongUse, match="taken back already"):
        bench.enter("undo")
    assert undo(shop) is None


def test_cane_tells_what_lies_at_both_stages_in_its_diameters(record: Record, shop: Settings):
    """Classes that overlap, not the others."""
    bench = session(record, shop, "cane")
    bench.enter("supplier tube 10-10.5 40")
    bench.enter("11-11.5 7")
    added = bench.enter("tube split 10-10.25 5").added
    assert added.stock == (Stock(10.0, 10.25, "split", 15), Stock(10.0, 10.5, "tube", 35))
    with pytest.raises(StockShort, match="What else lies there is 35 tubes of 10 to"):
        bench.enter("tube split 9.5-9.75 1")


def test_a_copy_is_made_once_a_week_and_its_failure_is_a_note(record: Record, shop: Settings):
    """An entry is never lost to a full stick."""
    add_row(record, shop, "reeds", {"diameter_mm": "10.4", "verdict": "good"}, NOW)
    assert copy_now_and_then(record.path, NOW) is None
    assert copy_now_and_then(record.path, NOW + timedelta(days=6)) is None
    assert len(copies_of(record.path)) == 1
    assert copy_now_and_then(record.path, NOW + timedelta(days=7)) is None
    assert len(copies_of(record.path)) == 2
    backups = record.path.parent / "backups"
    for copy in copies_of(record.path):
        copy.unlink()
    backups.rmdir()
    backups.write_text("a file in its place")
    said = copy_now_and_then(record.path, NOW + timedelta(days=30))
    assert said.startswith("The entry is kept, but the weekly copy could not be made:")
