"""The fit in plain words: the effects, how far the history carries, and what it can't tell."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from planner.opening.fitting import Fitted
from planner.opening.observations import Observations
from planner.opening.posterior import NAMES, Posterior
from planner.opening.priors import Priors
from planner.opening.rows import Rows
from planner.spread import TENTH

UNITS = {"diameter": "mm per mm", "gouge": "mm per mm", "moisture": "mm per % moisture"}
SEASON = 2.0  # % moisture from the middle of the year to its dry or humid end
FEW_REEDS, SOME_REEDS = 12, 60
SEASONAL, MAINLY = ("diameter", "moisture"), 0.5
TOGETHER = 0.8  # correlation above which two things can't be told apart
SAID = {"moisture": "season"}
STILL = {"diameter": 0.05, "gouge": 0.003, "moisture": 0.3}  # spread under which nothing shows


@dataclass(frozen=True)
class FittedEffect:
    """One effect: its estimate with the 10th and 90th percentile.

    ``from_history`` is the share (0 to 1) of what is known of it that the history has taught: one
    less the ratio of the variances after and before.
    """

    name: str
    unit: str
    estimate: float
    p10: float
    p90: float
    from_history: float


def effects_of(posterior: Posterior, priors: Priors) -> tuple[FittedEffect, ...]:
    """Return the effects of diameter, gouge and moisture."""
    mean, sd = posterior.moments()
    found = []
    for name, unit in UNITS.items():
        i = NAMES.index(name)
        taught = 1.0 - (sd[i] / getattr(priors, name).sd) ** 2
        low, high = mean[i] - TENTH * sd[i], mean[i] + TENTH * sd[i]
        found.append(
            FittedEffect(
                name, unit, float(mean[i]), float(low), float(high), float(np.clip(taught, 0, 1))
            )
        )
    return tuple(found)


def grade_of(
    reeds: int, effects: Sequence[FittedEffect], season_sd: float, sorted_to: float
) -> tuple[str, str]:
    """Return how far the history carries, in a word and a sentence.

    The rule: *none* without reeds; *thin* under 12 reeds, or while neither the effect of diameter
    nor that of moisture is known mainly (by half) from the history; *fair* under 60 reeds, or
    while one of the two isn't, or while the diameter that keeps the openings where they are from
    one end of the season to the other is unsure (standard deviation) by more than one sorting
    step; else *good*.

    Parameters
    ----------
    reeds : that say something of their opening
    effects : as fitted
    season_sd : how unsure the diameter for a dry or humid spell is. [mm]
    sorted_to : how finely the maker sorts. [mm]
    """
    if not reeds:
        return "none", "No reed is on record: this rests on general knowledge alone."
    own = [
        effect.name
        for effect in effects
        if effect.name in SEASONAL and effect.from_history >= MAINLY
    ]
    if not own:
        return "thin", (
            "the effects of diameter and moisture still rest mainly on general knowledge."
        )
    effect = "effects" if len(own) > 1 else "effect"
    comes = "come" if len(own) > 1 else "comes"
    carries = f"the {effect} of {' and '.join(own)} {comes} mainly from these reeds"
    if reeds < FEW_REEDS:
        return "thin", f"{carries}, but under {FEW_REEDS} reeds may be a lucky run."
    unsure = f"the diameter for a dry or humid spell is known to about {season_sd:.2f} mm"
    if reeds < SOME_REEDS or len(own) < len(SEASONAL) or season_sd > sorted_to:
        return "fair", f"{carries}; {unsure}."
    return "good", f"{carries}; {unsure}, within a sorting step of {sorted_to:g} mm."


def season_diameter_sd(posterior: Posterior) -> float:
    """Return how unsure the change of diameter for the dry end of a season is. [mm]

    Half the distance from the 16th to the 84th percentile, so that a draw without any effect of
    diameter doesn't count beyond all measure.
    """
    draws = posterior.draws(1000, 0)
    steep = np.minimum(draws.diameter, -0.02)
    change = SEASON * draws.moisture / steep
    low, high = np.percentile(change, [16.0, 84.0])
    return float((high - low) / 2)


def notes_on_data(observations: Observations, known: Observations, rows: Rows) -> Iterator[str]:
    """Yield what was left out of the history, or taken in another sense."""
    if len(observations) > len(known):
        later = len(observations) - len(known)
        yield f"{later} {'reed' if later == 1 else 'reeds'} judged later {_is(later)} not used."
    unused = len(known) - len(rows)
    if unused:
        one = unused == 1
        yield (
            f"{unused} {'reed says' if one else 'reeds say'} nothing of "
            f"{'its' if one else 'their'} opening or diameter and "
            f"{_is(unused)} not used."
        )
    if rows.all_dry:
        yield (
            "All openings were measured on dry reeds, so the openings shown and the wanted range "
            "are of dry reeds."
        )
    without = int((rows.x_variance[:, 1] > 0).sum())
    if without:
        yield (
            f"{without} of {len(rows)} reeds have no gouge noted; {rows.gouge_usual:.3f} mm is "
            "taken for them, with the spread that brings."
        )


def _is(count: int) -> str:
    return "is" if count == 1 else "are"


def notes_on_fit(fitted: Fitted, wanted: tuple[float | None, float | None]) -> Iterator[str]:
    """Yield what the fit itself has to say."""
    hypers = fitted.state.hypers
    if not fitted.converged:
        yield "The fit did not settle fully; its figures are less sure than they say."
    if wanted == (None, None):
        yield _range_note(fitted)
    elif "middle" in fitted.prior.active and None not in wanted:
        low, high = wanted
        assert low is not None
        assert high is not None
        if max(abs(hypers.low - low), abs(hypers.high - high)) > 0.03:
            yield (
                f"Your verdicts change at about {hypers.low:.2f} and {hypers.high:.2f} mm, not at "
                f"the limits {low:.2f} and {high:.2f} mm that are set; the plan aims for those set."
            )
    changes = int((fitted.setting.jumps > 0).sum())
    if changes:
        yield f"The level of your openings has changed suddenly {_times(changes)}."


def _range_note(fitted: Fitted) -> str:
    hypers = fitted.state.hypers
    span = f"{hypers.low:.2f} to {hypers.high:.2f} mm"
    if "middle" in fitted.prior.active:
        return f"No wanted range is set; your verdicts put it at about {span}."
    if "width" in fitted.prior.active:
        return (
            f"No wanted range is set and no opening was measured; millimetres are reckoned as if "
            f"you wanted {span}."
        )
    return f"No wanted range is set and no verdict was given; {span} is taken for it."


def _times(count: int) -> str:
    return {1: "once", 2: "twice"}.get(count, f"{count} times")


def cannot_tell(rows: Rows) -> Iterator[str]:
    """Yield what the history can't tell apart, or not at all."""
    if len(rows) < FEW_REEDS:
        return
    moved = {
        name: bool(rows.x[:, i].std() >= least) for i, (name, least) in enumerate(STILL.items())
    }
    for name in ("diameter", "gouge"):
        if not moved[name]:
            yield f"The {name} hardly ever changed, so the history can't tell what it does."
    if not moved["moisture"]:
        yield (
            "All reeds were judged in about the same dampness, so the history can't tell what the "
            "season does."
        )
    for one, other in (("diameter", "moisture"), ("gouge", "moisture"), ("diameter", "gouge")):
        if moved[one] and moved[other] and _together(rows, one, other) > TOGETHER:
            yield (
                f"{one.capitalize()} and {SAID.get(other, other)} nearly always changed together, "
                "so the history can't tell well which of the two moves the opening."
            )


def _together(rows: Rows, one: str, other: str) -> float:
    names = list(STILL)
    columns = rows.x[:, [names.index(one), names.index(other)]]
    return abs(float(np.asarray(np.corrcoef(columns.T))[0, 1]))
