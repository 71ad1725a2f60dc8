"""Does the interval of what a choice was worth hold the true worth as often as it says?

Workshops are invented from truths drawn as widely as the opening model's priors; three years of
their records are learned from, and over the last winter half two choices of diameter are held
against one diameter all along. The true worth is reckoned from the truth that each was made from.
"""

import tempfile
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import numpy as np
from harness import Figure
from scipy.special import ndtr

from planner.commands.ahead import MEMBERS
from planner.commands.learn import Learned, learn
from planner.commands.load import load_folder
from planner.commands.review import hindsight_of
from planner.commands.workshop import opened
from planner.demo import TODAY, Invented, invent, write_sample
from planner.invented.reeds import expected_opening
from planner.invented.truth import drawn
from planner.plan.review_rivals import Choice, compare
from planner.plan.review_season import Judged, judged

FIRST, LAST = date(2025, 10, 1), date(2026, 3, 31)
SHIFTS = (-0.25, 0.25)  # mm, the two choices: a class rounder, a class flatter
USUAL, GOUGE = 10.5, 0.59  # mm, taken all along


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


@dataclass(frozen=True)
class Compared:
    """One choice against one diameter all along: as stated, and as it truly was.

    ``held`` says whether the interval of 80 in 100 held the true worth, ``off`` how far its
    middle was from it, ``wide`` how wide it was; ``brier`` scores "the plan was the better one".
    """

    held: bool
    off: float
    wide: float
    brier: float


def compared(seed: int) -> list[Compared]:
    """Return both choices of one invented workshop."""
    invented = invent(seed, drawn(np.random.default_rng(seed)))
    learned = learned_of(invented)
    history = judged(learned.reeds, invented.truth.wanted, GOUGE)
    keep = (history.day >= np.datetime64(FIRST)) & (history.day <= np.datetime64(LAST))
    reeds = history.where(keep)
    hindsight = hindsight_of(learned, learned.fit.draws(MEMBERS), reeds.row)
    gouge, usual = np.full(len(reeds), GOUGE), np.full(len(reeds), USUAL)
    known = true_share(invented, reeds, usual, GOUGE)
    found = []
    for shift in SHIFTS:
        rival = compare(
            hindsight, Choice("plan", usual + shift, gouge), Choice("usual", usual, gouge)
        )
        assert rival is not None
        truly = true_share(invented, reeds, usual + shift, GOUGE) - known
        found.append(
            Compared(
                held=rival.worth.p10 <= truly <= rival.worth.p90,
                off=rival.worth.p50 - truly,
                wide=rival.worth.p90 - rival.worth.p10,
                brier=(rival.probability - (truly > 0)) ** 2,
            )
        )
    return found


def run(*, quick: bool = False) -> list[Figure]:
    """Compare in 8 (quick) or 60 invented workshops."""
    workshops = [compared(seed) for seed in range(1, (8 if quick else 60) + 1)]
    every = [choice for workshop in workshops for choice in workshop]
    held = [100.0 * np.mean([choice.held for choice in workshop]) for workshop in workshops]
    error = float(np.std(held) / np.sqrt(len(held)))
    share = float(np.mean(held))
    return [
        Figure(
            f"true worth within its 80 % interval (± {error:.0f}), {len(workshops)} workshops",
            [share],
            "in 100",
            reach="80, within two standard errors",
            reached=abs(share - 80.0) <= 2.0 * error,
        ),
        Figure("worth off by, mean", [100 * float(np.mean([abs(c.off) for c in every]))], "in 100"),
        Figure("width of its interval, mean", [100 * float(np.mean([c.wide for c in every]))]),
        Figure(
            "Brier score of 'the plan was better'",
            [float(np.mean([c.brier for c in every]))],
            rival="a coin",
            rival_values=[0.25],
        ),
    ]
