"""Whether the opening model is as unsure as it should be: simulation-based calibration at length.

Over invented workshops whose truth comes from the model's own priors, for every size of history,
what is noted and how the maker chooses; then for makers who break the model's assumptions. For
each it gives how often 80 % intervals hold the truth, whether the truth's places among the draws
are uniform, and the share of good reeds promised for the recommended cane less the true one. Of the
quantities, *share* is that of usual cane in a dry week and *season* what following the season is
worth over a year.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import product

import numpy as np
from harness import Figure
from prior_workshops import (
    CHOOSES,
    KINDS,
    QUANTITIES,
    REFERENCE,
    WANTED,
    Workshop,
    places,
    uniformity,
    workshop,
)

from planner.opening.draws import EffectDraws
from planner.opening.model import fit_opening
from planner.opening.priors import PRIORS
from planner.opening.shares import share_in_range
from planner.plan.grid import Grid
from planner.plan.limits import Limits
from planner.plan.season import gains_of_season

SIZES = (0, 5, 20, 60, 200, 1000)
DIAMETERS = np.arange(9.5, 11.51, 0.125)
MOISTURES = np.array([6.5, 7.5, 8.5, 9.5, 10.5])
BROKEN = {
    "sudden change of 0.12 mm": {"shift": 0.12},
    "5 in 100 slips": {"slips": 0.05 - PRIORS.mistake},
    "lots not noted": {"lots": False},
}
STATED, POINTS = 80.0, 2.5
EVEN = 0.001  # less likely than that, places aren't uniform
PER_CELL, PER_BROKEN = 60, 150
CLASSES = 5  # of promised shares


@dataclass(frozen=True)
class Seen:
    """One workshop: its size, kind and habit, places by quantity, and shares promised and true."""

    size: int
    kind: str
    chooses: str
    place: tuple[float, ...]
    promised: float
    true: float


def examine(seed: int, size: int, kind: str, chooses: str, **broken: float) -> Seen:
    """Draw a workshop, fit it, and hold posterior and recommendation against the truth."""
    chance = np.random.default_rng([seed, size, KINDS.index(kind), CHOOSES.index(chooses)])
    truth = workshop(chance, size, kind, chooses, **broken)
    fit = fit_opening(truth.history, reference=REFERENCE, wanted=WANTED)
    draws = fit.draws(400, seed)
    place = (*places(truth, draws).values(), season(truth, draws, chance))
    return Seen(size, kind, chooses, place, *promise(truth, draws))


def season(truth: Workshop, draws: EffectDraws, chance: np.random.Generator) -> float:
    """Return the place of the true worth of following the season among the draws' worths.

    Where one diameter is best for all weeks the worth is nothing in every draw and in truth; a
    place by chance is due to such a tie.
    """
    gains, by_week, for_all = gains_of_season(draws, MOISTURES[None], Grid(Limits()))
    true = float((truth.share(by_week, MOISTURES) - truth.share(for_all, MOISTURES)).mean())
    tied = np.abs(gains - true) < 1e-6
    return float(np.mean((gains < true) & ~tied) + chance.random() * tied.mean())


def promise(truth: Workshop, draws: EffectDraws) -> tuple[float, float]:
    """Return the share promised and true for the best diameters over a year's moistures."""
    gouge = np.array([REFERENCE.gouge])
    moisture = np.tile(MOISTURES, (len(draws), 1))
    share = share_in_range(draws, DIAMETERS, gouge, moisture, np.zeros(len(MOISTURES)))[:, :, 0]
    best = share.argmax(axis=1)
    true = truth.share(DIAMETERS[best], MOISTURES)
    return float(share.max(axis=1).mean()), float(true.mean())


def run(*, quick: bool = False) -> list[Figure]:
    """Examine workshops of every size, kind and habit, and those that break the model."""
    per_cell, per_broken = (6, 30) if quick else (PER_CELL, PER_BROKEN)
    seen = [
        examine(seed, size, kind, chooses)
        for size, kind, chooses in product(SIZES, KINDS, CHOOSES)
        for seed in range(per_cell)
    ]
    figures = figures_of("all", seen)
    for size in SIZES:
        figures += figures_of(f"{size} reeds", [s for s in seen if s.size == size])
    for kind in KINDS:
        figures += figures_of(kind, [s for s in seen if s.kind == kind])
    for chooses in CHOOSES:
        figures += figures_of(f"chooses {chooses}", [s for s in seen if s.chooses == chooses])
    figures += by_promise(seen)
    for name, broken in BROKEN.items():
        figures += figures_of(
            name,
            [
                examine(seed, size, KINDS[seed % 3], CHOOSES[seed // 3 % 3], **broken)
                for size in SIZES[1:]
                for seed in range(per_broken)
            ],
        )
    return figures


def figures_of(name: str, seen: list[Seen]) -> list[Figure]:
    """Return coverage, uniformity and the error of the promise over some workshops."""
    place = np.array([s.place for s in seen])
    held = 100 * ((place >= 0.1) & (place <= 0.9)).mean(axis=0)
    band = 3 * 100 * np.sqrt(0.16 / len(seen))
    even = [uniformity(column) for column in place.T]
    off = 100 * np.array([s.promised - s.true for s in seen])
    return [
        Figure(
            f"{name}: 80 % intervals hold {_listed(held)}",
            held.tolist(),
            "in 100",
            reach=f"{STATED:g} within {band:.1f}, each",
            reached=bool(np.all(np.abs(held - STATED) <= band)),
        ),
        Figure(
            f"{name}: how likely so uneven",
            even,
            reach=f"above {EVEN:g}, each",
            reached=min(even) > EVEN,
        ),
        Figure(
            f"{name}: share promised less true, mean",
            [float(off.mean())],
            "points",
            reach=f"within {POINTS:g}",
            reached=abs(float(off.mean())) <= POINTS,
        ),
    ]


def by_promise(seen: list[Seen]) -> list[Figure]:
    """Return the error of the promise from low to high promises: 60 in 100 must be 60."""
    promised = np.array([s.promised for s in seen])
    edges = np.quantile(promised, np.arange(1, CLASSES) / CLASSES)
    row = np.searchsorted(edges, promised)
    off = 100 * np.array([s.promised - s.true for s in seen])
    return [
        Figure(
            f"promised about {100 * promised[row == i].mean():.0f} in 100: less true, mean",
            [float(off[row == i].mean())],
            "points",
            reach=f"within {POINTS:g}",
            reached=abs(float(off[row == i].mean())) <= POINTS,
        )
        for i in range(CLASSES)
    ]


def _listed(held: Iterable[float]) -> str:
    return ", ".join(
        f"{n} {value:.0f}" for n, value in zip((*QUANTITIES, "season"), held, strict=True)
    )
