"""What moved the missed reeds away from the middle of the range, in hindsight."""

import numpy as np
from scipy.special import ndtr

from planner.opening.observations import Floats
from planner.plan.review_documents import MissCause
from planner.plan.review_forecast import Forecast
from planner.plan.review_rivals import Hindsight
from planner.plan.review_season import Judged

WORTH_NAMING = 2  # missed reeds of a lot, to name it


def misses(reeds: Judged, expected: Forecast, hindsight: Hindsight) -> tuple[MissCause, ...]:
    """Return the causes of the planned reeds that missed, the largest first.

    A missed reed's distance from the middle of the range is the sum of: diameter and gouge other
    than advised, the lot, the room other than expected, the level other than then believed, and
    the rest, the reed itself with all that the plan couldn't know. Each is counted along the
    direction of the miss.
    """
    missed = expected.planned & ~reeds.good
    if not missed.any():
        return ()
    away = _seen(reeds, hindsight)[missed] - float(np.mean(hindsight.low + hindsight.high)) / 2
    side = np.sign(away)
    distance = float(np.abs(away).mean())
    causes = {
        "diameter": _mean(hindsight.diameter) * (reeds.diameter - expected.advised_diameter),
        "gouge": _mean(hindsight.gouge) * (reeds.gouge - expected.advised_gouge),
        "lot": hindsight.lot,
        "room": _mean(hindsight.moisture) * (hindsight.cane - expected.moisture),
        "level": hindsight.level - expected.level,
    }
    along = {name: float((side * value[missed]).mean()) for name, value in causes.items()}
    along["reed"] = distance - sum(along.values())
    found = [
        MissCause(name, mm / distance, mm, _worst_lot(reeds, hindsight) if name == "lot" else "")
        for name, mm in along.items()
    ]
    return tuple(sorted(found, key=lambda cause: -cause.share))


def _mean(draws: Floats) -> float:
    return float(draws.mean())


def _seen(reeds: Judged, hindsight: Hindsight) -> Floats:
    """Openings (n,) [mm]; of a reed with only a verdict what is to be expected given it."""
    mean = hindsight.opening(reeds.diameter, reeds.gouge).mean(axis=0)
    spread = _mean(hindsight.spread)
    below = (_mean(hindsight.low) - mean) / spread
    above = (_mean(hindsight.high) - mean) / spread
    closed = mean - spread * _density(below) / np.maximum(ndtr(below), 1e-12)
    too_open = mean + spread * _density(above) / np.maximum(ndtr(-above), 1e-12)
    by_verdict = np.where(reeds.closed, closed, np.where(reeds.open, too_open, mean))
    return np.where(np.isfinite(reeds.opening), reeds.opening, by_verdict)


def _density(z: Floats) -> Floats:
    return np.asarray(np.exp(-0.5 * z**2) / np.sqrt(2 * np.pi))


def _worst_lot(reeds: Judged, hindsight: Hindsight) -> str:
    """The lot with the most missed reeds along its own offset; nothing where none stands out."""
    missed = ~reeds.good & (reeds.lot != "")
    side = np.where(reeds.closed, -1.0, 1.0)
    along = {
        str(lot): float((side * hindsight.lot)[missed & (reeds.lot == lot)].sum())
        for lot in np.unique(reeds.lot[missed])
        if int((missed & (reeds.lot == lot)).sum()) >= WORTH_NAMING
    }
    worst = max(along, key=lambda lot: along[lot], default="")
    return worst if worst and along[worst] > 0 else ""
