"""Kill a writer of the record at random moments, many times, and look at what it left.

``python kills.py FOLDER ROUNDS SEED`` prints one JSON object. A round forks a writer that adds,
imports and undoes and says on a pipe what it begins and what it has been told is kept; it is
killed (SIGKILL) at a random moment of its work. After it the record must hold exactly what was
acknowledged, and what was begun last either whole or not at all.
"""

import json
import os
import random
import signal
import sys
import time
from datetime import date
from pathlib import Path

from planner.history.tables import Reed
from planner.store.record import Record
from planner.store.record_checks import soundness

BATCH = 25
LONGEST = 0.03  # seconds from the first acknowledgement to the kill
DAY = date(2026, 11, 2)


def reed(note: str) -> Reed:
    """A reed that is told by its note."""
    return Reed(DAY, "Bench", diameter_mm=10.4, opening_mm=0.8, note=note)


def notes_of(operation: str) -> list[str]:
    """The rows that an operation brings: one, or a batch."""
    kind, name = operation.split(":")
    return [f"{name}-{i}" for i in range(BATCH)] if kind == "import" else [name]


def work(path: Path, pipe: int, prefix: str, generator: random.Random) -> None:
    """Write until killed, each operation announced and acknowledged."""
    with Record.open(path) as record:
        for number in range(1_000_000):
            kind = generator.choice(["add", "add", "add", "import", "undo"])
            kind = "add" if number == 0 else kind
            name = f"{prefix}.{number}"
            os.write(pipe, f"begin {kind}:{name}\n".encode())
            if kind == "add":
                record.add(reed(name))
            elif kind == "import":
                record.import_rows("reeds", [reed(note) for note in notes_of(f"{kind}:{name}")])
            else:
                record.undo()
            os.write(pipe, f"done {kind}:{name}\n".encode())


def killed(path: Path, prefix: str, generator: random.Random) -> list[str]:
    """Run a writer and kill it; what it said, line by line."""
    reading, writing = os.pipe()
    seed = generator.random()
    process = os.fork()
    if process == 0:
        os.close(reading)
        try:
            work(path, writing, prefix, random.Random(seed))
        finally:
            os._exit(3)
    os.close(writing)
    said = os.read(reading, 4096)
    while b"done" not in said:
        said += os.read(reading, 4096)
    time.sleep(generator.random() * LONGEST)
    os.kill(process, signal.SIGKILL)
    os.waitpid(process, 0)
    while chunk := os.read(reading, 65536):
        said += chunk
    os.close(reading)
    return said.decode().splitlines()


def expected(live: list[list[str]], said: list[str]) -> tuple[list[list[str]], list[list[str]]]:
    """The entries that hold (their rows) without and with what was begun last."""
    state = [*live]
    before = [*live]
    for line in said:
        word, _, operation = line.partition(" ")
        if word == "done":
            continue
        before = [*state]
        undone = operation.startswith("undo")
        state = state[:-1] if undone else [*state, notes_of(operation)]
    in_flight = bool(said) and said[-1].startswith("begin")
    return (before if in_flight else state), state


def main(folder: Path, rounds: int, seed: int) -> dict[str, object]:
    """Kill so many writers; raise at the first record that isn't as it must be."""
    generator = random.Random(seed)
    path = folder / "workshop.db"
    Record.open(path).close()
    live: list[list[str]] = []
    acknowledged = begun = journals = 0
    for number in range(rounds):
        said = killed(path, str(number), generator)
        journals += path.with_name("workshop.db-journal").exists()
        acknowledged += sum(line.startswith("done") for line in said)
        begun += said[-1].startswith("begin")
        without, with_last = expected(live, said)
        with Record.open(path) as record:
            found = sorted(row.note for row in record.reeds())
        if found == sorted(note for entry in with_last for note in entry):
            live = with_last
        elif found == sorted(note for entry in without for note in entry):
            live = without
        else:
            raise SystemExit(f"round {number}: the record isn't what was acknowledged: {said}")
        if number % 20 == 19 or number == rounds - 1:
            faults = soundness(path).faults
            if faults:
                raise SystemExit(f"round {number}: {faults}")
    return {
        "rounds": rounds,
        "acknowledged": acknowledged,
        "killed_within_a_write": begun,
        "journals_left": journals,
        "rows": sum(len(entry) for entry in live),
    }


if __name__ == "__main__":
    print(json.dumps(main(Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]))))
