"""What the opening model wins and how well it knows what it doesn't know, on invented workshops.

Run ``python tests/benchmarks/opening_study.py [workshops]``. For each size and habit it prints, in
points of a hundred reeds: the share lost against perfect knowledge of the effects (with the same
knowledge of the weather) by the recommendation, by one diameter all year, by the calendar rule
(rounder in the dry half, flatter in the humid) and by an ordinary least-squares regression; the
mean difference of the share predicted and true; and how often 80 % intervals hold the truth.
"""

import sys
from dataclasses import dataclass

import numpy as np
from opening_workshops import (
    DIAMETERS,
    GOUGES,
    REFERENCE,
    Habit,
    coming_moisture,
    draw_truth,
    make_history,
)

from planner.opening.model import fit_opening
from planner.opening.shares import share_in_range

HABITS = {
    "random, both": Habit(),
    "random, mm": Habit("mm"),
    "random, verdicts": Habit("verdict"),
    "follows season": Habit(chooses="season"),
    "never changes": Habit(chooses="never"),
    "level shift": Habit(shift=0.12),
    "5 % slips": Habit(slips=0.05),
    "no lots noted": Habit(lots=False),
}
SIZES = (0, 5, 20, 60, 200, 1000)


@dataclass(frozen=True)
class Outcome:
    """One workshop: shares lost by each way to choose, and the calibration."""

    lost: dict[str, float]
    promised: float
    predicted_error: float
    covered: tuple[bool, ...]


def one_workshop(seed: int, reeds: int, habit: Habit) -> Outcome:
    """Make a workshop, plan a year's round of weeks, and look up the truth."""
    chance = np.random.default_rng([seed, reeds])
    truth = draw_truth(chance, lots=habit.lots)
    history = make_history(truth, reeds, habit, chance)
    moisture = coming_moisture(chance)
    fit = fit_opening(history, reference=REFERENCE, wanted=(truth.low, truth.high))
    draws = fit.draws(len(moisture), seed)
    ahead = np.full(moisture.shape[1], 14.0)
    expected = share_in_range(draws, DIAMETERS, GOUGES, moisture, ahead)
    real = truth.share(
        DIAMETERS[None, None, :, None], GOUGES[None, None, None, :], moisture[:, :, None, None]
    ).mean(axis=0)
    best = real.max(axis=(1, 2))
    pick = expected.reshape(len(best), -1).argmax(axis=1)
    won = real.reshape(len(best), -1)[np.arange(len(best)), pick]
    promised = expected.reshape(len(best), -1).max(axis=1)
    middle = moisture.mean(axis=0)
    return Outcome(
        {
            "planner": float((best - won).mean()),
            "one diameter": _lost(real, best, np.full(len(best), 10.5)),
            "calendar": _lost(real, best, np.where(middle < 8.5, 10.25, 10.75)),
            "regression": _lost(real, best, _regression(history, truth, middle)),
        },
        float((promised - won).mean()),
        float(np.abs(expected - real).mean()),
        tuple(
            bool(low <= getattr(truth, name) <= high)
            for name in ("level", "diameter", "gouge", "moisture")
            for low, high in [np.percentile(getattr(draws, name), [10, 90])]
        ),
    )


def _lost(real, best, diameter) -> float:
    column = np.abs(DIAMETERS[None] - diameter[:, None]).argmin(axis=1)
    usual = int(np.abs(GOUGES - REFERENCE.gouge).argmin())
    return float((best - real[np.arange(len(best)), column, usual]).mean())


def _regression(history, truth, moisture):
    """Diameters that an ordinary regression of the measured openings asks for."""
    from sklearn.linear_model import LinearRegression

    read = np.isfinite(history.opening)
    x = np.column_stack([history.diameter_low, history.gouge, history.moisture])[read]
    if read.sum() < 5:
        return np.full(len(moisture), 10.5)
    fit = LinearRegression().fit(x, history.opening[read])
    at = [[d, 0.59, m] for m in moisture for d in DIAMETERS]
    away = np.abs(fit.predict(at) - (truth.low + truth.high) / 2).reshape(len(moisture), -1)
    return DIAMETERS[away.argmin(axis=1)]


def main(workshops: int = 30) -> None:
    """Print the table."""
    print(f"{workshops} workshops a line; points of 100 reeds")
    print(
        f"{'reeds':>5} {'habit':18} {'planner':>8} {'one':>6} {'calend.':>7} {'regr.':>6}"
        f" {'promise':>8} {'off':>5}  80 % intervals hold: level diameter gouge moisture"
    )
    for reeds in SIZES:
        for name, habit in HABITS.items():
            seen = [one_workshop(seed, reeds, habit) for seed in range(workshops)]
            lost = {key: np.mean([s.lost[key] for s in seen]) for key in seen[0].lost}
            held = np.mean([s.covered for s in seen], axis=0)
            print(
                f"{reeds:5d} {name:18}",
                *(f"{100 * value:7.2f}" for value in lost.values()),
                f"{100 * np.mean([s.promised for s in seen]):+7.2f}",
                f"{100 * np.mean([s.predicted_error for s in seen]):5.1f} ",
                *(f"{100 * value:5.0f}" for value in held),
                flush=True,
            )


if __name__ == "__main__":
    main(*(int(word) for word in sys.argv[1:2]))
