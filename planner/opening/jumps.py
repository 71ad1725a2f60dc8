"""Sudden changes of the level: a new knife, another way to scrape.

A wandering level follows a sudden change too late or, loosened, chases noise. So each boundary
between blocks is asked what it would gain by a step of its own, from the posterior at hand: the
odds of a step are a ratio of two normal densities of what the rows say of it.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from planner.opening.gaussian import P, Solution
from planner.opening.observations import Floats
from planner.opening.priors import Priors
from planner.opening.propagation import Setting, State, step_variance
from planner.opening.rows import Rows

NEIGHBOURS = 3  # boundaries either side
RARE = 0.05  # long stretches hold more than one chance of a change; one step can't tell them
LEAST_SAID = 0.25  # of what one plain reed says of a step
LATE_REEDS = 60
LEAST_ODDS = 0.01
MOST_UNSETTLED = 8
WORTH_A_LOOK = 0.1  # odds, before lots and wandering have made way for the step


@dataclass(frozen=True)
class Steps:
    """Possible steps of the level before each block but the first; arrays are (blocks - 1,).

    ``odds`` is that of a step here, now, to none anywhere; ``ratio`` the prior variance with a
    step over that without.
    """

    odds: Floats
    ratio: Floats


def possible_steps(setting: Setting, state: State) -> Steps:
    """Weigh a sudden change at each boundary against none."""
    variance = step_variance(setting, state.hypers)
    ratio = 1.0 + setting.priors.jump_sd**2 / variance
    mean, spread = _steps(state.solution)
    # What the rows say of the step, without its prior (in units of its prior spread).
    said = np.maximum(1.0 / spread - 1.0, 1e-12)
    about = mean / spread / said
    without, within = 1.0 + 1.0 / said, ratio + 1.0 / said
    gain = 0.5 * (np.log(without / within) + about**2 * (1.0 / without - 1.0 / within))
    chance = _chance(setting.rows, setting.priors)
    # A reed that counts as a slip pulls without saying how far; it is no evidence of a step.
    told = said >= LEAST_SAID * variance / state.hypers.noise**2
    open_still = (setting.jumps[1:] == 0.0) & told
    return Steps(np.where(open_still, chance * np.exp(np.minimum(gain, 50.0)), 0.0), ratio)


def _steps(solution: Solution) -> tuple[Floats, Floats]:
    return (
        solution.unit_mean[P + 1 :],
        np.diag(solution.unit_covariance)[P + 1 :],
    )


def _chance(rows: Rows, priors: Priors) -> Floats:
    """Prior odds of a sudden change at each boundary, by the reeds and the days since the last."""
    reeds = np.maximum((rows.block_reeds[:-1] + rows.block_reeds[1:]) / 2, 1.0)
    days = np.diff(rows.block_day)
    return np.minimum(np.minimum(reeds / priors.reeds_per_jump, days / priors.days_per_jump), RARE)


@dataclass(frozen=True)
class Candidate:
    """A setting with one step more, and its log odds to none as far as its neighbours share it.

    ``apart`` is the log of the prior odds of a step there, and of how many neighbours would do as
    well: what must be added to the gain in evidence.
    """

    setting: Setting
    odds: float
    apart: float


def likeliest(setting: Setting, steps: Steps) -> Candidate | None:
    """Return the likeliest step not admitted yet, None if all are unlikely.

    Neighbouring boundaries share the odds of one change, so they are counted together.
    """
    if not len(steps.odds):
        return None
    together = np.convolve(steps.odds, np.ones(2 * NEIGHBOURS + 1))[NEIGHBOURS:-NEIGHBOURS]
    if together.max() < WORTH_A_LOOK:
        return None
    middle = int(np.argmax(together))
    first = max(middle - NEIGHBOURS, 0)
    best = first + int(np.argmax(steps.odds[first : middle + NEIGHBOURS + 1]))
    jumps = setting.jumps.copy()
    jumps[1 + best] = setting.priors.jump_sd**2
    shared = together[middle] / steps.odds[best]
    return Candidate(
        replace(setting, jumps=jumps),
        float(np.log(together[middle])),
        float(np.log(_chance(setting.rows, setting.priors)[best] * shared)),
    )


def unsettled(setting: Setting, steps: Steps) -> tuple[NDArray[np.int64], Floats]:
    """Return late boundaries where a change is neither admitted nor ruled out, and their odds.

    A change long ago no longer moves the level of today.
    """
    after = np.cumsum(setting.rows.block_reeds[::-1])[::-1][1:]
    odds = np.where(after <= LATE_REEDS, steps.odds, 0.0)
    likely = np.flatnonzero(odds > LEAST_ODDS)
    likely = likely[np.argsort(-odds[likely])][:MOST_UNSETTLED]
    return likely, odds[likely]


def stepped(
    solution: Solution, wanted: Floats, steps: Steps, boundary: int
) -> tuple[Floats, Floats]:
    """Return mean and covariance of linear functions of the unknowns, with a step admitted.

    Parameters
    ----------
    solution : the posterior without the step
    wanted : (w, 4 + blocks) the functions, of the unknowns in prior spreads
    steps, boundary : which step
    """
    at = P + 1 + boundary
    looser = 1.0 - 1.0 / steps.ratio[boundary]
    column = solution.unit_covariance[:, at]
    gain = looser / (1.0 - looser * column[at])
    mean = solution.unit_mean + gain * solution.unit_mean[at] * column
    tied = wanted @ column
    covariance = wanted @ solution.unit_covariance @ wanted.T + gain * np.outer(tied, tied)
    return wanted @ mean, covariance
