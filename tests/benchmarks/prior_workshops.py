"""Invented workshops drawn from the opening model's own priors, for simulation-based calibration.

S. Talts, M. Betancourt, D. Simpson, A. Vehtari and A. Gelman, "Validating Bayesian inference
algorithms with simulation-based calibration", 2018: with truths from the prior and data from the
model, the truth's place among the draws of the posterior is uniform, whatever the data. Uniformity
is judged over the whole curve at once as by T. Säilynoja, P.-C. Bürkner and A. Vehtari, "Graphical
test for discrete uniformity", *Statistics and Computing* 32 (2022), article 32.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr
from scipy.stats import binom

from planner.opening.draws import EffectDraws, Reference
from planner.opening.observations import CLOSED, GOOD, OPEN, UNJUDGED, Observations
from planner.opening.priors import PRIORS

Floats = NDArray[np.float64]

REFERENCE = Reference(10.5, 0.59, 8.5)
WANTED = (0.70, 0.95)
FIRST_DAY = np.datetime64("2021-01-04")
KINDS = ("mm", "verdict", "both")
CHOOSES = ("never", "season", "random")
LOT_REEDS = 12
QUANTITIES = ("level", "diameter", "gouge", "moisture", "share")


@dataclass(frozen=True)
class Workshop:
    """A history and what it was made from, the level as of the last reed. [mm]"""

    history: Observations
    level: float
    diameter: float
    gouge: float
    moisture: float
    spread: float

    def share(self, diameter: Floats, moisture: Floats) -> Floats:
        """Share in the wanted range at the usual gouge; the arguments broadcast."""
        mean = self.level + self.diameter * (diameter - REFERENCE.diameter)
        mean = mean + self.moisture * (moisture - REFERENCE.moisture)
        low, high = WANTED
        return np.asarray(ndtr((high - mean) / self.spread) - ndtr((low - mean) / self.spread))


def workshop(
    chance: np.random.Generator,
    reeds: int,
    kind: str,
    chooses: str,
    *,
    lots: bool = True,
    shift: float = 0.0,
    slips: float = 0.0,
) -> Workshop:
    """Draw a workshop from the priors.

    Parameters
    ----------
    chance : where everything is drawn from
    reeds : how many are on record
    kind : of what is on record, one of KINDS; with *both* half the reeds are measured
    chooses : how the maker takes diameters, one of CHOOSES
    lots : whether it is noted which lots the reeds come from
    shift : a sudden change of the level two thirds through, beyond the model's own [mm]
    slips : share of rows with a typing error, beyond the model's own
    """
    p = PRIORS
    effects = {n: chance.normal(getattr(p, n).mean, getattr(p, n).sd)
               for n in ("diameter", "gouge", "moisture")}  # fmt: skip
    noise = float(np.sqrt(p.noise.scale / chance.gamma(p.noise.shape)))
    lot_sd = float(np.exp(chance.normal(p.lot.mean, p.lot.sd)))
    days = np.sort(chance.integers(0, max(365, min(2 * reeds, 3650)), reeds))
    level = _levels(chance, days)
    level = level - np.where(np.arange(reeds) < 2 * reeds // 3, shift, 0.0)
    cane = _cane(chance, chooses, days)
    lot = np.arange(reeds) // LOT_REEDS
    about = level + chance.normal(0.0, lot_sd, reeds // LOT_REEDS + 1)[lot]
    for name, usual in vars(REFERENCE).items():
        about = about + effects[name] * (cane[name] - usual)
    opening = about + chance.normal(0.0, noise, reeds)
    measured = chance.random(reeds) < {"mm": 1.0, "verdict": 0.0, "both": 0.5}[kind]
    # Where nothing is measured, the wanted range is what the maker's verdicts make it.
    read, verdict = _noted(chance, opening, slips, own_limits=kind == "both")
    history = Observations(
        day=FIRST_DAY + days,
        diameter_low=cane["diameter"],
        diameter_high=cane["diameter"],
        gouge=cane["gouge"],
        moisture=cane["moisture"],
        moisture_sd=np.zeros(reeds),
        opening=np.where(measured, read, np.nan),
        verdict=verdict if kind != "mm" else np.full(reeds, UNJUDGED, np.int8),
        lot=lot if lots else np.full(reeds, -1),
        dry=np.zeros(reeds, np.bool_),
        lots=tuple(f"lot {i}" for i in range(reeds // LOT_REEDS + 1)) if lots else (),
    )
    last = level[-1] if reeds else _first_level(chance)
    return Workshop(history, float(last), spread=float(np.hypot(noise, lot_sd)), **effects)


def _first_level(chance: np.random.Generator) -> float:
    return float(chance.normal(sum(WANTED) / 2, PRIORS.level_about_range))


def _levels(chance: np.random.Generator, days: NDArray[np.int64]) -> Floats:
    """The level when each reed was judged: wandering, now and then with a sudden change."""
    p = PRIORS
    own, block = np.unique(days, return_inverse=True)
    if not len(own):
        return np.empty(0)
    gap = np.diff(own).astype(float)
    wander = float(np.exp(chance.normal(p.wander.mean, p.wander.sd)))
    sd = np.minimum(wander * np.sqrt(gap), p.wander_limit)
    count = np.bincount(block)
    odds = np.minimum((count[1:] + count[:-1]) / 2 / p.reeds_per_jump, gap / p.days_per_jump)
    jumps = np.where(chance.random(len(gap)) < odds / (1 + odds), p.jump_sd, 0.0)
    steps = chance.normal(size=len(gap)) * np.hypot(sd, jumps)
    return np.asarray((_first_level(chance) + np.concatenate([[0.0], np.cumsum(steps)]))[block])


def _cane(chance: np.random.Generator, chooses: str, days: NDArray[np.int64]) -> dict[str, Floats]:
    """Diameter and gouge taken [mm], and the moisture of the day [%]."""
    reeds = len(days)
    moisture = 8.5 + 2.0 * np.sin(2 * np.pi * days / 365.25) + chance.normal(0.0, 0.5, reeds)
    diameter = {
        "never": np.full(reeds, REFERENCE.diameter),
        "season": REFERENCE.diameter + 0.12 * (moisture - 8.5) + chance.normal(0, 0.06, reeds),
        "random": REFERENCE.diameter + 0.25 * chance.integers(-2, 3, reeds),
    }[chooses]
    gouge = REFERENCE.gouge + chance.normal(0.0, 0.008, reeds)
    return {"diameter": diameter, "gouge": gouge, "moisture": moisture}


def _noted(
    chance: np.random.Generator, opening: Floats, slips: float, *, own_limits: bool
) -> tuple[Floats, NDArray[np.int8]]:
    """What the maker reads and what the maker calls it, slips of the pen among them."""
    p, (low, high), reeds = PRIORS, WANTED, len(opening)
    middle, half = (low + high) / 2, (high - low) / 2
    if own_limits:
        middle = chance.normal(middle, p.verdict_limit_sd / 2**0.5)
        half *= np.exp(chance.normal(0.0, p.verdict_limit_sd / 2**0.5 / half))
    felt = opening + chance.normal(
        0, np.exp(chance.normal(p.judgement.mean, p.judgement.sd)), reeds
    )
    verdict = np.select([felt < middle - half, felt > middle + half], [CLOSED, OPEN], GOOD)
    wrong = chance.random((2, reeds)) < p.mistake + slips
    read = np.where(wrong[0], chance.uniform(0.05, p.mistake_span, reeds), opening)
    verdict = np.where(wrong[1], chance.integers(-1, 2, reeds), verdict).astype(np.int8)
    return np.maximum(np.round(read, 2), 0.01), verdict


def places(truth: Workshop, draws: EffectDraws) -> dict[str, float]:
    """Return the truth's place (0 to 1) among the draws, by quantity.

    ``share``: of usual cane at a dry time of the year.
    """
    at = (np.array(REFERENCE.diameter), np.array(REFERENCE.moisture - 2.0))
    mean = draws.level - 2.0 * draws.moisture
    share = ndtr((draws.high - mean) / draws.spread) - ndtr((draws.low - mean) / draws.spread)
    drawn = {n: getattr(draws, n) for n in QUANTITIES[:-1]} | {"share": share}
    true = {n: getattr(truth, n) for n in QUANTITIES[:-1]} | {"share": float(truth.share(*at))}
    return {name: float(np.mean(drawn[name] < true[name])) for name in QUANTITIES}


def uniformity(place: Floats, simulated: int = 2000) -> float:
    """Return how likely places (n,) as uneven as these are if they are uniform.

    By the least likely count of places below any of a grid of points (Säilynoja and others 2022,
    section 2.2), its distribution by simulation.
    """
    size = len(place)
    grid = np.arange(1, 20) / 20
    chance = np.random.default_rng(0)
    own = _least_likely(np.asarray(place)[None], grid)[0]
    other = _least_likely(chance.random((simulated, size)), grid)
    return float(np.mean(other <= own))


def _least_likely(place: Floats, grid: Floats) -> Floats:
    size = place.shape[1]
    below = (place[:, :, None] <= grid).sum(axis=1)
    tails = np.minimum(binom.cdf(below, size, grid), binom.sf(below - 1, size, grid))
    return np.asarray(tails.min(axis=1), dtype=float)
