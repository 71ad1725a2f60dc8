"""Time and memory of the opening model's fit, beside statsmodels' ordered model on the same rows.

statsmodels' ``OrderedModel`` (probit, fitted by maximum likelihood) sees the verdicts and the
three effects alone: it knows no millimetres, lots, moving level, slips or priors, and gives no
posterior. It is what a statistician would first reach for.

Run ``python tests/benchmarks/opening_speed.py WHAT REEDS`` for one fit alone.
"""

import os
import resource
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
from harness import Figure
from opening_workshops import REFERENCE, Habit, Truth, draw_truth, make_history
from threadpoolctl import threadpool_limits

from planner.opening.model import fit_opening
from planner.opening.observations import Observations

SIZES = (200, 2_000, 20_000)
MOST_SECONDS = {20_000: 2.0}
ONE_THREAD = {**os.environ, "OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}


def history_of(reeds: int, kind: str = "both") -> tuple[Truth, Observations]:
    """A history of so many reeds, always the same."""
    chance = np.random.default_rng([1, reeds])
    truth = draw_truth(chance)
    return truth, make_history(truth, reeds, Habit(kind), chance)


def fit_ours(truth: Truth, seen: Observations) -> None:
    """Fit the opening model, with all that goes with it."""
    fit_opening(seen, reference=REFERENCE, wanted=(truth.low, truth.high))


def fit_ordered(truth: Truth, seen: Observations) -> None:
    """Fit statsmodels' ordered probit to the verdicts."""
    from statsmodels.miscmodels.ordinal_model import OrderedModel

    x = np.column_stack([seen.diameter_low, seen.gouge, seen.moisture])
    x = x - [REFERENCE.diameter, REFERENCE.gouge, REFERENCE.moisture]
    fit = OrderedModel(seen.verdict.astype(int), x, distr="probit").fit(method="bfgs", disp=0)
    assert np.isfinite(fit.params).all()


FITS = {"ours": fit_ours, "ordered": fit_ordered}


def seconds(what: str, reeds: int, times: int, kind: str = "both") -> list[float]:
    """Processor time of fits, the first of which doesn't count. [s]"""
    truth, seen = history_of(reeds, kind)
    taken = []
    for _ in range(times + 1):
        begun = time.process_time()
        FITS[what](truth, seen)
        taken.append(time.process_time() - begun)
    return taken[1:]


def run(*, quick: bool = False) -> list[Figure]:
    """Time the fits in this process, and take the peak memory of each in one of its own."""
    figures = []
    times = 1 if quick else 5
    with threadpool_limits(1):
        for reeds in SIZES:
            most = MOST_SECONDS.get(reeds)
            ours = seconds("ours", reeds, times)
            figures.append(
                Figure(
                    f"{reeds} reeds, mm and verdicts: fit, processor time",
                    ours,
                    "s",
                    "statsmodels' ordered probit",
                    seconds("ordered", reeds, times),
                    f"under {most:g}" if most else "",
                    float(np.median(ours)) < most if most else None,
                )
            )
            for kind in ("mm", "verdict"):
                figures.append(
                    Figure(f"{reeds} reeds, {kind}", seconds("ours", reeds, times, kind), "s")
                )
    for reeds in SIZES:
        mine, other = (_mebibytes(what, reeds) for what in FITS)
        figures.append(
            Figure(
                f"{reeds} reeds: peak memory of the program",
                [mine],
                "MiB",
                "with statsmodels",
                [other],
            )
        )
    return figures


def _mebibytes(what: str, reeds: int) -> float:
    """Peak memory of a program that fits once, as it says itself.

    What the system tells its parent is never less than the parent's own.
    """
    here = Path(__file__)
    command = [sys.executable, here.name, what, str(reeds)]
    said = subprocess.run(
        command, cwd=here.parent, env=ONE_THREAD, check=True, capture_output=True, text=True
    )
    return float(said.stdout)


def _own_peak() -> float:
    """Peak memory of this program. [MiB]"""
    status = Path("/proc/self/status")
    if status.exists():
        line = next(line for line in status.read_text().splitlines() if line.startswith("VmHWM"))
        return int(line.split()[1]) / 1024
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak / 1024 ** (2 if sys.platform == "darwin" else 1)


if __name__ == "__main__":
    FITS[sys.argv[1]](*history_of(int(sys.argv[2])))
    print(f"{_own_peak():.1f}")
