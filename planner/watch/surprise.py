"""How far each reed came out beyond what was to be expected of it before it was judged.

Diameter, gouge and moisture are taken off by the opening model's effects. What is left is followed
reed by reed: a level that wanders as the model says, and an offset for each lot. A verdict counts
as the span of openings that it stands for.
"""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from planner.opening.draws import EffectDraws
from planner.opening.observations import CLOSED, GOOD, OPEN, UNJUDGED, Floats, Observations
from planner.watch.judged import Judged, LotNow

REEDS_AT_MOST = 400  # the latest; a run that is on began within them
LEVEL_SD = 0.15  # mm, of the level before the first of them: next to unknown
LOT_SD, LOT_PART = 0.05, 0.6  # mm, prior of the opening model; and at most that much of the spread
LEAST_LOT_SD = 0.01  # mm
PARTED_WORTH, NEIGHBOURS_WORTH = 20.0, 2 / 3  # reeds: that prior, and a difference of neighbours
LOTS_AT_ONCE = 6  # lots whose offsets are followed; one not seen for that many lots is forgotten
FAR = 3.0  # spreads; a surprise further out counts as that far: a slip is no run


def surprises(
    seen: Observations,
    draws: EffectDraws,
    place: NDArray[np.int64],
    places: tuple[str, ...],
) -> Judged:
    """Return the surprise that each of the latest reeds was.

    *place* (n,) numbers the observations' places in *places*. Reeds with neither a verdict nor an
    opening of the soaked reed are left out.
    """
    rows = np.flatnonzero((np.isfinite(seen.opening) & ~seen.dry) | (seen.verdict != UNJUDGED))
    rows = rows[-REEDS_AT_MOST:]
    level = float(draws.level.mean())
    reed_sd, lot_sd = _parted(seen, draws, rows)
    follower = Follower(level, float(draws.wander.mean()), lot_sd)
    residual, scale, opening, level_before = _followed(seen, draws, rows, follower, reed_sd)
    return Judged(
        day=seen.day[rows],
        residual=residual,
        scale=scale,
        opening=opening,
        level_before=level_before,
        lot=seen.lot[rows],
        place=place[rows],
        gouge_noted=np.isfinite(seen.gouge[rows]),
        moisture_sd=seen.moisture_sd[rows],
        reed_sd=reed_sd,
        lot_sd=lot_sd,
        level=level,
        lots=seen.lots,
        places=places,
        lots_now=follower.lots_now(),
    )


def _parted(seen: Observations, draws: EffectDraws, rows: NDArray[np.int64]) -> tuple[float, float]:
    """Spread of reeds within a lot, and of lots [mm]: the model's spread, parted.

    By the differences between neighbours of one lot, on top of the usual parting.
    """
    spread = float(draws.spread.mean())
    usual = min(LOT_SD, LOT_PART * spread)
    known, doubt = _effects(seen, draws)
    rest = np.where(seen.dry, np.nan, seen.opening - known)[rows]
    squares = np.diff(rest) ** 2 / 2 - (doubt[rows][1:] + doubt[rows][:-1]) / 2
    same = (np.diff(seen.lot[rows]) == 0) & (seen.lot[rows][1:] >= 0) & np.isfinite(squares)
    own = np.clip(squares[same], None, (FAR * spread) ** 2)
    total = PARTED_WORTH * (spread**2 - usual**2) + NEIGHBOURS_WORTH * float(own.sum())
    within = total / (PARTED_WORTH + NEIGHBOURS_WORTH * len(own))
    least = (1 - LOT_PART**2) * spread**2
    within = float(np.clip(within, least, spread**2 - LEAST_LOT_SD**2 * (spread > LEAST_LOT_SD)))
    return float(np.sqrt(within)), float(np.sqrt(max(spread**2 - within, LEAST_LOT_SD**2)))


def _followed(
    seen: Observations,
    draws: EffectDraws,
    rows: NDArray[np.int64],
    follower: "Follower",
    reed_sd: float,
) -> tuple[Floats, ...]:
    """Residual, scale, opening and level before, each (rows,)."""
    known, doubt = _effects(seen, draws)
    wanted = float(draws.low.mean()), float(draws.high.mean())
    low, high = _spans(seen, *wanted)
    found = np.empty((4, len(rows)))
    days = np.diff(seen.day[rows], prepend=seen.day[rows][:1]).astype(int)
    for k, i in enumerate(rows):
        follower.wait(int(days[k]))
        limits = np.array([low[i], high[i], *wanted]) - known[i]
        level = float(follower.mean[0])
        found[:, k] = *follower.judge(int(seen.lot[i]), limits, reed_sd**2 + doubt[i]), level
    return tuple(found)


def _effects(seen: Observations, draws: EffectDraws) -> tuple[Floats, Floats]:
    """What diameter, gouge and moisture make of each reed (n,) [mm], and the doubt of it [mm²]."""
    reference = draws.reference
    by = {name: float(getattr(draws, name).mean()) for name in ("diameter", "gouge", "moisture")}
    diameter = (seen.diameter_low + seen.diameter_high) / 2 - reference.diameter
    noted = np.isfinite(seen.gouge)
    gouge = np.where(noted, seen.gouge - reference.gouge, 0.0)
    known = (
        by["diameter"] * diameter
        + by["gouge"] * gouge
        + by["moisture"] * (seen.moisture - reference.moisture)
    )
    width = seen.diameter_high - seen.diameter_low
    doubt = (by["diameter"] * width) ** 2 / 12 + (by["moisture"] * seen.moisture_sd) ** 2
    return known, doubt


