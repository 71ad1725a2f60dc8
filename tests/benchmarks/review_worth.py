"""Does the interval of what a choice was worth hold the true worth as often as it says?

Workshops are invented from truths drawn as widely as the opening model's priors; three years of
their records are learned from, and over the last winter half two choices of diameter are held
against one diameter all along. The true worth is reckoned from the truth that each was made from.

    python tests/benchmarks/review_worth.py [workshops]
"""

import sys
import tempfile
from datetime import date
from pathlib import Path

import numpy as np
from scipy.special import ndtr

from planner.commands.ahead import MEMBERS
from planner.commands.learn import Learned, learn
from planner.commands.load import load_folder
from planner.commands.review import hindsight_of
from planner.commands.workshop import opened
from planner.demo import TODAY, Invented, invent, write_sample
from planner.errors import TableError
from planner.invented.reeds import expected_opening
from planner.invented.truth import drawn
from planner.plan.review_rivals import Choice, compare
from planner.plan.review_season import Judged, judged

FIRST, LAST = date(2025, 10, 1), date(2026, 3, 31)
SHIFTS = (-0.25, 0.25)  # mm, the two choices: a class rounder, a class flatter


def learned_of(invented: Invented) -> Learned:
    """Return what is learned from an invented workshop's record."""
    with tempfile.TemporaryDirectory() as name:
        source, folder = Path(name) / "source", Path(name) / "workshop"
        write_sample(invented, source)
        settings = load_folder(source, folder, today=TODAY).settings
        with opened(settings) as workshop:
            return learn(workshop, TODAY)


def true_share(invented: Invented, reeds: Judged, diameter: np.ndarray, gouge: float) -> float:
    """Return the true expected share in range of the reeds, made with other diameters."""
    truth, lots = invented.truth, lots_of(invented)
    low, high = truth.wanted
    shares = []
    for row, d in zip(reeds.row, diameter, strict=True):
        reed = invented.reeds[row]
        mean = expected_opening(truth, reed.day, float(d), gouge, reed.moisture)
        mean += lots[reed.row.lot]
        shares.append(ndtr((high - mean) / truth.spread) - ndtr((low - mean) / truth.spread))
    return float(np.mean(shares))


def lots_of(invented: Invented) -> dict[str, float]:
    """Return the lots' offsets: the median of what their reeds were off, some 40 of each."""
    off: dict[str, list[float]] = {}
    for reed in invented.reeds:
        mean = expected_opening(invented.truth, reed.day, reed.diameter, reed.gouge, reed.moisture)
        off.setdefault(reed.row.lot, []).append(reed.opening - mean)
    return {lot: float(np.median(values)) for lot, values in off.items()}


def main(workshops: int) -> None:
    """Print the coverage over some workshops."""
    inside, misses, widths, better = [], [], [], []
    for seed in range(1, workshops + 1):
        invented = invent(seed, drawn(np.random.default_rng(seed)))
        try:
            learned = learned_of(invented)
        except TableError:  # a room invented drier than a hygrometer can show
            continue
        history = judged(learned.reeds, invented.truth.wanted, 0.59)
        keep = (history.day >= np.datetime64(FIRST)) & (history.day <= np.datetime64(LAST))
        reeds = history.where(keep)
        hindsight = hindsight_of(learned, learned.fit.draws(MEMBERS), reeds.row)
        gouge, usual = np.full(len(reeds), 0.59), np.full(len(reeds), 10.5)
        known = true_share(invented, reeds, usual, 0.59)
        for shift in SHIFTS:
            rival = compare(
                hindsight, Choice("plan", usual + shift, gouge), Choice("usual", usual, gouge)
            )
            truly = true_share(invented, reeds, usual + shift, 0.59) - known
            inside.append(rival.worth.p10 <= truly <= rival.worth.p90)
            misses.append(rival.worth.p50 - truly)
            widths.append(rival.worth.p90 - rival.worth.p10)
            better.append((rival.probability - (truly > 0)) ** 2)
    error = np.sqrt(0.16 / len(inside))
    print(f"{len(inside)} comparisons in {workshops} workshops")
    print(f"80 in 100 intervals hold the true worth: {np.mean(inside):.2f} (± {error:.2f})")
    off, width = 100 * np.mean(np.abs(misses)), 100 * np.mean(widths)
    print(f"worth off by {off:.1f} in 100, intervals {width:.1f} wide")
    print(f"Brier score of 'the plan was better': {np.mean(better):.3f} (0.25 is a coin)")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 20)
