"""Run the benchmarks and print a table: ``python tests/benchmarks/run.py``.

Every file of this folder that offers ``run(*, quick: bool)``, returning a list of
:class:`harness.Figure`, is one. Rivals are measured in the same run, in turn with what they are
compared with, so that the ratios hold on any machine.
"""

import argparse
import importlib
import json
import os
import platform
import statistics
import time
from dataclasses import asdict
from pathlib import Path

from harness import Figure

from planner.cli import ONE_THREAD

for _name in ONE_THREAD:  # as in the program itself, before a benchmark loads numpy
    os.environ.setdefault(_name, "1")

HERE = Path(__file__).parent
NOT_BENCHMARKS = ("run", "harness")
COLUMNS = ("what", "median", "spread", "unit", "rival", "ratio", "to reach", "")


def names() -> list[str]:
    """Return the names of the benchmarks, by their files."""
    return sorted(
        path.stem
        for path in HERE.glob("*.py")
        if path.stem not in NOT_BENCHMARKS and "def run(" in path.read_text(encoding="utf-8")
    )


def measured(name: str, *, quick: bool) -> list[Figure]:
    """Run one benchmark."""
    return list(importlib.import_module(name).run(quick=quick))


def row(figure: Figure) -> tuple[str, ...]:
    """Return the cells of a figure's line."""
    ratio = figure.ratio
    rival = f"{figure.rival} {_short(statistics.median(figure.rival_values))}" if ratio else ""
    return (
        figure.what,
        _short(figure.median),
        _short(figure.spread) if len(figure.values) > 1 else "",
        figure.unit,
        rival,
        f"{ratio:.2f}" if ratio is not None else "",
        figure.reach,
        {True: "reached", False: "MISSED", None: ""}[figure.reached],
    )


def table(rows: list[tuple[str, ...]]) -> str:
    """Return rows as a text table under the headings."""
    lines = [COLUMNS, *rows]
    widths = [max(len(line[i]) for line in lines) for i in range(len(COLUMNS))]
    return "\n".join(
        "  ".join(cell.ljust(width) for cell, width in zip(line, widths, strict=True)).rstrip()
        for line in lines
    )


def _short(value: float) -> str:
    return f"{value:.4g}"


def main() -> None:
    """Run what is asked for, print it, and write it where that is asked for."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("names", nargs="*", help=f"which; default: all of {', '.join(names())}")
    parser.add_argument("--quick", action="store_true", help="fewer repetitions, smaller studies")
    parser.add_argument("--write", type=Path, metavar="FILE", help="write the figures as JSON too")
    options = parser.parse_args()
    unknown = set(options.names) - set(names())
    if unknown:
        parser.error(f"no benchmark {', '.join(sorted(unknown))}; there are {', '.join(names())}")
    machine = f"{platform.machine()}, {os.cpu_count()} cores, Python {platform.python_version()}"
    print(machine)
    kept = []
    for name in options.names or names():
        begun = time.perf_counter()
        figures = measured(name, quick=options.quick)
        print(f"\n{name} ({time.perf_counter() - begun:.0f} s)")
        print(table([row(figure) for figure in figures]), flush=True)
        kept += [
            {
                "benchmark": name,
                **asdict(figure),
                "median": figure.median,
                "spread": figure.spread,
                "ratio": figure.ratio,
            }
            for figure in figures
        ]
    if options.write:
        text = json.dumps({"machine": machine, "figures": kept}, indent=1, default=list)
        options.write.write_text(text + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
