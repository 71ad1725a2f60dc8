"""The invented workshop's gouger: creeping thicker as the blade dulls, set right when sharpened."""

from bisect import bisect_right
from datetime import date, timedelta
from typing import NamedTuple

import numpy as np

from planner.invented.truth import GougerTruth

SIDES_THINNER = 0.13  # mm, a side against the centre
WEEK = 7


class CheckRow(NamedTuple):
    """A row of the table of checks."""

    date: str
    gouger: str
    centre_mm: str
    left_mm: str
    right_mm: str
    event: str
    note: str


class Gouger:
    """How the gouger stands on any day, from its truth and the luck of each sharpening."""

    def __init__(self, truth: GougerTruth, generator: np.random.Generator) -> None:
        self.truth = truth
        self.resets = generator.normal(0.0, truth.reset, len(truth.sharpened))

    def centre(self, day: date) -> float:
        """Return the centre thickness [mm] that it cuts on a day, on average."""
        last = bisect_right(self.truth.sharpened, day) - 1
        if last < 0:
            return self.truth.aim
        weeks = (day - self.truth.sharpened[last]).days / WEEK
        return self.truth.aim + float(self.resets[last]) + self.truth.drift * weeks


def checks(
    gouger: Gouger, first: date, last: date, generator: np.random.Generator
) -> list[CheckRow]:
    """Return the checks of the gouger, about every week, and its sharpenings."""
    truth = gouger.truth
    rows = [
        CheckRow(when.isoformat(), "beech", "", "", "", "sharpened", "")
        for when in truth.sharpened
        if first <= when <= last
    ]
    day = first + timedelta(days=2)
    while day <= last:
        centre = gouger.centre(day) + generator.normal(0.0, np.hypot(truth.piece / 2, truth.gauge))
        left, right = centre - SIDES_THINNER + generator.normal(0.0, 0.006, 2)
        measured = (f"{centre:.3f}", f"{left:.2f}", f"{right:.2f}")
        rows.append(CheckRow(day.isoformat(), "beech", *measured, "", ""))
        day += timedelta(days=int(generator.integers(5, 10)))
    return sorted(rows, key=lambda row: (row.date, row.event == ""))
