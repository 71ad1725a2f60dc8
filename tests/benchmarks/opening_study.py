"""What the opening model wins, and how well it knows what it doesn't know, on invented workshops.

For each size of history, over makers who note millimetres, verdicts or both and who never change
the diameter, follow the season or vary at random: the share of good reeds, over a year's round of
weeks, won by the recommendation, by perfect knowledge of the effects (with the same knowledge of
the weather and the same rules about the gouge), by one diameter all year, by the calendar (rounder
in the dry half, flatter in the humid) and by an ordinary least-squares regression of scikit-learn;
and the share predicted less the true one.

Two more ways show what of the loss is whose. A model told the true noise, lots, verdict limits and
how levels and effects are spread, which has only the level and the effects to learn: no one who
learns from the same rows can lose less on average. And a model told the true effects and nothing
else: what it loses, perfect knowledge of the effects doesn't mend.

Run ``python tests/benchmarks/opening_study.py [WORKSHOPS] [REEDS ...]`` for a table by habit.
"""

import sys
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import product

import numpy as np
from harness import Figure
from opening_told import known, told, told_effects
from opening_workshops import (
    REFERENCE,
    Habit,
    Truth,
    coming_moisture,
    draw_truth,
    make_history,
)
from sklearn.linear_model import LinearRegression
from threadpoolctl import threadpool_limits

from planner.opening.model import fit_opening
from planner.opening.observations import Observations
from planner.plan.choice import choose
from planner.plan.grid import Grid
from planner.plan.limits import Limits

SIZES = (0, 5, 20, 60, 200, 1000)
HABITS = tuple(
    Habit(kind, chooses)
    for kind, chooses in product(("mm", "verdict", "both"), ("never", "season", "random"))
)
LOST_AT_MOST = {20: 3.3, 60: 1.8, 200: 0.8}  # points of 100 reeds, against perfect knowledge
MOST_OFF = 2.5  # points between the share predicted and the true one
GRID = Grid(Limits())
MEMBERS, WEEKS = 200, 13
DAYS_AHEAD = 14.0
RIVALS = ("perfect knowledge", "one diameter all year", "the calendar", "plain regression")
TOLD = "told all but effects and level"
TOLD_EFFECTS = "told the effects only"
CHOOSES = {
    "never": "one diameter so far",
    "season": "diameter with the season so far",
    "random": "diameters at random so far",
}


@dataclass(frozen=True)
class Outcome:
    """One workshop, in points of a hundred reeds.

    Attributes
    ----------
    won : share of good reeds by each way to choose
    promised, promised_usual : share predicted less the true one, at the recommendation and for
        the usual diameter and gouge
    covered : whether 80 % intervals hold the true level, diameter, gouge and moisture
    """

    won: dict[str, float]
    promised: float
    promised_usual: float
    covered: tuple[bool, ...]


def one_workshop(seed: int, reeds: int, habit: Habit, family: str = "usual") -> Outcome:
    """Make a workshop, plan a year's round of weeks, and look up the truth."""
    chance = np.random.default_rng([seed, reeds])
    truth = draw_truth(chance, family, lots=habit.lots, messy=habit.messy)
    history = make_history(truth, reeds, habit, chance)
    moisture = coming_moisture(chance, MEMBERS, WEEKS)
    ahead = np.full(WEEKS, DAYS_AHEAD)
    fit = fit_opening(history, reference=REFERENCE, wanted=(truth.low, truth.high))
    draws = fit.draws(MEMBERS, seed)
    choice = choose(draws, GRID, moisture, ahead)
    perfect = choose(known(truth, MEMBERS), GRID, moisture, ahead)
    all_but = choose(
        told(history, truth, family, habit).draws(MEMBERS, seed), GRID, moisture, ahead
    )
    only = choose(told_effects(history, truth).draws(MEMBERS, seed), GRID, moisture, ahead)
    usual = np.full(WEEKS, REFERENCE.diameter)
    middle = moisture.mean(axis=0)
    by_hand = np.full(WEEKS, REFERENCE.gouge)

    def share(diameter, gouge):
        return 100 * float(truth.share(diameter, gouge, moisture).mean())

    won = share(choice.best, choice.gouge)
    return Outcome(
        {
            "the recommendation": won,
            "perfect knowledge": share(perfect.best, perfect.gouge),
            TOLD: share(all_but.best, all_but.gouge),
            TOLD_EFFECTS: share(only.best, only.gouge),
            "one diameter all year": share(usual, by_hand),
            "the calendar": share(np.where(middle < REFERENCE.moisture, 10.25, 10.75), by_hand),
            "plain regression": share(_regression(history, truth, middle), by_hand),
        },
        100 * float(choice.share.mean()) - won,
        100 * float(choice.usual_share.mean()) - share(usual, by_hand),
        tuple(
            bool(low <= getattr(truth, name) <= high)
            for name in ("level", "diameter", "gouge", "moisture")
            for low, high in [np.percentile(getattr(draws, name), [10, 90])]
        ),
    )


