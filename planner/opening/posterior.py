"""The posterior as a mixture of normal distributions, one for each likely hyper-parameter."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from planner.opening.draws import EffectDraws, Reference
from planner.opening.evidence import normal_points
from planner.opening.gaussian import P
from planner.opening.jumps import possible_steps, stepped, unsettled
from planner.opening.observations import Floats
from planner.opening.propagation import Setting, State, effect_means
from planner.opening.rows import EFFECTS

LEAST_WEIGHT = 2e-3
NAMES = ("level", *EFFECTS)  # level: at the reference, as of the last judged reed


@dataclass(frozen=True)
class Component:
    """One normal distribution of the mixture: of :data:`NAMES`, and what goes with it. [mm]"""

    weight: float
    mean: Floats
    covariance: Floats
    spread: float
    wander: float
    middle: float
    width: float


def components(
    setting: Setting,
    states: Iterator[tuple[State, float]],
    weight: float,
    elsewhere: NDArray[np.bool_] | None = None,
) -> list[Component]:
    """Return the mixture over hyper-parameters and over sudden changes not settled yet.

    Their weights add to *weight*. *elsewhere* as in :func:`~planner.opening.jumps.unsettled`.
    """
    found = [
        part for state, share in states for part in _of_state(setting, state, share, elsewhere)
    ]
    total = sum(part.weight for part in found)
    return [replace(part, weight=weight * part.weight / total) for part in found]


def evened(parts: list[Component]) -> list[Component]:
    """Return the components that matter, their weights adding to 1."""
    least = LEAST_WEIGHT * sum(part.weight for part in parts) / len(parts)
    kept = [part for part in parts if part.weight >= least]
    total = sum(part.weight for part in kept)
    return [replace(part, weight=part.weight / total) for part in kept]


def _of_state(
    setting: Setting, state: State, weight: float, elsewhere: NDArray[np.bool_] | None
) -> Iterator[Component]:
    hypers, wanted = state.hypers, _functions(state.solution.scale)
    base = np.concatenate([[setting.level.mean], effect_means(setting.priors)])
    steps = possible_steps(setting, state)
    boundaries, odds = unsettled(setting, steps, elsewhere)
    every = 1.0 + float(odds.sum())
    rest = (np.hypot(hypers.noise, hypers.lot), hypers.wander, hypers.middle, hypers.width)
    plain = wanted @ state.solution.unit_covariance @ wanted.T
    mean = base + wanted @ state.solution.unit_mean
    yield Component(weight / every, mean, plain, float(rest[0]), *rest[1:])
    for boundary, chance in zip(boundaries.tolist(), odds.tolist(), strict=True):
        mean, covariance = stepped(state.solution, wanted, steps, boundary)
        yield Component(weight * chance / every, base + mean, covariance, float(rest[0]), *rest[1:])


def _functions(scale: Floats) -> Floats:
    """Last level and effects as functions (5, 4 + blocks) of the unknowns in prior spreads."""
    wanted = np.zeros((1 + P, len(scale)))
    wanted[0, P:] = scale[P:]
    wanted[1 + np.arange(P), np.arange(P)] = scale[:P]
    return wanted


@dataclass(frozen=True)
class Posterior:
    """The mixture, and the wanted range where the maker has set it (None: learned). [mm]"""

    reference: Reference
    components: tuple[Component, ...]
    wanted: tuple[float | None, float | None]
    wander_limit: float
    last_day: str | None

    def draws(self, size: int, seed: int) -> EffectDraws:
        """Draw from the mixture, each component in proportion to its weight."""
        chance = np.random.default_rng(seed)
        parts = self.components
        weight = np.array([part.weight for part in parts])
        # Evenly spaced picks: the mixture's own share of chance is kept out.
        marks = (np.arange(size) + chance.random()) / size
        picked = np.minimum(np.searchsorted(np.cumsum(weight), marks), len(parts) - 1)
        normal = normal_points(size, 1 + P)[chance.permutation(size)]
        roots = np.stack([_root(part.covariance) for part in parts])
        means = np.stack([part.mean for part in parts])
        values = means[picked] + np.einsum("kij,kj->ki", roots[picked], normal)
        column = {
            name: np.array([getattr(part, name) for part in parts])[picked]
            for name in ("spread", "wander", "middle", "width")
        }
        low, high = self.wanted
        return EffectDraws(
            self.reference,
            level=values[:, 0],
            diameter=values[:, 1],
            gouge=values[:, 2],
            moisture=values[:, 3],
            spread=column["spread"],
            wander=column["wander"],
            wander_limit=self.wander_limit,
            low=_limit(low, column["middle"] - column["width"] / 2),
            high=_limit(high, column["middle"] + column["width"] / 2),
            last_day=self.last_day,
        )

    def moments(self) -> tuple[Floats, Floats]:
        """Return mean and standard deviation of :data:`NAMES`."""
        weight = np.array([part.weight for part in self.components])
        means = np.stack([part.mean for part in self.components])
        variances = np.stack([np.diag(part.covariance) for part in self.components])
        mean = weight @ means
        return mean, np.sqrt(weight @ (variances + (means - mean) ** 2))


def _limit(fixed: float | None, learned: Floats) -> Floats:
    return learned if fixed is None else np.full(len(learned), fixed)


def _root(covariance: Floats) -> Floats:
    value, direction = np.linalg.eigh(covariance)
    return np.asarray(direction * np.sqrt(np.maximum(value, 0.0)), dtype=float)
