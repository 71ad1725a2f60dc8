"""How many pieces change hands when tomorrow's forecast moves a little, and what the steps cost.

Run: python tests/benchmarks/plan_stability.py
Invented workshops of three places and twelve weeks, sixteen batches; overnight the best diameter
of the first three weeks moves at each place, as a forecast does, the weeks after only a little.
"""

from collections.abc import Callable, Sequence

import numpy as np
from harness import Figure

from planner.plan.allocation import Allocation, Problem, allocate, greedy, worth

PLACES, WEEKS, CLASSES, WORKSHOPS = 3, 12, 8, 60


def workshop(seed: int, moved: np.ndarray) -> Problem:
    """A workshop whose best diameters of the near weeks are moved, in mm, by place."""
    generator = np.random.default_rng(seed)
    middles = np.tile(9.6 + 0.25 * np.arange(CLASSES), 2)
    week, place = np.repeat(np.arange(WEEKS), PLACES), np.tile(np.arange(PLACES), WEEKS)
    best = 10.3 + 0.3 * np.sin(week / 4) + generator.normal(0, 0.3, PLACES)[place]
    best = best + moved[place] * np.select([week <= 2, week == 3], [1.0, 0.3], 0.0)
    return Problem(
        supply=generator.integers(0, 60, 2 * CLASSES),
        yields=np.repeat([0.55, 0.3], CLASSES),
        share=np.clip(0.78 - (middles[:, None] - best) ** 2, 0.02, 1.0),
        ready=week >= np.repeat([1, 2], CLASSES)[:, None],
        wanted=generator.integers(2, 9, len(week)).astype(float),
        new_share=np.where(week >= 5, 0.78, 0.0),
        week=week,
    )


def changed(rule: Callable[[Problem], Allocation], move: float, workshops: int) -> list[float]:
    """Of 100 pieces those that change hands overnight, in each workshop."""
    still, found = np.zeros(PLACES), []
    for seed in range(workshops):
        shift = np.random.default_rng(1000 + seed).normal(0, move, PLACES)
        before = rule(workshop(seed, still)).pieces
        after = rule(workshop(seed, shift)).pieces
        found.append(float(100 * np.abs(before - after).sum() / 2 / before.sum()))
    return found


def gains(workshops: int, *, in_steps: bool) -> list[float]:
    """Good reeds gained on the greedy rule, in 100, in each workshop."""
    found = []
    for seed in range(workshops):
        problem = workshop(seed, np.zeros(PLACES))
        plain = worth(problem, greedy(problem), in_steps=in_steps)
        found.append(100 * (worth(problem, allocate(problem), in_steps=in_steps) / plain - 1))
    return found


def run(*, quick: bool) -> Sequence[Figure]:
    """Good reeds against the greedy rule, and pieces that change hands, beside its own."""
    workshops = 15 if quick else WORKSHOPS
    stepped, true = gains(workshops, in_steps=True), gains(workshops, in_steps=False)
    figures = [
        Figure(
            "good reeds gained on the greedy rule, weighed alike, worst workshop",
            [min(stepped)],
            "in 100",
            reach="never below 0",
            reached=min(stepped) >= -1e-9,
        ),
        Figure("the same, shares as they are, mean", [float(np.mean(true))], "in 100"),
        Figure("the same, shares as they are, worst workshop", [min(true)], "in 100"),
    ]
    for move in (0.005, 0.02):
        ours, theirs = (
            float(np.mean(changed(rule, move, workshops))) for rule in (allocate, greedy)
        )
        figures.append(
            Figure(
                f"forecast moves {move} mm: pieces that change hands",
                [ours],
                "in 100",
                "greedy rule",
                [theirs],
                "fewer than the greedy rule",
                ours < theirs,
            )
        )
    return figures


if __name__ == "__main__":
    for figure in run(quick=False):
        print(f"{figure.what}: {figure.median:.2f} {figure.unit} {figure.rival_values}")
