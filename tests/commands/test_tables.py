"""Whole tables into the record and out of it, without a terminal."""

import os
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.commands.record import open_record
from planner.commands.tables import (
    import_table,
    plain_rows,
    table_cells,
)
from planner.errors import StockShort, TableError
from planner.history.tables import TABLES
from planner.history.write import write_file
from planner.settings import Settings, read_settings
from planner.store.record_checks import soundness
from tests.workshops import MILLRACE

PLACE = MILLRACE.format(timezone="Europe/Berlin")
TODAY = date(2026, 11, 25)
HEADINGS = {
    name: ",".join(column.name for column in table.columns) for name, table in TABLES.items()
}
GOOD = "date,diameter_mm,opening_mm\n2026-11-02,10.4,0.8\n2026-11-03,10.5,0.9\n"


@pytest.fixture
def shop(tmp_path: Path) -> Settings:
    """The settings of a workshop without a record."""
    (tmp_path / "workshop.toml").write_text(PLACE, encoding="utf-8")
    return read_settings(tmp_path)


@pytest.fixture(scope="module")
def kept_shop() -> Iterator[Settings]:
    """A workshop with two reeds, in memory where there is one."""
    memory = Path("/dev/shm")
    with tempfile.TemporaryDirectory(dir=memory if os.access(memory, os.W_OK) else None) as name:
        folder = Path(name)
        (folder / "workshop.toml").write_text(PLACE, encoding="utf-8")
        made = read_settings(folder)
        taken(made, GOOD)
        yield made


def taken(settings: Settings, content: str | bytes, table: str = "reeds", **options: object):
    """Take a file of that content in."""
    path = settings.folder / "table.csv"
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    return import_table(settings, table, path, today=TODAY, **options)  # type: ignore[arg-type]


def held(settings: Settings) -> list[str]:
    """All that the record holds, its trace too."""
    with closing(sqlite3.connect(settings.folder / "workshop.db")) as database:
        return list(database.iterdump())


@settings(max_examples=60, deadline=None)
@given(
    table=st.sampled_from(list(TABLES)),
    content=st.binary(max_size=300)
    | st.tuples(st.sampled_from([";", ",", "\t"]), st.text(max_size=200)).map(
        lambda drawn: drawn[1].encode("utf-8", "replace")
    ),
    headings=st.sampled_from([HEADINGS, {}]),
)
def test_any_bytes_are_rows_or_a_sentence_and_never_a_half_import(
    kept_shop: Settings, table: str, content: bytes, headings: dict[str, str]
):
    """A refusal leaves the record to the byte; what was taken in leaves it sound."""
    before = held(kept_shop)
    raw = headings.get(table, "").encode() + b"\n" + content
    try:
        brought = bool(taken(kept_shop, raw, table).difference)
    except (TableError, StockShort):
        brought = False
    assert (held(kept_shop) != before) == brought
    assert soundness(kept_shop.folder / "workshop.db").sound


def test_a_table_given_twice_adds_nothing_however_long(shop: Settings):
    """2,000 rows, alike ones among them; 20,000 in a benchmark."""
    rows = "".join(f"2026-11-02,{10 + i % 100 / 100:.2f},0.8\n" for i in range(2000))
    content = f"date,diameter_mm,opening_mm\n{rows}"
    first = taken(shop, content)
    assert len(first.difference.added) == 2000
    again = taken(shop, content)
    assert not again.difference
    assert again.difference.same == 2000
    tried = taken(shop, content, dry_run=True, replacing=True)
    assert not tried.difference


def test_a_dry_run_makes_the_same_difference_and_changes_nothing(kept_shop: Settings):
    """Rows new, changed and taken out."""
    before = held(kept_shop)
    content = "id,date,diameter_mm,opening_mm\n1,2026-11-02,10.4,0.7\n,2026-11-04,10.1,0.8\n"
    found = taken(kept_shop, content, replacing=True, dry_run=True).difference
    assert [row.opening_mm for _, row in found.changed] == [0.7]
    assert [row.diameter_mm for row in found.added] == [10.1]
    assert [row.id for row in found.removed] == [2]
    assert held(kept_shop) == before


def test_cane_that_cannot_have_been_there_is_refused_as_a_whole(shop: Settings):
    """Two good movements and one too many."""
    heading = "date,from_stage,to_stage,pieces,diameter_low_mm,diameter_high_mm\n"
    good = "2026-11-02,supplier,tube,10,10,10.5\n2026-11-03,tube,split,4,10,10.25\n"
    taken(shop, heading + good, "cane")
    before = held(shop)
    with pytest.raises(StockShort, match=r"1 tube of 10\.25 to 10\.5 mm more would"):
        taken(shop, f"{heading}{good}2026-11-03,tube,split,7,10.25,10.5\n", "cane")
    assert held(shop) == before
    stock = plain_rows(table_cells(shop, "stock", TODAY))
    assert [(row["stage"], row["pieces"]) for row in stock] == [("split", 12), ("tube", 6)]
    assert plain_rows(table_cells(shop, "stock")) == stock
    assert table_cells(shop, "stock", date(2026, 11, 2)).rows == ((10.0, 10.5, "tube", 10),)


def test_a_makers_own_headings_and_words_are_understood(shop: Settings):
    """Said with the import."""
    said = {"map": "Tag=date,Rohr=diameter_mm", "verdicts": "zu=closed"}
    taken(shop, "Tag,Rohr,verdict\n2026-11-02,10.4,zu\n", said=said)
    (row,) = plain_rows(table_cells(shop, "reeds"))
    assert (row["date"], row["diameter_mm"], row["verdict"]) == ("2026-11-02", 10.4, "closed")


@pytest.mark.parametrize("ending", ["csv", "xlsx", "ods"])
def test_an_export_is_the_record_and_brings_nothing(kept_shop: Settings, ending: str):
    """In every format, with the id of each row."""
    path = kept_shop.folder / f"out.{ending}"
    write_file(table_cells(kept_shop, "reeds"), path, overwriting=True)
    found = import_table(kept_shop, "reeds", path, today=TODAY).difference
    with open_record(kept_shop) as record:
        assert found.same == len(record.reeds())
    assert not found