def _spans(seen: Observations, low: float, high: float) -> tuple[Floats, Floats]:
    """Within what each opening is known to lie (n,); equal where it was measured. [mm]"""
    verdict = seen.verdict
    least = np.select([verdict == GOOD, verdict == OPEN], [low, high], -np.inf)
    most = np.select([verdict == GOOD, verdict == CLOSED], [high, low], np.inf)
    measured = np.isfinite(seen.opening) & ~seen.dry
    return np.where(measured, seen.opening, least), np.where(measured, seen.opening, most)


@dataclass
class Follower:
    """A level and the offsets of the latest lots, followed by a Kalman filter.

    State: the level first, then a place for each lot followed.
    """

    level: float
    wander: float
    lot_sd: float
    lots: list[int] = field(default_factory=list)
    mean: Floats = field(init=False)
    covariance: Floats = field(init=False)

    def __post_init__(self) -> None:
        self.mean = np.array([self.level])
        self.covariance = np.array([[LEVEL_SD**2]])

    def wait(self, days: int) -> None:
        """Let some days pass."""
        self.covariance[0, 0] += self.wander**2 * days

    def judge(self, lot: int, limits: Floats, noise: float) -> tuple[float, float, float]:
        """Take in one reed; return its surprise, the scale of it and its opening. [mm]

        *limits* (4,) are those of its opening and those of the wanted range.
        """
        which = self._place_of(lot)
        of_it = np.zeros(len(self.mean))
        of_it[[0, which]] = 1.0
        along = self.covariance @ of_it
        expected = float(of_it @ self.mean)
        # A reed of an unnamed lot brings the offset of a lot of its own.
        variance = float(of_it @ along) + noise + (0.0 if which else self.lot_sd**2)
        spread = float(np.sqrt(variance))
        surprise, seen, left = _surprise((limits - expected) / spread)
        gain = along / spread
        self.mean = self.mean + gain * seen
        self.covariance = self.covariance - np.outer(gain, gain) * (1 - left)
        return surprise, spread, expected + spread * seen

    def lots_now(self) -> tuple[LotNow, ...]:
        """Return the offsets of the lots followed, the latest taken in last."""
        return tuple(
            LotNow(lot, float(self.mean[i]), float(np.sqrt(self.covariance[i, i])))
            for i, lot in enumerate(self.lots, start=1)
        )

    def _place_of(self, lot: int) -> int:
        """Where a lot's offset stands in the state, a new one taken in; 0 for no lot."""
        if lot < 0:
            return 0
        if lot in self.lots:
            return self.lots.index(lot) + 1
        if len(self.lots) == LOTS_AT_ONCE:
            self.lots.pop(0)
            self.mean = np.delete(self.mean, 1)
            self.covariance = np.delete(np.delete(self.covariance, 1, 0), 1, 1)
        self.lots.append(lot)
        size = len(self.mean)
        self.mean = np.append(self.mean, 0.0)
        wider = np.zeros((size + 1, size + 1))
        wider[:size, :size] = self.covariance
        wider[size, size] = self.lot_sd**2
        self.covariance = wider
        return size


def _surprise(limits: Floats) -> tuple[float, float, float]:
    """Surprise, mean and variance of a standard normal value within the first two *limits* (4,).

    Over all that could have been seen the surprise has mean 0 and variance 1: for a verdict its
    mean is divided by what the means of the three verdicts spread, by the last two limits.
    """
    low, high, least, most = (float(limit) for limit in limits)
    if low == high:
        value = float(np.clip(low, -FAR, FAR))
        return value, value, 0.0
    _, mean, variance = _within(low, high)
    spans = ((-np.inf, least), (least, most), (most, np.inf))
    parts = [_within(*span)[:2] for span in spans]
    spread = float(np.sqrt(sum(chance * middle**2 for chance, middle in parts)))
    return float(np.clip(mean / max(spread, 1e-6), -FAR, FAR)), mean, variance


def _within(low: float, high: float) -> tuple[float, float, float]:
    """Chance that a standard normal value lies within limits, its mean there, its variance."""
    flip = low > 0  # in the upper tail the difference is exact from the other side
    chance = float(ndtr(-low) - ndtr(-high) if flip else ndtr(high) - ndtr(low))
    chance = max(chance, 1e-12)
    mean = float(np.clip((_density(low) - _density(high)) / chance, -2 * FAR, 2 * FAR))
    bend = (_times(low) - _times(high)) / chance
    return chance, mean, float(np.clip(1 + bend - mean**2, 0.0, 1.0))


def _density(z: float) -> float:
    return float(np.exp(-0.5 * z * z) / np.sqrt(2 * np.pi))


def _times(z: float) -> float:
    return z * _density(z) if np.isfinite(z) else 0.0
