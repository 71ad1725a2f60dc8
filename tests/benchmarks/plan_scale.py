"""How long the plan itself takes: advice, spells, allocation and tasks, weather and model apart.

Run: python tests/benchmarks/plan_scale.py
Invented effects and weeks; processor seconds of each part.
"""

import time
from collections.abc import Sequence
from datetime import date

import numpy as np
from harness import Figure

from planner.history.tables import CaneMove
from planner.opening.draws import EffectDraws, Reference
from planner.plan.calendar import Calendar
from planner.plan.coming import Coming, YearMean
from planner.plan.limits import Limits
from planner.plan.preparation import Output, Record, prepare
from planner.plan.recommend import advise
from planner.plan.spells import find_spells

TODAY = date(2026, 11, 25)
MEMBERS = 400


def effects(generator: np.random.Generator) -> EffectDraws:
    """Effects as after some hundred reeds."""
    return EffectDraws(
        Reference(10.5, 0.59, 8.5),
        generator.normal(0.8, 0.02, MEMBERS),
        generator.normal(-0.2, 0.03, MEMBERS),
        generator.normal(2.0, 1.0, MEMBERS),
        generator.normal(0.03, 0.006, MEMBERS),
        np.full(MEMBERS, 0.08),
        np.full(MEMBERS, 0.002),
        0.05,
        np.full(MEMBERS, 0.7),
        np.full(MEMBERS, 0.9),
        "2026-11-20",
    )


def coming(generator: np.random.Generator, place: int, weeks: int, bench: Coming | None) -> Coming:
    """A place with a season of its own."""
    season = np.cos(2 * np.pi * (np.arange(weeks) - 8 + generator.normal(0, 3)) / 52)
    mean = 8.5 + generator.normal(0, 0.8) - generator.uniform(1.0, 2.2) * season
    moisture = mean + generator.normal(0, 0.5, (MEMBERS, weeks))
    return Coming(
        f"Place {place}",
        np.datetime64("2026-11-23") + 7 * np.arange(weeks),
        ["climate"] * weeks,
        45 + 6.2 * (moisture - 8.5),
        moisture,
        None if bench is None else bench.moisture,
        YearMean(45.0, float(mean.mean())),
    )


def parts(places: int, weeks: int) -> dict[str, float]:
    """Processor seconds of each part."""
    generator = np.random.default_rng(0)
    draws = effects(generator)
    bench = coming(generator, 0, weeks, None)
    rest = [coming(generator, place, weeks, bench) for place in range(1, places)]
    limits = Limits()
    started = time.process_time()
    advices = [
        advise(draws, each, limits, today=TODAY, sort_to_finish_days=14) for each in [bench, *rest]
    ]
    advised = time.process_time()
    for advice in advices:
        find_spells(advice, draws)
    found = time.process_time()
    classes = [(low, low + 0.25) for low in np.arange(9.5, 11.5, 0.25).tolist()]
    moves = [
        CaneMove(date(2026, 9, 1), "supplier", stage, 400, None, *diameters)
        for diameters in classes
        for stage in ("tube", "split", "gouged", "tied")
    ]
    prepare(advices, Record(moves), Output(6.0 * places, {}), Calendar(TODAY, 14, 21))
    done = time.process_time()
    return {"advice": advised - started, "spells": found - advised, "preparation": done - found}


def run(*, quick: bool) -> Sequence[Figure]:
    """Seconds of each part for the largest plan, beside the usual one of the same run."""
    times = 1 if quick else 3
    large = [parts(50, 52) for _ in range(times)]
    usual = [parts(3, 12) for _ in range(times)]
    return [
        Figure(
            f"50 places, 52 weeks, {MEMBERS} members: {part}",
            [taken[part] for taken in large],
            "s",
            "3 places, 12 weeks",
            [taken[part] for taken in usual],
        )
        for part in large[0]
    ]


if __name__ == "__main__":
    for figure in run(quick=True):
        print(f"{figure.what}: {figure.median:.2f} {figure.unit}")
