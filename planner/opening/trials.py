"""The trial list: the few pieces that would teach the most about the coming plan."""

from dataclasses import dataclass

import numpy as np

from planner.opening.observations import Floats
from planner.opening.posterior import NAMES, Posterior

PIECES = 4  # of each trial: fewer drown in the spread from reed to reed
DIAMETER_STEP = 0.5  # mm, a class as it is sold (common practice, no source)
GOUGE_STEP = 0.02  # mm; more is near the maker's limits
WORTH_IT = 0.05  # least part by which a trial must cut the error to be named
SEASON = 2.0  # % moisture
LEAST_CHANGE = 0.25  # mm: a plan that keeps to one diameter would ask nothing of it


@dataclass(frozen=True)
class Trial:
    """Pieces to make side by side, half at each setting, and what they would bring.

    ``cut`` is the part by which the expected squared error of the diameter for a dry or humid
    spell, or of the gouge's effect, falls.
    """

    kind: str  # diameter, gouge
    first: float
    second: float
    pieces: int
    cut: float


@dataclass(frozen=True)
class Workable:
    """What the maker can sort and set: limits, and how finely cane is sorted. [mm]"""

    diameter: tuple[float, float] = (0.0, np.inf)
    gouge: tuple[float, float] = (0.0, np.inf)
    sorted_to: float = 0.25


UNLIMITED = Workable()


def trials_of(posterior: Posterior, workable: Workable) -> tuple[str, ...]:
    """Return the trials worth making as sentences, the most telling first."""
    return tuple(
        _words(trial) for trial in rank_trials(posterior, workable) if trial.cut >= WORTH_IT
    )


def rank_trials(posterior: Posterior, workable: Workable) -> list[Trial]:
    """Return the possible trials by what they would teach."""
    at = posterior.reference
    mean, covariance = moments_of(posterior)
    weight = plan_weight(mean)
    noise = float(sum(part.weight * part.spread**2 for part in posterior.components))
    wide = max(2.0 * workable.sorted_to, DIAMETER_STEP)
    found = []
    for kind, usual, step, limits in (
        ("diameter", at.diameter, wide, workable.diameter),
        ("gouge", at.gouge, 2.0 * GOUGE_STEP, workable.gouge),
    ):
        first, second = _settings(usual, step, limits)
        direction = np.zeros(len(NAMES))
        direction[NAMES.index(kind)] = second - first
        # The mean of so many reeds at each setting, one taken from the other.
        cut = error_cut(covariance, direction, 2.0 * noise / PIECES, weight)
        found.append(Trial(kind, first, second, 2 * PIECES, cut))
    return sorted(found, key=lambda trial: -trial.cut)


def _settings(usual: float, step: float, limits: tuple[float, float]) -> tuple[float, float]:
    """Two settings a step apart about the usual one, moved or drawn together to keep the limits."""
    low, high = limits
    first = max(min(usual - step / 2, high - step), low)
    return first, min(first + step, high)


def moments_of(posterior: Posterior) -> tuple[Floats, Floats]:
    """Return mean and covariance of the whole mixture."""
    mean, _ = posterior.moments()
    total = np.zeros((len(mean), len(mean)))
    for part in posterior.components:
        away = part.mean - mean
        total += part.weight * (part.covariance + np.outer(away, away))
    return mean, total


def plan_weight(mean: Floats) -> Floats:
    """Return the matrix whose product with the covariance is the plan's expected squared error.

    The plan goes wrong by the error of each effect times what it asks of it: (ΔD e_d)², (ΔM e_m)²
    and (ΔG e_g)², with ΔM the moisture that a season brings, ΔD the change of diameter that evens
    it out, and ΔG a step of the gouge. The first two aren't taken together, though the errors of
    cane that has always gone with the season cancel there: the plan also moves the diameter for a
    level that lies off, and away from what the maker has done by the season. The level's own error
    is left out, as no comparison of two settings takes it away.
    """
    steep = min(mean[NAMES.index("diameter")], -0.1)
    change = np.clip(-SEASON * mean[NAMES.index("moisture")] / steep, -1.0, 1.0)
    moves = np.zeros((3, len(NAMES)))
    moves[0, NAMES.index("diameter")] = max(abs(change), LEAST_CHANGE)
    moves[1, NAMES.index("moisture")] = SEASON
    moves[2, NAMES.index("gouge")] = GOUGE_STEP
    return np.asarray(moves.T @ moves, dtype=float)


def error_cut(covariance: Floats, direction: Floats, variance: float, weight: Floats) -> float:
    """Return the part of the expected squared error that an observation takes away.

    The observation is of ``direction`` times the unknowns, with that variance.
    """
    column = covariance @ direction
    after = covariance - np.outer(column, column) / (direction @ column + variance)
    return 1.0 - float(np.sum(weight * after) / np.sum(weight * covariance))


def _words(trial: Trial) -> str:
    half = trial.pieces // 2
    same = "gouge" if trial.kind == "diameter" else "diameter"
    what = "diameter" if trial.kind == "diameter" else "gouge"
    digits = 2 if trial.kind == "diameter" else 3
    return (
        f"Make {half} reeds at {trial.first:.{digits}f} mm and {half} at "
        f"{trial.second:.{digits}f} mm {what} from one lot in the same days, all else alike "
        f"(same {same}): that would take about {round(100 * trial.cut)} in 100 off what is unsure "
        "in the plan."
    )
