"""Invented workshops with known truth: makers of several habits, and what they put on record."""

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy.special import ndtr

from planner.opening.draws import Reference
from planner.opening.observations import CLOSED, GOOD, OPEN, UNJUDGED, Observations
from planner.opening.priors import PRIORS, Normal

REFERENCE = Reference(10.5, 0.59, 8.5)
LEVEL_SD = {"usual": 0.08, "spread": 0.15, "derived": 0.08}  # about the middle, by family [mm]
AS_PRIORS = {name: getattr(PRIORS, name) for name in ("diameter", "gouge", "moisture")}
BOUNDS = {"diameter": (-0.34, -0.08), "gouge": (0.0, 4.0), "moisture": (0.003, 0.05)}
EFFECTS = {
    "usual": AS_PRIORS,
    "spread": AS_PRIORS,
    "derived": {
        n: Normal((low + high) / 2, (high - low) / 12**0.5) for n, (low, high) in BOUNDS.items()
    },
}  # their mean and spread, by family
FIRST_DAY = np.datetime64("2021-01-04")
DIAMETERS = np.arange(9.5, 11.51, 0.125)
GOUGES = np.arange(0.56, 0.6201, 0.01)


@dataclass(frozen=True)
class Truth:
    """What a workshop was made from. [mm]"""

    level: float
    diameter: float
    gouge: float
    moisture: float
    noise: float
    lot: float
    low: float
    high: float
    day: float = 0.0

    @property
    def spread(self) -> float:
        """Spread of a reed of a lot and a day not yet seen."""
        return float(np.sqrt(self.noise**2 + self.lot**2 + self.day**2))

    def share(self, diameter, gouge, moisture) -> NDArray[np.float64]:
        """Share in the wanted range; arguments broadcast."""
        mean = self.level + self.diameter * (diameter - REFERENCE.diameter)
        mean = mean + self.gouge * (gouge - REFERENCE.gouge)
        mean = mean + self.moisture * (moisture - REFERENCE.moisture)
        return ndtr((self.high - mean) / self.spread) - ndtr((self.low - mean) / self.spread)


@dataclass(frozen=True)
class Habit:
    """How a maker works and what is noted.

    ``kind`` is mm, verdict or both; ``chooses`` random, season or never; ``shift`` the size of a
    sudden change two thirds through; ``slips`` the share of rows with a typing error. In a
    ``messy`` workshop lots are of 3 to 30 reeds, good and bad days come and go, the level drifts,
    the room's moisture is known a little wrong, and verdicts are given by limits that waver.
    """

    kind: str = "both"
    chooses: str = "random"
    lots: bool = True
    shift: float = 0.0
    slips: float = 0.0
    messy: bool = False


def draw_truth(
    chance: np.random.Generator, family: str = "usual", *, lots: bool = True, messy: bool = False
) -> Truth:
    """Draw a truth.

    Parameters
    ----------
    chance : where everything is drawn from
    family : *usual*, reeds that spread by 0.06-0.10 mm about a level near the wanted range, and
        effects that spread as the model's priors have it, some of the wrong sign; *spread*, with
        a few very even and very uneven makers and levels that lie far out; *derived*, as usual
        but with effects anywhere between the bounds that geometry and stiffness set (those named
        in ``planner/opening/priors.py``; the gouge's no more than twice its prior mean)
    lots : whether lots differ
    messy : whether days differ
    """
    low = chance.uniform(0.65, 0.75)
    high = low + chance.uniform(0.2, 0.3)
    spread = family == "spread"
    noise = np.sqrt(2 * 0.09**2 / chance.gamma(3.0)) if spread else chance.uniform(0.06, 0.10)
    lot = 0.05 if spread else chance.uniform(0.0, 0.05)
    level = (low + high) / 2 + chance.normal(0.0, LEVEL_SD[family])
    if family == "derived":
        effects = {name: float(chance.uniform(*bounds)) for name, bounds in BOUNDS.items()}
    else:
        effects = {n: float(chance.normal(e.mean, e.sd)) for n, e in EFFECTS[family].items()}
    return Truth(
        level,
        **effects,
        noise=float(noise),
        lot=lot if lots else 0.0,
        low=low,
        high=high,
        day=0.03 if messy else 0.0,
    )


