"""From rows to posterior: hyper-parameters, sudden changes, and the mixture over what is unsure."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from planner.opening.evidence import Peak, Surface, around, climb, first_inverse
from planner.opening.gaussian import P
from planner.opening.hypers import HyperPrior, Hypers, hyper_prior
from planner.opening.jumps import candidates
from planner.opening.observations import Floats
from planner.opening.posterior import Component, components, evened
from planner.opening.priors import Normal, Priors
from planner.opening.propagation import Setting, State, effect_means, propagate
from planner.opening.rows import EFFECTS, Rows, latest

MANY_ROWS = 3000  # beyond, hyper-parameters are sharp and their best values will do
MOST_JUMPS = 20
LEAST_DOUBT = 0.03  # odds below which a sudden change counts as ruled out


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
        late = latest(rows, MANY_ROWS)
        view, *_ = _views_of(late, hyper_prior(late, wanted, priors), wanted, priors)
        prior = replace(prior, start=view.peak.state.hypers)
    views = _views_of(rows, prior, wanted, priors)
    parts: list[Component] = []
    for view in views:
        surface = Surface(view.setting, prior, view.peak.state)
        states = around(surface, view.peak, max(1, _points(len(rows)) // len(views)))
        parts += components(view.setting, states, view.weight, view.elsewhere)
    return Fitted(views[0].setting, prior, views[0].peak, tuple(evened(parts)))


@dataclass(frozen=True)
class _View:
    """A history with certain sudden changes admitted, and how likely that is.

    ``elsewhere`` (blocks - 1,) marks the boundaries whose changes are another view's.
    """

    setting: Setting
    peak: Peak
    weight: float
    elsewhere: NDArray[np.bool_] | None = None


def _views_of(
    rows: Rows, prior: HyperPrior, wanted: tuple[float | None, float | None], priors: Priors
) -> list[_View]:
    """Return the views of a history at their best hyper-parameters, the likeliest first."""
    effects = [getattr(priors, name) for name in EFFECTS[:3]]
    setting = Setting(
        rows,
        priors,
        level_prior(rows, prior, wanted, priors),
        np.zeros(len(rows.block_day)),
        np.array([normal.mean**2 + normal.sd**2 for normal in effects]),
    )
    setting = _with_slopes(setting, propagate(setting, prior.start))
    peak = climb(Surface(setting, prior), prior.pack(prior.start), first_inverse(prior, len(rows)))
    return [_settled(view, prior) for view in _views(setting, prior, peak)]


def _settled(view: _View, prior: HyperPrior) -> _View:
    """Return the view with the mean square of its own effects, at its best hyper-parameters."""
    setting = _with_slopes(view.setting, view.peak.state)
    surface = Surface(setting, prior, view.peak.state)
    return replace(view, setting=setting, peak=climb(surface, view.peak.vector, view.peak.inverse))


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
    # The shorter a history, the less its evidence is of the normal shape that points stand for.
    return 24 if rows > 60 else 48 if rows > 12 else 96


def _with_slopes(setting: Setting, state: State) -> Setting:
    """Return the setting with the mean square of the effects as now believed."""
    scale = state.solution.scale[:P]
    mean = effect_means(setting.priors) + scale * state.solution.unit_mean[:P]
    variance = scale**2 * np.diag(state.solution.unit_covariance)[:P]
    square: Floats = mean**2 + variance
    return replace(setting, slope_square=square[:3])


def _views(setting: Setting, prior: HyperPrior, peak: Peak) -> list[_View]:
    """Admit sudden changes one by one while one more is likelier than not.

    A change that isn't admitted makes the lots and the wandering look larger than they are, and
    these then explain it away. So candidates are sought with both no larger than usual, and
    judged by the best evidence that each side can show. Where the last one is in doubt, the view
    with it and the view without it are both returned, the likelier first.
    """
    doubt: list[_View] = []
    elsewhere = None
    for _ in range(MOST_JUMPS):
        best = _best_step(setting, prior, peak)
        if best is None:
            break
        view, stands_for = best
        if view.weight < 1.0:
            doubt = [view]
            elsewhere = stands_for if view.weight >= LEAST_DOUBT else None
            break
        doubt = [_View(setting, peak, 1.0 / view.weight, stands_for)]
        setting, peak = view.setting, view.peak
    views = [view for view in doubt if view.weight >= LEAST_DOUBT]
    return [_View(setting, peak, 1.0, elsewhere), *views]


def _calm(hypers: Hypers, prior: HyperPrior) -> Hypers:
    """Return the hyper-parameters with lots and wandering no larger than usual."""
    usual = prior.start
    return replace(hypers, lot=min(hypers.lot, usual.lot), wander=min(hypers.wander, usual.wander))


def _best_step(
    setting: Setting, prior: HyperPrior, peak: Peak
) -> tuple[_View, NDArray[np.bool_]] | None:
    """Return the view with the likeliest step more, its weight the odds, and what it stands for."""
    calm = _calm(peak.state.hypers, prior)
    state = propagate(setting, calm, peak.state.sites)
    found = []
    for candidate in candidates(setting, state):
        surface = Surface(candidate.setting, prior, candidate.start)
        better = climb(surface, prior.pack(calm), peak.inverse)
        odds = float(np.exp(np.clip(better.height - peak.height + candidate.apart, -50.0, 50.0)))
        found.append((_View(candidate.setting, better, odds), candidate.stands_for))
    return max(found, key=lambda pair: pair[0].weight, default=None)
