"""Runs of openings: reeds that come out too closed or too open, all else accounted for."""

from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from planner.spread import TENTH, Spread
from planner.watch.causes import Effects, likely_causes
from planner.watch.chart import Cusum, Floats
from planner.watch.documents import RunNote
from planner.watch.judged import Judged

# A CUSUM made for a shift of one spread, k = 1/2 of it, h = 5: a false alarm in 465 reeds on
# average, a shift of one spread called after 10.4 of them. Montgomery, Introduction to
# Statistical Quality Control, table 9.3 (from memory), and simulated in the tests.
# Measured of the whole rule below, with a model that learns as it goes, over some 30,000 reeds
# where nothing changed (tests/benchmarks/watch_runs.py): a note on all reeds once in about 900, one
# on a lot once in about 500, four in five of these on lots that truly are off.
SLACK, LIMIT = 0.5, 5.0
# Calls of one side that follow within so many reeds are one run.
ONE_RUN = 10
# A call is spoken of for so many reeds: what is still off by then is called anew.
SPOKEN_OF = 60
# A run is still on while the reeds since its first are off by more than chance and lots explain
# (nineteen to one), and the newest, the last 20 or so, by more than this beyond what the model
# believes now: else it has caught up.
NEWEST_WEIGHT, CAUGHT_UP_MM = 0.1, 0.02
NINETEEN_TO_ONE = 1.6448536269514722  # standard normal 95th percentile
# Where the model has caught up before the call, which it does with a sudden change, the run is news
# all the same: for so many reeds from the call it is told that the plan has followed.
NEWS = 12
# A lot in use is called once it is that sure that it is off by more than this [mm], which is about
# what half a sorting step of diameter is worth.
LOT_MM = 0.025
LOT_REEDS, IN_USE = 3, 12  # reeds of it at least, and among how many of the newest
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
    """A run: its first reed, its side (-1 too closed, 1 too open), the reed that called it last.

    ``lot`` is the lot that it is of, where it is one lot's.
    """

    start: int
    side: int
    called: int
    lot: int | None = None


def calls(residual: Floats) -> list[Run]:
    """Return the runs that the CUSUM calls in standardised residuals (n,), in order.

    The sums start anew with each call; calls of one side in close succession are one run.
    """
    runs: list[Run] = []
    sums, last = Cusum(SLACK), -ONE_RUN
    for i, value in enumerate(residual.tolist()):
        sums.add(value)
        for side, total, count in zip((-1, 1), sums.sums, sums.counts, strict=True):
            if total > LIMIT:
                start = i - count + 1
                goes_on = runs and runs[-1].side == side and start - last <= ONE_RUN
                if goes_on:
                    runs[-1] = replace(runs[-1], called=i)
                else:
                    runs.append(Run(start, side, i))
                sums, last = Cusum(SLACK), i
                break
    return runs


def run_now(judged: Judged) -> Run | None:
    """Return the run called last, if it is still on."""
    runs = calls(judged.residual)
    if not runs or len(judged) - runs[-1].called > SPOKEN_OF:
        return None
    run = runs[-1]
    off = run.side * (judged.opening[run.start :] - judged.level_before[run.start])
    lots = len(np.unique(judged.lot[run.start :]))
    deviation = np.sqrt(judged.reed_sd**2 / len(off) + judged.lot_sd**2 / lots)
    return run if off.mean() > NINETEEN_TO_ONE * deviation else None


def lot_off(judged: Judged) -> Run | None:
    """Return the lot in use that is surely off, as a run; the furthest off of several."""
    found: list[tuple[float, Run]] = []
    for lot in judged.lots_now:
        own = np.flatnonzero(judged.lot == lot.lot)
        newest = own[own >= len(judged) - IN_USE]
        surely = abs(lot.offset) - NINETEEN_TO_ONE * lot.deviation
        if surely > LOT_MM and len(own) >= LOT_REEDS and len(newest):
            side = 1 if lot.offset > 0 else -1
            found.append((abs(lot.offset), Run(int(own[0]), side, int(own[-1]), lot.lot)))
    return max(found, key=lambda pair: pair[0])[1] if found else None


def runs_of_openings(
    judged: Judged, effects: Effects, bench: Bench, *, gouger_off: float | None = None
) -> RunNote | None:
    """Return a note on the run of openings that is on, or None.

    *gouger_off* is how far the gouger's centre stands from its target by its checks [mm], None
    where that isn't known.
    """
    run = run_now(judged) or lot_off(judged)
    if run is None:
        return None
    own = np.arange(run.start, len(judged))
    if run.lot is not None:
        own = own[judged.lot[own] == run.lot]
    opening = judged.opening[own]
    left = _newest(opening - judged.level, judged.reed_sd)
    followed = run.side * left.p50 < CAUGHT_UP_MM or left.p10 < 0 < left.p90
    if followed and (run.lot is not None or len(judged) - run.called > NEWS):
        return None
    causes = likely_causes(judged, run.start, effects, gouger_off=gouger_off)
    if causes[0].name == "lot" and causes[0].what not in _lots_in_use(judged):
        return None
    off = float(opening.mean() - judged.level_before[run.start])
    correction = None if followed else _correction(left.p50, effects)
    diameter = None if correction is None else _cut(bench.diameter + correction, bench)
    low, high = (None, None) if diameter is None else _class_of(diameter, bench)
    return RunNote(
        kind="closed" if run.side < 0 else "open",
        since=_date(judged.day[run.start]),
        last=_date(judged.day[own[-1]]),
        reeds=len(own),
        off_mm=Spread.normal(off, judged.reed_sd * len(own) ** -0.5),
        left_mm=left,
        followed=followed,
        causes=causes,
        correction_mm=None if diameter is None else diameter - bench.diameter,
        diameter_mm=diameter,
        class_low_mm=low,
        class_high_mm=high,
    )


def _lots_in_use(judged: Judged) -> set[str]:
    return {judged.lots[lot] for lot in judged.lot[-IN_USE:] if lot >= 0}


def _newest(beyond: Floats, spread: float) -> Spread:
    """What the newest of some reeds are off, held back towards nought as one reed would. [mm]"""
    newness = (1 - NEWEST_WEIGHT) ** np.arange(len(beyond))[::-1]
    total = newness.sum() + 1.0
    deviation = float(np.sqrt((newness**2).sum() + 1) / total) * spread
    return Spread.normal(float(newness @ beyond / total), deviation)


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


def _date(day: np.datetime64) -> date:
    found = day.astype("datetime64[D]").item()
    assert isinstance(found, date)
    return found
