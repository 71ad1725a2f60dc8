"""Does the gouger's chart call a drift as soon as stated, and a steady gouger as rarely?

Invented gougers of known truth are checked twice a week, and the answer is asked for after each
check, as a maker would: with the spread of a check learned from the same checks. What is stated is
the run length for a spread that is known.
"""

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from harness import Figure

from planner.watch.chart import LIMIT
from planner.watch.gouger import Aim, gouger_state
from planner.watch.run_length import drift_run_length, run_length

# Wide limits, so that the chart alone is asked.
AIM = Aim(target=0.59, low=0.50, high=0.68, tolerance=0.02)
SPREAD = 0.008  # mm, of a check
FIRST = date(2024, 1, 1)
DAYS_APART = (3, 4)
CHECKS = 160


@dataclass(frozen=True)
class Made:
    """A check as it would be on record."""

    date: date
    gouger: str
    centre_mm: float
    left_mm: None = None
    right_mm: None = None
    event: str | None = None
    note: str = ""


def checks_of(rng: np.random.Generator, *, per_check: float, sudden: float = 0.0) -> list[Made]:
    """Return checks of a gouger that was set, then drifts or stands off from the first on. [mm]"""
    days = np.cumsum([DAYS_APART[i % 2] for i in range(CHECKS)])
    centre = AIM.target + sudden + per_check * np.arange(1, CHECKS + 1)
    read = np.round(centre + rng.normal(0.0, SPREAD, CHECKS), 3)
    return [
        Made(
            FIRST + timedelta(days=int(day)), "bench", float(value), event="set" if i == 0 else None
        )
        for i, (day, value) in enumerate(zip(days, read, strict=True))
    ]


def called_after(checks: list[Made]) -> int:
    """Return how many checks it takes until the chart calls; all of them where it never does."""
    for count in range(1, len(checks) + 1):
        known = checks[:count]
        state = gouger_state(known, AIM, today=known[-1].date)
        if state.points[-1].called:
            return count
    return len(checks)


def run(*, quick: bool = False) -> list[Figure]:
    """Ask of 15 (quick) or 120 gougers of each kind."""
    count = 15 if quick else 120
    rng = np.random.default_rng(20261125)
    kinds = (
        ("steady", 0.0, 0.0, run_length(0.0, limit=LIMIT)),
        ("0.01 mm off at once", 0.0, 0.01, run_length(0.01 / SPREAD, limit=LIMIT)),
        ("0.001 mm thinner each check", -0.001, 0.0, drift_run_length(0.001 / SPREAD, limit=LIMIT)),
    )
    figures = []
    for name, per_check, sudden, stated in kinds:
        after = [
            called_after(checks_of(rng, per_check=per_check, sudden=sudden)) for _ in range(count)
        ]
        figures.append(
            Figure(
                f"{name}: checks until called, mean (± {np.std(after) / np.sqrt(count):.1f})",
                [float(np.mean(after))],
                "checks",
                rival="stated",
                rival_values=[stated],
            )
        )
    return figures
