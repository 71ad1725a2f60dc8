"""How many pieces change hands when tomorrow's forecast moves a little, and what the steps cost.

Run: python tests/benchmarks/plan_stability.py
Invented workshops of three places and twelve weeks, sixteen batches; overnight the best diameter
of the first three weeks moves at each place, as a forecast does, the weeks after only a little.
"""

import numpy as np

from planner.plan.allocation import Problem, allocate, greedy, worth

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


def main() -> None:
    """Print the pieces that change hands, for the plan and for the greedy rule."""
    still = np.zeros(PLACES)
    gain = []
    for seed in range(WORKSHOPS):
        problem = workshop(seed, still)
        plain = worth(problem, greedy(problem))
        gain.append(100 * (worth(problem, allocate(problem)) / plain - 1))
    print(f"good reeds against the greedy rule: {np.mean(gain):+.2f} %, worst {min(gain):+.2f} %")
    for move in (0.005, 0.02):
        for name, rule in (("plan", allocate), ("greedy", greedy)):
            changed = []
            for seed in range(WORKSHOPS):
                shift = np.random.default_rng(1000 + seed).normal(0, move, PLACES)
                before = rule(workshop(seed, still)).pieces
                after = rule(workshop(seed, shift)).pieces
                changed.append(100 * np.abs(before - after).sum() / 2 / before.sum())
            print(
                f"forecast moves {move} mm, {name:6}: {np.mean(changed):4.1f} in 100 pieces on "
                f"average, {np.median(changed):4.1f} median"
            )


if __name__ == "__main__":
    main()
