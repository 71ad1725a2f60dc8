"""The opening model: fitted to a history of judged reeds, kept, and drawn from."""

from dataclasses import dataclass
from datetime import date

import numpy as np

from planner.opening.draws import EffectDraws, Reference
from planner.opening.explain import (
    FittedEffect,
    cannot_tell,
    effects_of,
    grade_of,
    notes_on_data,
    notes_on_fit,
    season_diameter_sd,
)
from planner.opening.fitting import Fitted, fit_rows
from planner.opening.misfit import notes_on_misfit
from planner.opening.observations import Observations
from planner.opening.posterior import Posterior
from planner.opening.priors import PRIORS, Priors
from planner.opening.residuals import Residuals, residuals_of
from planner.opening.rows import make_rows
from planner.opening.trials import UNLIMITED, Workable, trials_of


@dataclass(frozen=True)
class OpeningFit:
    """What the history and the prior say together.

    Attributes
    ----------
    posterior : the mixture that is drawn from
    effects : diameter, gouge and moisture
    grade, grade_why : how far the history carries, in a word and a sentence
    notes : what else should be known, in sentences
    residuals : of every reed of the history
    trials : which few trial pieces would teach the most, in sentences
    """

    posterior: Posterior
    effects: tuple[FittedEffect, ...]
    grade: str
    grade_why: str
    notes: tuple[str, ...]
    residuals: Residuals
    trials: tuple[str, ...]

    def draws(self, size: int = 400, seed: int = 0) -> EffectDraws:
        """Return joint draws of all that decides how far a coming reed stands open."""
        return self.posterior.draws(size, seed)


def fit_opening(
    observations: Observations,
    *,
    reference: Reference,
    wanted: tuple[float | None, float | None],
    workable: Workable = UNLIMITED,
    as_of: date | None = None,
    resolution: float = 0.0,
    priors: Priors = PRIORS,
) -> OpeningFit:
    """Fit the opening model.

    Parameters
    ----------
    observations : the judged reeds
    reference : the maker's usual diameter and gouge, and a usual moisture: the effects are
        centred there
    wanted : the wanted range [mm]; None where a limit is to be learned
    workable : what the maker can sort and set, for the grade and the trial pieces
    as_of : reeds judged after this day aren't used
    resolution : how finely openings are read; coarser where the readings show it. [mm]
    priors : what is believed before the first reed

    Raises
    ------
    ValueError
        If the wanted range is empty.
    """
    low, high = wanted
    if low is not None and high is not None and not low < high:
        raise ValueError(f"wanted range from {low:g} to {high:g} mm: the lower limit comes first")
    known = observations if as_of is None else until(observations, as_of)
    rows = make_rows(known, reference, priors, resolution)
    fitted = fit_rows(rows, wanted, priors)
    posterior = Posterior(
        reference,
        fitted.components,
        learned_range(fitted, wanted),
        priors.wander_limit,
        str(known.day[rows.kept[-1]]) if len(rows) else None,
    )
    effects = effects_of(posterior, priors)
    grade, why = grade_of(len(rows), effects, season_diameter_sd(posterior), workable.sorted_to)
    return OpeningFit(
        posterior,
        effects,
        grade,
        why,
        (
            *notes_on_data(observations, known, rows),
            *notes_on_fit(fitted, wanted),
            *notes_on_misfit(known, fitted.setting, fitted.state),
            *cannot_tell(rows),
        ),
        residuals_of(observations, fitted.setting, fitted.state),
        trials_of(posterior, workable),
    )


def until(observations: Observations, day: date) -> Observations:
    """Return the observations up to a day."""
    known = observations.day <= np.datetime64(day, "D")
    return observations if known.all() else observations.at(known)


def learned_range(
    fitted: Fitted, wanted: tuple[float | None, float | None]
) -> tuple[float | None, float | None]:
    """Return the wanted range; where nothing tells it, one about the maker's own openings.

    A limit stays None where verdicts teach it.
    """
    if wanted != (None, None) or "width" in fitted.prior.active:
        return wanted
    half = fitted.prior.start.width / 2
    middle = fitted.prior.start.middle
    return middle - half, middle + half
