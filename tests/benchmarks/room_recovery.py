"""Recovery and coverage: rooms of known truth, many seeds, few and many readings.

    python tests/benchmarks/run.py room_recovery [--quick]

For each climate and each way of reading: mean absolute error of the weekly mean humidity in the
year after, beside that with no reading at all; and the share of weeks within the 80 % range, which
must be 0.80 within what so many rooms allow. The same for the parameters.
"""

import numpy as np
from harness import Figure
from room_truth import CLIMATES, SCHEDULES, Recovered, recover, room

ROOMS, QUICK_ROOMS = 60, 8
GREATEST_MISS = 0.07  # of the coverage; the standard error of 60 rooms is about 0.03


def run(*, quick: bool) -> list[Figure]:
    """Return error and coverage for each climate and way of reading."""
    seeds = range(QUICK_ROOMS if quick else ROOMS)
    out = []
    for climate, kind in CLIMATES.items():
        rooms = [room(kind, seed) for seed in seeds]
        blind: list[float] = []
        for name, readings in SCHEDULES.items():
            found = [recover(truth, readings(truth, seed)) for seed, truth in enumerate(rooms)]
            errors = [float(np.abs(one.error).mean()) for one in found]
            blind = blind or errors
            out.append(Figure(f"{climate}: {name}", errors, "% RH", "no reading", blind))
            out += _coverages(f"{climate}: {name}", found)
    return out


def _coverages(what: str, found: list[Recovered]) -> list[Figure]:
    weeks = [float(one.inside.mean()) for one in found]
    mean = float(np.mean(weeks))
    ranks = np.array([one.rank for one in found])
    parameters = float(((ranks > 0.1) & (ranks < 0.9)).mean())
    return [
        Figure(
            f"  mean share of weeks within 80 % (width {_width(found):.1f} %)",
            [mean],
            "share",
            reach=f"0.80 ± {GREATEST_MISS}",
            reached=abs(mean - 0.8) <= GREATEST_MISS,
        ),
        Figure("  parameters within their 80 %", [parameters], "share"),
    ]


def _width(found: list[Recovered]) -> float:
    return float(np.mean([one.width.mean() for one in found]))