def _regression(history: Observations, truth: Truth, moisture):
    """Diameters (weeks,) that an ordinary regression asks for at the usual gouge.

    Of the openings in mm where there are some, aimed at the middle of the range; else of the
    verdicts as -1, 0 and 1, aimed at 0.
    """
    read = np.isfinite(history.opening)
    target = (truth.low + truth.high) / 2
    aim, y, rows = (target, history.opening, read) if read.any() else (0.0, history.verdict, ~read)
    if rows.sum() < 5:
        return np.full(len(moisture), REFERENCE.diameter)
    x = np.column_stack([history.diameter_low, history.gouge, history.moisture])[rows]
    fit = LinearRegression().fit(x, y[rows])
    at = [[d, REFERENCE.gouge, m] for m in moisture for d in GRID.diameters]
    away = np.abs(fit.predict(at) - aim).reshape(len(moisture), -1)
    return GRID.diameters[away.argmin(axis=1)]


def run(*, quick: bool = False) -> list[Figure]:
    """Examine 2 (quick) or 12 workshops of each habit and size."""
    with threadpool_limits(1):
        return list(_study(2 if quick else 12))


def _study(each: int) -> Iterator[Figure]:
    for reeds in SIZES:
        seen = _seen(reeds, each)
        every = [outcome for outcomes in seen.values() for outcome in outcomes]
        yield from _figures(f"{reeds} reeds", every, LOST_AT_MOST.get(reeds))
        for chooses, words in CHOOSES.items():
            some = [o for habit in HABITS if habit.chooses == chooses for o in seen[habit]]
            yield from _lost(f"{reeds} reeds, {words}", some, LOST_AT_MOST.get(reeds))
    for reeds, most in LOST_AT_MOST.items():
        seen = _seen(reeds, each, "derived")
        every = [outcome for outcomes in seen.values() for outcome in outcomes]
        yield from _lost(f"{reeds} reeds, effects within derived bounds", every, most)
        varied = [o for habit in HABITS if habit.chooses == "random" for o in seen[habit]]
        yield from _lost(f"{reeds} reeds, the same, {CHOOSES['random']}", varied, most)
        for family in ("usual", "derived"):
            messy = [o for some in _seen(reeds, each, family, messy=True).values() for o in some]
            yield from _figures(f"{reeds} reeds, messy workshops, {family}", messy, None)
    for name, habit in (("level shift of 0.12 mm", Habit(shift=0.12)), ("5 % slips", _SLIPS)):
        for reeds in (60, 200):
            seen_so = [one_workshop(seed, reeds, habit) for seed in range(4 * each)]
            yield from _figures(f"{reeds} reeds, {name}", seen_so, None)


def _seen(
    reeds: int, each: int, family: str = "usual", *, messy: bool = False
) -> dict[Habit, list[Outcome]]:
    """Examine workshops of every habit, each from seeds of its own."""
    return {
        habit: [
            one_workshop(each * number + i, reeds, replace(habit, messy=messy), family)
            for i in range(each)
        ]
        for number, habit in enumerate(HABITS)
    }


