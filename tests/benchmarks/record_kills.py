"""Kill a writer of the record 1,000 times at random moments; two writers of 1,000 rows at once.

``python tests/benchmarks/record_kills.py [ROUNDS] [SEED]``; see ``tests/store/kills.py``.
"""

import json
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from harness import Figure

from planner.store.record import Record
from planner.store.record_checks import soundness

SCRIPT = Path(__file__).parents[1] / "store" / "kills.py"
MEMORY = Path("/dev/shm")
ROWS = 1000
WRITER = """
import sys
from datetime import date
from pathlib import Path
from planner.history.tables import Reed
from planner.store.record import Record
with Record.open(Path(sys.argv[1])) as record:
    for i in range(int(sys.argv[3])):
        reed = Reed(date(2026, 11, 2), sys.argv[2], diameter_mm=10.4, verdict="good", lot=str(i))
        record.add(reed)
"""


def kills(rounds: int, seed: int) -> dict[str, int]:
    """Kill so many writers; raises at the first record that isn't what was acknowledged.

    In memory where there is a folder of it: a kill leaves what was written to a disk's cache, so a
    slow disk would only make fewer writes a kill.
    """
    with tempfile.TemporaryDirectory(dir=MEMORY if MEMORY.is_dir() else None) as folder:
        done = subprocess.run(
            [sys.executable, str(SCRIPT), folder, str(rounds), str(seed)],
            capture_output=True,
            text=True,
            check=False,
        )
    if done.returncode:
        raise SystemExit(done.stderr)
    return dict(json.loads(done.stdout))


def writers(count: int) -> tuple[float, int]:
    """Seconds that so many writers at once take, and the rows that are there after."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "workshop.db"
        Record.open(path).close()
        begun = time.perf_counter()
        each = [
            subprocess.Popen([sys.executable, "-c", WRITER, str(path), str(n), str(ROWS)])
            for n in range(count)
        ]
        codes = [one.wait() for one in each]
        if any(codes):
            raise SystemExit("a writer failed")
        seconds = time.perf_counter() - begun
        with Record.open(path) as record:
            kept = {(reed.place, reed.lot) for reed in record.reeds()}
        assert soundness(path).sound
    return seconds, len(kept)


def run(*, quick: bool) -> list[Figure]:
    """Measure both; nothing acknowledged may be missing."""
    found = kills(100 if quick else 1000, seed=1)
    alone, kept_alone = writers(1)
    both, kept = writers(2)
    kinds = ("acknowledged", "killed_within_a_write", "journals_left")
    return [
        Figure(
            f"records lost in {found['rounds']} kills", [0], "", reach="none lost", reached=True
        ),
        *(Figure(kind.replace("_", " "), [found[kind]]) for kind in kinds),
        Figure(
            f"two writers of {ROWS} rows",
            [both],
            "s",
            "one writer of as many",
            [alone],
            f"{2 * ROWS} rows",
            kept == 2 * ROWS and kept_alone == ROWS,
        ),
    ]


if __name__ == "__main__":
    wanted, seed_given = (sys.argv[1:] + ["1000", "1"][len(sys.argv) - 1 :])[:2]
    print(json.dumps(kills(int(wanted), int(seed_given))))
