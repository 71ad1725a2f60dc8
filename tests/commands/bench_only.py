"""The sample's bench by itself, with a past and a future of the test's own making."""

import csv
from collections.abc import Callable
from datetime import date
from pathlib import Path

from planner.commands.load import load_folder
from planner.demo import TODAY
from planner.settings import Settings
from tests.workshops import SAMPLE

BENCH = "Quillhaven"
REEDS_FROM = "2024-10-01"  # the older ones are left out: every test learns from all there are
WEATHER_FROM = "2021-01-01"
TABLES = ("reeds", "readings", "checks", "cane")
DAY = {"reeds": "date", "readings": "time", "checks": "date", "cane": "date", "weather": "time"}

Row = dict[str, str]
Change = Callable[[str, Row], Row | None]


def unchanged(table: str, row: Row) -> Row:
    """Leave a row as it is."""
    return row


def bench_only(folder: Path, change: Change = unchanged) -> Settings:
    """Make a workshop of the bench alone in *folder*.

    *change* is handed each row with its table (``weather`` for the weather) and returns what
    stands in its place, None for nothing.
    """
    source = folder / "source"
    source.mkdir(parents=True)
    text = (SAMPLE / "workshop.toml").read_text(encoding="utf-8")
    bench = text[: text.index('[[place]]\nname = "Frostmere"')].replace("share = 0.45", "share = 1")
    (source / "workshop.toml").write_text(bench, encoding="utf-8")
    for table in TABLES:
        _copy(SAMPLE / f"{table}.csv", source / f"{table}.csv", table, change)
    _copy(SAMPLE / f"weather-{BENCH}.csv", source / f"weather-{BENCH}.csv", "weather", change)
    return load_folder(source, folder / "workshop", today=TODAY).settings


def _copy(source: Path, target: Path, table: str, change: Change) -> None:
    with source.open(encoding="utf-8", newline="") as file:
        table_of = csv.DictReader(file)
        rows = [row for row in table_of if _kept(table, row)]
        heading = table_of.fieldnames or []
    changed = [other for row in rows if (other := change(table, dict(row))) is not None]
    if not changed:
        return
    with target.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, heading)
        writer.writeheader()
        writer.writerows(changed)


def _kept(table: str, row: Row) -> bool:
    if row.get("place", BENCH) != BENCH:
        return False
    first = {"reeds": REEDS_FROM, "weather": WEATHER_FROM}.get(table, "")
    return row[DAY[table]] >= first


def from_day(day: date, change: Change) -> Change:
    """Return a change that leaves the rows before a day as they are."""

    def changed(table: str, row: Row) -> Row | None:
        return change(table, row) if row[DAY[table]][:10] >= day.isoformat() else row

    return changed


def moved_by(off: float) -> Change:
    """Return a change that makes every reed open by so many mm more, its verdict with it."""

    def changed(table: str, row: Row) -> Row:
        if table == "reeds" and row["opening_mm"]:
            opening = float(row["opening_mm"]) + off
            verdict = "closed" if opening < 0.72 else "open" if opening > 0.88 else "good"
            row = {**row, "opening_mm": f"{opening:.2f}"}
            if row["verdict"]:
                row["verdict"] = verdict
        return row

    return changed