def _lost(what: str, seen: list[Outcome], most: float | None) -> Iterator[Figure]:
    """What is lost against perfect knowledge, beside what those lose who are told a part of it."""
    best = _mean(seen, "perfect knowledge")
    gap = np.array([s.won["perfect knowledge"] - s.won["the recommendation"] for s in seen])
    for rival in (TOLD, TOLD_EFFECTS):
        judged = most is not None and rival == TOLD
        yield Figure(
            f"{what}: lost (se {_se(gap):.2f})",
            [float(gap.mean())],
            "points",
            rival,
            [best - _mean(seen, rival)],
            f"at most {most}" if judged else "",
            bool(gap.mean() <= most) if judged else None,
        )


_SLIPS = Habit(slips=0.05)


def _figures(what: str, seen: list[Outcome], most: float | None) -> Iterator[Figure]:
    """Yield what was won beside each rival, and how true the shares predicted are."""
    yield from _lost(what, seen, most)
    for rival in RIVALS:
        gap = np.array([s.won[rival] - s.won["the recommendation"] for s in seen])
        yield Figure(
            f"{what}: good reeds (gap se {_se(gap):.2f})",
            [_mean(seen, "the recommendation")],
            "in 100",
            rival,
            [_mean(seen, rival)],
        )
    off = np.array([s.promised for s in seen])
    yield Figure(
        f"{what}: share predicted less true (se {_se(off):.2f})",
        [float(off.mean())],
        "points",
        reach=f"within {MOST_OFF}",
        reached=bool(abs(off.mean()) <= MOST_OFF),
    )


def _mean(seen: list[Outcome], way: str) -> float:
    return float(np.mean([s.won[way] for s in seen]))


def _se(values: np.ndarray) -> float:
    return float(values.std(ddof=1) / np.sqrt(len(values)))


def main(workshops: int = 30, sizes: tuple[int, ...] = SIZES) -> None:
    """Print the table by habit: points lost against perfect knowledge, and the calibration."""
    print(f"{workshops} workshops a line; points of 100 reeds lost against perfect knowledge")
    print(
        f"{'reeds':>5} {'family':6} {'notes':8}{'chooses':8}{'besides':9}{'plan':>6}{'se':>5}"
        f"{'one':>6}{'calend':>7}{'regr.':>6}{'pred-true':>10}{'se':>5}{'usual':>7}"
        "  80 % intervals hold: level diameter gouge moisture"
    )
    cases = [(habit, "") for habit in HABITS]
    cases += [(Habit(kind, shift=0.12), "shift") for kind in ("mm", "verdict", "both")]
    cases += [(replace(_SLIPS, kind=kind), "slips") for kind in ("mm", "verdict", "both")]
    cases += [(Habit(lots=False), "no lots")]
    for reeds, family, (habit, besides) in product(sizes, ("usual", "spread"), cases):
        seen = [one_workshop(seed, reeds, habit, family) for seed in range(workshops)]
        best = [s.won["perfect knowledge"] for s in seen]
        lost = {
            way: np.subtract(best, [s.won[way] for s in seen])
            for way in ("the recommendation", *RIVALS[1:])
        }
        off = np.array([s.promised for s in seen])
        held = 100 * np.mean([s.covered for s in seen], axis=0)
        print(
            f"{reeds:5d} {family:6} {habit.kind:8}{habit.chooses:8}{besides:9}"
            f"{lost['the recommendation'].mean():6.2f}{_se(lost['the recommendation']):5.1f}"
            f"{lost['one diameter all year'].mean():6.1f}{lost['the calendar'].mean():7.1f}"
            f"{lost['plain regression'].mean():6.1f}{off.mean():+10.2f}{_se(off):5.1f}"
            f"{np.mean([s.promised_usual for s in seen]):+7.2f}  ",
            *(f"{value:4.0f}" for value in held),
            flush=True,
        )


if __name__ == "__main__":
    given = [int(word) for word in sys.argv[1:]]
    with threadpool_limits(1):
        main(given[0] if given else 30, tuple(given[1:]) or SIZES)
