"""How long 20,000 reeds take to import and to export, the same table again, and one entry.

Run: python tests/benchmarks/record_speed.py
The rows are invented. Times are of the whole command line, from the shell and back; the rival reads
the same CSV file with pandas and puts it into SQLite, with neither limits nor fences nor a copy.
"""

import subprocess
import tempfile
from datetime import date, timedelta
from pathlib import Path

from harness import Figure, planner, ran

from planner.history.tables import Reed
from planner.history.write import cells_of, write_file

COUNT = 20_000
PLACES = {"Bench Town": "Europe/Berlin"}
TODAY = date(2026, 11, 25)
SETTINGS = """
[[place]]
name = "Bench Town"
latitude = 52.5
longitude = 13.4
timezone = "Europe/Berlin"
"""
RIVAL = """
import sqlite3, sys
import pandas
with sqlite3.connect(sys.argv[2]) as database:
    pandas.read_csv(sys.argv[1], parse_dates=["date"]).to_sql("reeds", database, index=False)
"""


def reeds(count: int) -> list[Reed]:
    """Twenty years of invented reeds."""
    return [
        Reed(
            TODAY - timedelta(days=i // 3),
            "Bench Town",
            lot=f"lot {i // 400}",
            diameter_mm=round(10 + i % 100 / 100, 2),
            gouge_mm=0.58,
            opening_mm=0.8,
            note=f"reed {i}",
        )
        for i in range(count)
    ]


def workshop(folder: Path, name: str) -> Path:
    """A new workshop."""
    shop = folder / name
    shop.mkdir()
    (shop / "workshop.toml").write_text(SETTINGS, encoding="utf-8")
    return shop


def call(shop: Path, *words: str | Path) -> list[str | Path]:
    """A command line as of the day."""
    return planner("--workshop", shop, *words, "--today", TODAY.isoformat())


def said(command: list[str | Path]) -> str:
    """What a command line says."""
    words = [str(part) for part in command]
    return subprocess.run(words, capture_output=True, text=True, check=True).stdout


def run(*, quick: bool) -> list[Figure]:
    """Measure the steps; the second import of the same table must bring nothing."""
    count, times = (COUNT // 10, 1) if quick else (COUNT, 3)
    rows = reeds(count)
    figures = []
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        for ending in (".csv", ".xlsx", ".ods"):
            table = folder / f"reeds{ending}"
            write_file(cells_of("reeds", rows, PLACES), table)
            first, again, out, rival = [], [], [], []
            for i in range(times):
                shop = workshop(folder, f"{ending}{i}")
                first.append(ran(call(shop, "import", "reeds", table)).seconds)
                again.append(ran(call(shop, "import", "reeds", table)).seconds)
                written = shop / f"out{ending}"
                out.append(ran(call(shop, "export", "reeds", written)).seconds)
                database = folder / f"rival{ending}{i}.db"
                csv = folder / "reeds.csv"
                rival.append(ran([planner()[0].with_name("python"), "-c", RIVAL, csv, database]))
            told = said(call(shop, "import", "reeds", table))
            assert f"brings nothing new to reeds: all {count:,}" in told, told
            plain = [one.seconds for one in rival]
            name = f"{count} reeds, {ending[1:]}"
            figures += [
                Figure(f"import {name}", first, "s", "pandas and to_sql", plain),
                Figure(f"the same again, {name}", again, "s", "pandas and to_sql", plain),
                Figure(f"export {name}", out, "s", "pandas and to_sql", plain),
            ]
        one = call(shop, "add", "reed", "--diameter-mm", "10.4", "--verdict", "good")
        entries = [ran(one).seconds for _ in range(times + 2)]
        figures.append(Figure("one entry beside them", entries, "s", "pandas and to_sql", plain))
    return figures


if __name__ == "__main__":
    for figure in run(quick=False):
        print(figure.what, f"{figure.median:.2f} s, {figure.ratio:.2f} x {figure.rival}")