def make_history(
    truth: Truth, reeds: int, habit: Habit, chance: np.random.Generator
) -> Observations:
    """Make the history of a workshop; the truth's level is that of the last reed."""
    days = np.sort(chance.integers(0, max(365, min(2 * reeds, 3650)), reeds))
    moisture = 8.5 + 2.0 * np.sin(2 * np.pi * days / 365.25) + chance.normal(0.0, 0.5, reeds)
    diameter = _diameters(habit, moisture, chance)
    gouge = 0.59 + chance.normal(0.0, 0.008, reeds)
    lot = _lots(habit, reeds, chance)
    lots = int(lot[-1]) + 1 if reeds else 1
    opening = (
        truth.level
        + truth.diameter * (diameter - REFERENCE.diameter)
        + truth.gouge * (gouge - REFERENCE.gouge)
        + truth.moisture * (moisture - REFERENCE.moisture)
        + chance.normal(0.0, truth.lot, lots)[lot]
        + chance.normal(0.0, truth.noise, reeds)
        - np.where(np.arange(reeds) < 2 * reeds // 3, habit.shift, 0.0)
    )
    felt = opening
    if habit.messy:
        opening = opening + _good_and_bad_days(truth.day, days, chance)
        felt = opening + chance.normal(0.0, 0.03) + chance.normal(0.0, 0.03, reeds)
        moisture = 8.5 + chance.uniform(0.7, 1.3) * (moisture - 8.5) + chance.normal(0, 0.3, reeds)
    verdict = np.select([felt < truth.low, felt > truth.high], [CLOSED, OPEN], GOOD)
    read = np.maximum(np.round(opening + _slips(habit, reeds, chance), 2), 0.02)
    wrong = chance.random(reeds) < habit.slips
    verdict = np.where(wrong, chance.integers(-1, 2, reeds), verdict)
    return Observations(
        day=FIRST_DAY + days,
        diameter_low=diameter,
        diameter_high=diameter,
        gouge=gouge,
        moisture=moisture,
        moisture_sd=np.zeros(reeds),
        opening=np.where(_measured(habit, reeds, chance), read, np.nan),
        verdict=(verdict if habit.kind != "mm" else np.full(reeds, UNJUDGED)).astype(np.int8),
        lot=lot if habit.lots else np.full(reeds, -1),
        dry=np.zeros(reeds, np.bool_),
        lots=tuple(f"lot {i}" for i in range(lots)) if habit.lots else (),
    )


def as_table(history: Observations) -> tuple[pd.DataFrame, NDArray[np.float64]]:
    """Return a history as a table with the record's columns, and its openings. [mm]"""
    words = {CLOSED: "closed", GOOD: "good", OPEN: "open", UNJUDGED: None}
    table = pd.DataFrame(
        {
            "date": history.day,
            "lot": [history.lots[lot] if lot >= 0 else None for lot in history.lot],
            "diameter_mm": history.diameter_low,
            "gouge_mm": history.gouge,
            "moisture_pct": history.moisture,
            "verdict": [words[verdict] for verdict in history.verdict.tolist()],
        }
    )
    return table, history.opening


def _lots(habit: Habit, reeds: int, chance: np.random.Generator) -> NDArray[np.int64]:
    """The lot of each reed, (reeds,)."""
    if not habit.messy:
        return np.minimum(np.arange(reeds) // 12, max(reeds // 12, 1) - 1)
    ends = np.cumsum(chance.integers(3, 31, reeds // 3 + 1))
    return np.searchsorted(ends, np.arange(reeds), side="right")


def _good_and_bad_days(sd: float, days: NDArray[np.int64], chance: np.random.Generator):
    """What all reeds of a day share [mm], (reeds,): a day's hand, and a drift that ends at 0."""
    own, day = np.unique(days, return_inverse=True)
    gap = np.diff(own, append=own[-1:])
    drift = np.cumsum((0.04 / 365**0.5 * np.sqrt(gap) * chance.normal(size=len(own)))[::-1])[::-1]
    return (drift + chance.normal(0.0, sd, len(own)))[day]


def _diameters(habit: Habit, moisture, chance: np.random.Generator):
    reeds = len(moisture)
    if habit.chooses == "never":
        return np.full(reeds, REFERENCE.diameter)
    if habit.chooses == "season":
        return REFERENCE.diameter + 0.12 * (moisture - 8.5) + chance.normal(0.0, 0.06, reeds)
    return REFERENCE.diameter + chance.choice([-0.5, -0.25, 0.0, 0.25, 0.5], reeds)


def _slips(habit: Habit, reeds: int, chance: np.random.Generator):
    size = chance.choice([-0.3, -0.2, -0.1, 0.1, 0.2, 0.3], reeds)
    return np.where(chance.random(reeds) < habit.slips, size, 0.0)


def _measured(habit: Habit, reeds: int, chance: np.random.Generator):
    if habit.kind == "both":
        return chance.random(reeds) < 0.5
    return np.full(reeds, habit.kind == "mm")


def coming_moisture(chance: np.random.Generator, members: int = 400, weeks: int = 26):
    """Return the moisture (members, weeks) of coming weeks, a year's round of them."""
    middle = 8.5 + 2.0 * np.sin(2 * np.pi * np.arange(weeks) / weeks)
    return middle + chance.normal(0.0, 0.6, (members, weeks))
