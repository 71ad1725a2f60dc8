"""How long 20,000 reeds take to import, to read and to export, and one entry to keep.

``python tests/benchmarks/record_speed.py`` prints seconds; the rows are invented.
"""

import tempfile
import time
from datetime import date, timedelta
from pathlib import Path

from planner.history.read import read_table
from planner.history.tables import Reed, TableLimits
from planner.history.write import FORMATS, cells_of, write_file
from planner.store.record import Record

COUNT = 20_000
PLACES = {"Bench Town": "Europe/Berlin"}
TODAY = date(2026, 11, 25)


def reeds() -> list[Reed]:
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
        for i in range(COUNT)
    ]


def main(folder: Path) -> None:
    """Print the time of each step."""
    rows = reeds()
    for ending in FORMATS:
        path = folder / f"reeds{ending}"
        started = time.perf_counter()
        write_file(cells_of("reeds", rows, PLACES), path)
        written = time.perf_counter()
        found = read_table(path, "reeds", TableLimits(), PLACES, today=TODAY)
        read = time.perf_counter()
        with Record.open(folder / f"{ending}.db") as record:
            record.import_rows("reeds", found.rows, source=path.name)
        kept = time.perf_counter()
        print(
            f"{ending}: write {written - started:.2f}, read {read - written:.2f}, "
            f"keep {kept - read:.2f}"
        )
    with Record.open(folder / ".csv.db") as record:
        started = time.perf_counter()
        assert len(record.reeds()) == COUNT
        read = time.perf_counter()
        for row in rows[:50]:
            record.add(row)
        print(f"all reeds {read - started:.3f}, an entry {(time.perf_counter() - read) / 50:.4f}")


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as scratch:
        main(Path(scratch))
