"""Sudden changes of the level: a new knife, another way to scrape.

A wandering level follows a sudden change too late or, loosened, chases noise. So each boundary
between blocks is asked what it would gain by a step of its own, from the posterior at hand: the
odds of a step are a ratio of two normal densities of what the rows say of it.
"""

from collections.abc import Iterator
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
SLIPS_ON_END = 3  # by chance once in ten thousand reeds
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
    chance = chance_of_a_change(setting.rows, setting.priors)
    # A reed that counts as a slip pulls without saying how far; it is no evidence of a step.
    told = said >= LEAST_SAID * variance / state.hypers.noise**2
    open_still = (setting.jumps[1:] == 0.0) & told
    return Steps(np.where(open_still, chance * np.exp(np.minimum(gain, 50.0)), 0.0), ratio)


def _steps(solution: Solution) -> tuple[Floats, Floats]:
    return (
        solution.unit_mean[P + 1 :],
        np.diag(solution.unit_covariance)[P + 1 :],
    )


def chance_of_a_change(rows: Rows, priors: Priors) -> Floats:
    """Prior odds of a sudden change at each boundary, by the reeds and the days since the last."""
    reeds = (rows.block_reeds[:-1] + rows.block_reeds[1:]) / 2
    days = np.diff(rows.block_day)
    return np.minimum(np.minimum(reeds / priors.reeds_per_jump, days / priors.days_per_jump), RARE)


@dataclass(frozen=True)
class Candidate:
    """A setting with one step more, which stands for those at the boundaries beside it too.

    Attributes
    ----------
    setting : with the step
    start : what the search for its posterior starts from; None for a fresh start
    apart : log of the prior odds of a step there, and of how many neighbours would do as well:
        what must be added to the gain in evidence
    stands_for : (blocks - 1,) the boundaries meant
    """

    setting: Setting
    start: State | None
    apart: float
    stands_for: NDArray[np.bool_]


def candidates(setting: Setting, state: State) -> Iterator[Candidate]:
    """Yield steps not admitted yet that are worth a look."""
    steps = possible_steps(setting, state)
    if len(steps.odds):
        yield from _likeliest(setting, state, steps)
        yield from _before_slips(setting, state)


def _likeliest(setting: Setting, state: State, steps: Steps) -> Iterator[Candidate]:
    """Yield the likeliest step, unless all are unlikely.

    Neighbouring boundaries share the odds of one change, so they are counted together.
    """
    together = np.convolve(steps.odds, np.ones(2 * NEIGHBOURS + 1))[NEIGHBOURS:-NEIGHBOURS]
    if together.max() < WORTH_A_LOOK:
        return
    middle = int(np.argmax(together))
    beside = _beside(middle)
    best = beside.start + int(np.argmax(steps.odds[beside]))
    yield _candidate(setting, best, beside, together[middle] / steps.odds[best], state)


def _before_slips(setting: Setting, state: State) -> Iterator[Candidate]:
    """Yield the step before the longest run of reeds that count as slips in one direction.

    Far enough off, each reed after a change is likelier a slip than a part of what came before,
    and then none is evidence of a step. One slip is none; several on end are.
    """
    rows = setting.rows
    way = _slips(setting, state)
    ends = np.flatnonzero(np.diff(way, prepend=0, append=0))
    lengths = np.where(way[ends[:-1]] != 0, np.diff(ends), 0)
    if lengths.max(initial=0) < SLIPS_ON_END:
        return
    boundary = int(rows.block[ends[int(np.argmax(lengths))]]) - 1
    if boundary >= 0 and setting.jumps[1 + boundary] == 0.0:
        yield _candidate(setting, boundary, _beside(boundary), 1.0, None)


def _slips(setting: Setting, state: State) -> NDArray[np.int8]:
    """Which way each row is off if it counts as a slip, else 0, (n,)."""
    rows, priors = setting.rows, setting.priors
    density = np.where(rows.measured, 1.0 / priors.mistake_span, 1.0 / 3.0)
    slip = priors.mistake * density > 0.5 * np.exp(state.term.log)
    felt = rows.verdict * (state.hypers.width / 2) + state.hypers.middle
    off = np.where(rows.measured, rows.opening, felt) - state.offset - state.cavity_mean
    return np.where(slip, np.sign(off), 0).astype(np.int8)


def _beside(boundary: int) -> slice:
    return slice(max(boundary - NEIGHBOURS, 0), boundary + NEIGHBOURS + 1)


def _candidate(
    setting: Setting, boundary: int, beside: slice, shared: float, start: State | None
) -> Candidate:
    jumps = setting.jumps.copy()
    jumps[1 + boundary] = setting.priors.jump_sd**2
    stands_for = np.zeros(len(jumps) - 1, dtype=np.bool_)
    stands_for[beside] = True
    apart = float(np.log(chance_of_a_change(setting.rows, setting.priors)[boundary] * shared))
    return Candidate(replace(setting, jumps=jumps), start, apart, stands_for)


def unsettled(
    setting: Setting, steps: Steps, elsewhere: NDArray[np.bool_] | None = None
) -> tuple[NDArray[np.int64], Floats]:
    """Return late boundaries where a change is neither admitted nor ruled out, and their odds.

    A change long ago no longer moves the level of today. *elsewhere* marks the boundaries
    (blocks - 1,) whose changes are reckoned in another view of the history.
    """
    after = np.cumsum(setting.rows.block_reeds[::-1])[::-1][1:]
    odds = np.where(after <= LATE_REEDS, steps.odds, 0.0)
    if elsewhere is not None:
        odds = np.where(elsewhere, 0.0, odds)
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
