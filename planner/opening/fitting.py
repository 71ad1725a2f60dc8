"""From rows to posterior: hyper-parameters, sudden changes, and the mixture over what is unsure."""

from dataclasses import dataclass, replace

import numpy as np

from planner.opening.evidence import Peak, Surface, around, climb, first_inverse
from planner.opening.gaussian import P
from planner.opening.hypers import HyperPrior, hyper_prior
from planner.opening.jumps import possible_steps, with_likeliest
from planner.opening.observations import Floats
from planner.opening.posterior import Component, components
from planner.opening.priors import Normal, Priors
from planner.opening.propagation import Setting, State, effect_means, propagate
from planner.opening.rows import EFFECTS, Rows, latest

MANY_ROWS = 3000  # beyond, hyper-parameters are sharp and their best values will do
MOST_JUMPS = 40


@dataclass(frozen=True)
class Fitted:
    """The parts of a fit that explanations are made from."""

    setting: Setting
    prior: HyperPrior
    peak: Peak
    components: tuple[Component, ...]

    @property
    def state(self) -> State:
        """The posterior under the best hyper-parameters."""
        return self.peak.state

    @property
    def converged(self) -> bool:
        """True if neither the sites nor the search gave up."""
        return self.peak.found and self.peak.state.converged


def fit_rows(rows: Rows, wanted: tuple[float | None, float | None], priors: Priors) -> Fitted:
    """Fit the model to rows."""
    prior = hyper_prior(rows, wanted, priors)
    if len(rows) > MANY_ROWS:
        # A long history's latest part already says nearly all about the noise and the lots.
        prior = replace(prior, start=fit_rows(latest(rows, MANY_ROWS), wanted, priors).state.hypers)
    squares = np.array([getattr(priors, name) for name in EFFECTS[:3]], dtype=object)
    setting = Setting(
        rows,
        priors,
        level_prior(rows, prior, wanted, priors),
        np.zeros(len(rows.block_day)),
        np.array([normal.mean**2 + normal.sd**2 for normal in squares]),
    )
    setting = _with_slopes(setting, propagate(setting, prior.start))
    peak = climb(Surface(setting, prior), prior.pack(prior.start), first_inverse(prior, len(rows)))
    setting, peak = _with_jumps(setting, prior, peak)
    setting = _with_slopes(setting, peak.state)
    surface = Surface(setting, prior, peak.state)
    peak = climb(surface, peak.vector, peak.inverse)
    states = around(surface, peak, _points(len(rows)))
    return Fitted(setting, prior, peak, tuple(components(setting, states)))


def level_prior(
    rows: Rows, prior: HyperPrior, wanted: tuple[float | None, float | None], priors: Priors
) -> Normal:
    """Return what is believed of the level before the first reed.

    With a wanted range, or verdicts alone, a maker's usual cane gives about what is wanted.
    """
    if wanted != (None, None) or not rows.measured.any():
        return Normal(prior.start.middle, priors.level_about_range)
    return priors.level


def _points(rows: int) -> int:
    """How many sets of hyper-parameters are averaged over."""
    if rows > MANY_ROWS:
        return 1
    return 8 if rows > 400 else 24


def _with_slopes(setting: Setting, state: State) -> Setting:
    """Return the setting with the mean square of the effects as now believed."""
    scale = state.solution.scale[:P]
    mean = effect_means(setting.priors) + scale * state.solution.unit_mean[:P]
    variance = scale**2 * np.diag(state.solution.unit_covariance)[:P]
    square: Floats = mean**2 + variance
    return replace(setting, slope_square=square[:3])


def _with_jumps(setting: Setting, prior: HyperPrior, peak: Peak) -> tuple[Setting, Peak]:
    """Admit sudden changes one by one while one more is likelier than not."""
    for _ in range(3):
        wider, state = setting, peak.state
        for _ in range(MOST_JUMPS):
            admitted = with_likeliest(wider, possible_steps(wider, state))
            if admitted is None:
                break
            wider = admitted
            state = propagate(wider, state.hypers, state.sites)
        if wider is setting:
            break
        setting = wider
        peak = climb(Surface(setting, prior, state), peak.vector, peak.inverse)
    return setting, peak
