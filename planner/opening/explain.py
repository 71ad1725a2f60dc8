"""The fit in plain words: the effects, how far the history carries, and what it can't tell."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from planner.opening.fitting import Fitted
from planner.opening.observations import Floats, Observations
from planner.opening.posterior import NAMES, Posterior
from planner.opening.priors import Priors
from planner.opening.rows import Rows

UNITS = {"diameter": "mm per mm", "gouge": "mm per mm", "moisture": "mm per % moisture"}
TENTH = 1.2815515655446004  # standard deviations from the middle to the 10th percentile
SEASON = 2.0  # % moisture from the middle of the year to its dry or humid end
FEW_REEDS, SOME_REEDS = 12, 60
TOGETHER = 0.8  # correlation above which two things can't be told apart
OUTSIDE_EXPECTED, MIN_FOR_MISFIT = 0.2, 30


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
    fitted: Fitted, effects: tuple[FittedEffect, ...], posterior: Posterior, sorted_to: float
) -> tuple[str, str]:
    """Return how far the history carries.

    The rule: *none* without reeds; *thin* under 12 reeds, or while neither the effect of diameter
    nor that of moisture is known mainly (by half) from the history; *fair* under 60 reeds, or
    while one of the two isn't, or while the diameter that keeps the openings where they are from
    one end of the season to the other is unsure (standard deviation) by more than one sorting
    step; else *good*.
    """
    reeds = len(fitted.setting.rows)
    if not reeds:
        return "none", "No reed is on record: this rests on general knowledge alone."
    own = [effect.name for effect in effects if effect.from_history >= 0.5]
    season = season_diameter_sd(posterior)
    words = " and ".join(name for name in ("diameter", "moisture") if name in own)
    carries = f"{reeds} reeds; the effect of {words} comes mainly from them" if words else ""
    if reeds < FEW_REEDS or not words:
        return "thin", carries or (
            f"{reeds} reeds: the effects of diameter and moisture still rest mainly on general "
            "knowledge."
        )
    unsure = f"the diameter for a dry or humid spell is known to about {season:.2f} mm"
    if reeds < SOME_REEDS or len(set(own) & {"diameter", "moisture"}) < 2 or season > sorted_to:
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
        yield f"{len(observations) - len(known)} reeds judged later aren't used."
    unused = len(known) - len(rows)
    if unused:
        yield (
            f"{unused} {'reed says' if unused == 1 else 'reeds say'} nothing of its opening or "
            "diameter and isn't used."
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


def notes_on_fit(fitted: Fitted, wanted: tuple[float | None, float | None]) -> Iterator[str]:
    """Yield what the fit itself has to say."""
    rows, state = fitted.setting.rows, fitted.state
    hypers = state.hypers
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
    yield from _misfit(rows, state.offset + state.solution.row_mean, state.noise_variance)


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


def _misfit(rows: Rows, mean: Floats, variance: Floats) -> Iterator[str]:
    """Yield a note where too many openings lie far from what the model expects."""
    read = rows.measured
    if read.sum() < MIN_FOR_MISFIT:
        return
    away = np.abs(rows.opening - mean)[read] / np.sqrt(variance[read])
    outside = float((away > TENTH).mean())
    far = int((away > 4.0).sum())
    if outside > OUTSIDE_EXPECTED + 3.0 * np.sqrt(0.16 / read.sum()):
        yield (
            f"{round(100 * outside)} in 100 openings lie outside the range that should hold 80: "
            "the model fits this history poorly."
        )
    if far:
        yield (
            f"{far} of {int(read.sum())} openings lie so far out that they count as slips of the "
            "pen; look them up."
        )


def cannot_tell(rows: Rows) -> Iterator[str]:
    """Yield what the history can't tell apart, or not at all."""
    if len(rows) < FEW_REEDS:
        return
    spread = rows.x[:, :3].std(axis=0)
    if spread[0] < 0.05:
        yield "The diameter hardly ever changed, so the history can't tell what it does."
    elif spread[2] > 0.2:
        together = float(np.corrcoef(rows.x[:, 0], rows.x[:, 2])[0, 1])
        if abs(together) > TOGETHER:
            yield (
                "Diameter and season nearly always changed together, so the history can't tell "
                "well which of the two moves the opening."
            )
    if spread[1] < 0.003:
        yield "The gouge hardly ever changed, so the history can't tell what it does."
