"""What the benchmarks share: a figure to print, and time and memory of a program."""

import os
import resource
import statistics
import subprocess
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

RIVAL_IMPORT = "import pandas, sklearn.linear_model"


@dataclass(frozen=True)
class Figure:
    """One measured quantity.

    Attributes
    ----------
    what : in a few words
    values : one per repetition; the median and the spread are shown
    unit : of the values
    rival : what it is compared with, measured in the same run; empty where there is nothing
    rival_values : of the rival, in the same unit
    reach : what it must reach, in words; ``reached`` says whether it did (None: nothing to reach)
    """

    what: str
    values: Sequence[float]
    unit: str = ""
    rival: str = ""
    rival_values: Sequence[float] = ()
    reach: str = ""
    reached: bool | None = None

    @property
    def median(self) -> float:
        """The middle value."""
        return statistics.median(self.values)

    @property
    def spread(self) -> float:
        """Half the distance of the quartiles; 0 for a single value."""
        if len(self.values) < 2:
            return 0.0
        low, _, high = statistics.quantiles(self.values, n=4)
        return (high - low) / 2

    @property
    def ratio(self) -> float | None:
        """Median over the rival's median; None without a rival."""
        return self.median / statistics.median(self.rival_values) if self.rival_values else None


@dataclass(frozen=True)
class Ran:
    """Wall time [s] and peak memory [MiB] of a program."""

    seconds: float
    mebibytes: float


def ran(command: Sequence[str | Path], cwd: Path | None = None) -> Ran:
    """Run a program to its end, which must be a good one."""
    begun = time.perf_counter()
    with subprocess.Popen(
        [str(part) for part in command],
        cwd=cwd,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
    ) as process:
        assert process.stderr is not None
        said = process.stderr.read()
        _, status, usage = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
    seconds = time.perf_counter() - begun
    if process.returncode:
        raise RuntimeError(f"{command} ended with {process.returncode}: {said.decode()}")
    return Ran(seconds, _mebibytes(usage))


def taken_in_turn(
    commands: dict[str, Sequence[str | Path]], times: int, cwd: Path | None = None
) -> dict[str, list[float]]:
    """Run several programs in turn, *times* times each, and return their wall times [s].

    In turn, so that whatever else the machine does falls on all alike; the first round, which
    fills the caches, doesn't count.
    """
    seconds: dict[str, list[float]] = {name: [] for name in commands}
    for round_number in range(times + 1):
        for name, command in commands.items():
            taken = ran(command, cwd).seconds
            if round_number:
                seconds[name].append(taken)
    return seconds


def planner(*arguments: str | Path) -> list[str | Path]:
    """Return the command line of the planner in this environment."""
    program = Path(sys.executable).parent / "planner"
    return [program, *arguments]


def rival_import() -> list[str | Path]:
    """Return the command line of the rival of all start-up times: the two big imports alone."""
    return [sys.executable, "-c", RIVAL_IMPORT]


def _mebibytes(usage: resource.struct_rusage) -> float:
    per_unit = 1 if sys.platform == "darwin" else 1024  # macOS counts bytes, Linux KiB
    return usage.ru_maxrss * per_unit / 1024**2
