"""Runs of openings: reeds that come out too closed or too open, all else accounted for."""

from dataclasses import dataclass
from datetime import date

import numpy as np

from planner.watch.causes import Effects, likely_causes
from planner.watch.chart import Floats
from planner.watch.documents import Estimate, RunNote
from planner.watch.judged import Judged

TENTH = 1.2815515655446004  # standard normal 90th percentile

# A CUSUM made for a shift of one spread, k = 1/2 of it, h = 5: a false alarm in 465 reeds on
# average, a shift of one spread called after 10.4 of them. Montgomery, Introduction to
# Statistical Quality Control, table 9.3 (from memory), and simulated in the tests.
SLACK, LIMIT, FALSE_ALARM_REEDS = 0.5, 5.0, 465
# The run is over once what the newest reeds are still off, about the last 20, is this small.
NEWEST_WEIGHT, QUIET = 0.1, 0.25
# A correction by diameter is given once it is nine to one that a larger diameter closes.
SURE = TENTH


@dataclass(frozen=True)
class Bench:
    """What is taken now and can be taken. [mm]"""

    diameter: float
    diameter_min: float
    diameter_max: float
    sorted_to: float


@dataclass(frozen=True)
class Run:
    """A run that is on: its first reed, and its side (-1 too closed, 1 too open)."""

    start: int
    side: int


def run_now(residual: Floats) -> Run | None:
    """Return the run that is on after the last of the standardised residuals (n,), if any.

    A CUSUM calls it; it is over once the newest residuals are about nought again, and the sums
    then start anew.
    """
    run: Run | None = None
    sums, counts, newest = [0.0, 0.0], [0, 0], 0.0
    for i, value in enumerate(residual):
        newest += NEWEST_WEIGHT * (float(value) - newest)
        for which, side in enumerate((-1, 1)):
            sums[which] = max(0.0, sums[which] + side * float(value) - SLACK)
            counts[which] = counts[which] + 1 if sums[which] > 0 else 0
        if run is None:
            run = _called(i, sums, counts)
        elif run.side * newest < QUIET:
            run, sums, counts = None, [0.0, 0.0], [0, 0]
    return run


def _called(i: int, sums: list[float], counts: list[int]) -> Run | None:
    for which, side in enumerate((-1, 1)):
        if sums[which] > LIMIT:
            return Run(i - counts[which] + 1, side)
    return None


def runs_of_openings(
    judged: Judged, effects: Effects, bench: Bench, *, gouger_off: float | None = None
) -> RunNote | None:
    """Return a note on the run of openings that is on, or None.

    *gouger_off* is how far the gouger's centre stands from its target by its checks [mm], None
    where that isn't known.
    """
    run = run_now(judged.residual)
    if run is None:
        return None
    scale = float(np.median(judged.scale[run.start :]))
    off, left = _off(judged.residual[run.start :])
    correction = _correction(left[0] * scale, effects)
    diameter = None if correction is None else _cut(bench.diameter + correction, bench)
    low, high = (None, None) if diameter is None else _class_of(diameter, bench)
    return RunNote(
        kind="closed" if run.side < 0 else "open",
        since=_date(judged.day[run.start]),
        last=_date(judged.day[-1]),
        reeds=len(judged) - run.start,
        off_mm=_estimate(*off, scale),
        left_mm=_estimate(*left, scale),
        causes=likely_causes(judged, run.start, effects, gouger_off=gouger_off),
        correction_mm=None if diameter is None else diameter - bench.diameter,
        diameter_mm=diameter,
        class_low_mm=low,
        class_high_mm=high,
        false_alarm_reeds=FALSE_ALARM_REEDS,
    )


def _off(residual: Floats) -> tuple[tuple[float, float], tuple[float, float]]:
    """Mean and its deviation over a run, and of its newest reeds, in units of the spread."""
    age = np.arange(len(residual))[::-1]
    newest = (1 - NEWEST_WEIGHT) ** age
    # Weighted by newness, and held back towards nought as one reed would.
    total = newest.sum() + 1.0
    left = float(newest @ residual / total), float(np.sqrt((newest**2).sum() + 1) / total)
    return (float(residual.mean()), float(len(residual) ** -0.5)), left


def _correction(left: float, effects: Effects) -> float | None:
    """Return the change of diameter [mm] that makes up for what is *left* [mm], if known enough.

    The one with the least expected square of what then still remains.
    """
    slope, deviation = effects.diameter, effects.diameter_sd
    if slope > -SURE * deviation or slope == 0:
        return None
    return -left * slope / (slope**2 + deviation**2)


def _cut(diameter: float, bench: Bench) -> float:
    return min(max(diameter, bench.diameter_min), bench.diameter_max)


def _class_of(diameter: float, bench: Bench) -> tuple[float, float]:
    """The maker's class that holds a diameter; classes start at the smallest taken. [mm]"""
    step = bench.sorted_to
    last = max(0, int(np.ceil((bench.diameter_max - bench.diameter_min) / step - 1e-9)) - 1)
    number = min(int((diameter - bench.diameter_min) / step + 1e-9), last)
    low = bench.diameter_min + number * step
    return low, min(low + step, bench.diameter_max)


def _estimate(mean: float, deviation: float, scale: float) -> Estimate:
    return Estimate(*(scale * (mean + side * TENTH * deviation) for side in (-1, 0, 1)))


def _date(day: np.datetime64) -> date:
    found = day.astype("datetime64[D]").item()
    assert isinstance(found, date)
    return found
