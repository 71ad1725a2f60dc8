"""What the plan rests on, from the plain values of history, model and weather."""

from collections.abc import Mapping, Sequence

import numpy as np

from planner.opening.draws import EffectDraws
from planner.opening.observations import UNJUDGED, Observations
from planner.plan.documents import Basis, Effect
from planner.spread import LEVELS

UNITS = {"diameter": "mm per mm", "gouge": "mm per mm", "moisture": "mm per % moisture"}


def basis(
    observations: Observations,
    draws: EffectDraws,
    *,
    grade: str,
    grade_why: str,
    from_history: Mapping[str, float],
    wanted_learned: bool,
    readings: int,
    weather_years: float,
    season_worth: str,
    notes: Sequence[str] = (),
) -> Basis:
    """Return what the plan rests on.

    Parameters
    ----------
    observations : the judged reeds
    draws : effects of the opening model
    grade, grade_why : how far the history carries, in a word and a sentence
    from_history : by the name of an effect the share (0 to 1) that the history has taught
    wanted_learned : True where the wanted range comes from verdicts alone
    readings : of the hygrometers
    weather_years : years of weather behind the bench
    season_worth : what going with the season is worth, in a sentence
    notes : what else should be known
    """
    day = observations.day
    return Basis(
        reeds=len(observations),
        with_mm=int(np.isfinite(observations.opening).sum()),
        with_verdict=int((observations.verdict != UNJUDGED).sum()),
        first_reed=day.min().item() if len(day) else None,
        last_reed=day.max().item() if len(day) else None,
        grade=grade,
        grade_why=grade_why,
        effects=tuple(_effect(name, draws, from_history.get(name, 0.0)) for name in UNITS),
        season_worth=season_worth,
        wanted_low_mm=float(np.median(draws.low)),
        wanted_high_mm=float(np.median(draws.high)),
        wanted_learned=wanted_learned,
        readings=readings,
        weather_years=weather_years,
        notes=tuple(notes),
    )


def _effect(name: str, draws: EffectDraws, from_history: float) -> Effect:
    low, middle, high = np.percentile(getattr(draws, name), LEVELS).tolist()
    return Effect(name, UNITS[name], middle, low, high, from_history)
