"""Rivals of the opening model that are told some of the truth of an invented workshop."""

from dataclasses import replace

import numpy as np
from opening_workshops import EFFECTS, LEVEL_SD, REFERENCE, Habit, Truth

from planner.opening.draws import EffectDraws
from planner.opening.hypers import Hypers
from planner.opening.model import OpeningFit, fit_opening
from planner.opening.observations import Observations
from planner.opening.posterior import Posterior, components
from planner.opening.priors import PRIORS, Normal
from planner.opening.propagation import Setting, propagate
from planner.opening.rows import make_rows


def known(truth: Truth, members: int) -> EffectDraws:
    """Draws of whoever knows the effects."""

    def sure(value: float):
        return np.full(members, value)

    return EffectDraws(
        REFERENCE,
        level=sure(truth.level),
        diameter=sure(truth.diameter),
        gouge=sure(truth.gouge),
        moisture=sure(truth.moisture),
        spread=sure(truth.spread),
        wander=sure(0.0),
        wander_limit=0.0,
        low=sure(truth.low),
        high=sure(truth.high),
    )


def told(history: Observations, truth: Truth, family: str, habit: Habit) -> Posterior:
    """What the rows teach whoever knows all the rest, and how the truths of a family are spread.

    All the rest: noise, lots, verdict limits, the share of slips, and when and how far the level
    changed.
    """
    slips = max(habit.slips, 1e-6)
    sure = replace(PRIORS, jump_sd=1e-6, mistake=slips, **EFFECTS[family])
    rows = make_rows(history, REFERENCE, sure)
    middle, width = (truth.low + truth.high) / 2, truth.high - truth.low
    jumps = np.zeros(len(rows.block_day))
    if habit.shift:
        jumps[rows.block[2 * len(rows) // 3]] = habit.shift**2
    level = Normal(middle, LEVEL_SD[family])
    setting = Setting(rows, sure, level, jumps, np.zeros(3))
    hypers = Hypers(truth.noise, max(truth.lot, 1e-4), 1e-6, middle, width, judgement=1e-3)
    states = iter([(propagate(setting, hypers), 1.0)])
    parts = components(setting, states, 1.0)
    return Posterior(REFERENCE, tuple(parts), (truth.low, truth.high), 0.0, None)


def told_effects(history: Observations, truth: Truth) -> OpeningFit:
    """The model's own fit once it is told the effects."""
    sure = {name: Normal(getattr(truth, name), 1e-4) for name in EFFECTS["usual"]}
    return fit_opening(
        history,
        reference=REFERENCE,
        wanted=(truth.low, truth.high),
        priors=replace(PRIORS, **sure),
    )
