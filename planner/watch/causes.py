"""What a run of openings may come from, in the order of how likely each is.

Each cause says which reeds it would have moved and by how much at most; the one that fits the
residuals best for what it assumes leads (Bayes factors of normal offsets against none).
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from planner.watch.chart import Floats
from planner.watch.documents import Cause
from planner.watch.judged import Judged

BEFORE = 40  # reeds before the run that are looked at too
# How often each is behind a run, before looking: guesses of the trade, no source.
PRIOR = {"lot": 0.35, "gouge": 0.25, "level": 0.30, "room": 0.10}
LEVEL_SD = 0.08  # mm, a new knife or a changed habit: a guess
GOUGE_SD = 0.015  # mm, how far a gouge nobody noted may be off: a guess
KNOWN_GOUGE_SD = 0.005  # mm, the same where the gouger was checked
WORTH_NAMING = 0.05


@dataclass(frozen=True)
class Effects:
    """Effects of the opening model: per mm, per mm and per % moisture content. [mm]

    ``lot_sd`` is how much lots differ among themselves. [mm]
    """

    diameter: float
    diameter_sd: float
    gouge: float
    moisture: float
    lot_sd: float


@dataclass(frozen=True)
class Guess:
    """A cause, the reeds it would have moved (n,), and by how much, in units of the spread."""

    name: str
    what: str
    moved: NDArray[np.bool_]
    by: float
    by_sd: float

    def worth(self, residual: Floats) -> float:
        """Return the log Bayes factor of this cause against no cause, given residuals (n,)."""
        own = residual[self.moved]
        if not len(own):
            return -np.inf
        gain = np.sum(own * self.by) - 0.5 * len(own) * self.by**2
        rest = np.sum(own - self.by)
        grown = 1 + len(own) * self.by_sd**2
        return float(gain + 0.5 * self.by_sd**2 * rest**2 / grown - 0.5 * np.log(grown))


def likely_causes(
    judged: Judged, start: int, effects: Effects, *, gouger_off: float | None
) -> tuple[Cause, ...]:
    """Return the causes worth naming of the run that began with reed *start*, likeliest first.

    The shares are among the causes weighed. Of several lots or places only the best is kept.
    """
    window = np.arange(max(0, start - BEFORE), len(judged))
    residual = judged.residual[window]
    scale = float(np.median(judged.scale[window]))
    best: dict[str, tuple[float, Guess]] = {}
    for guess in _guesses(judged, window, start, effects, scale, gouger_off):
        worth = guess.worth(residual) + float(np.log(PRIOR[guess.name]))
        if guess.name not in best or worth > best[guess.name][0]:
            best[guess.name] = worth, guess
    worths = np.array([worth for worth, _ in best.values()])
    shares = np.exp(worths - worths.max())
    shares /= shares.sum()
    found = [
        Cause(guess.name, float(share), guess.what)
        for (_, guess), share in zip(best.values(), shares, strict=True)
        if share >= WORTH_NAMING
    ]
    return tuple(sorted(found, key=lambda cause: -cause.share))


def _guesses(
    judged: Judged,
    window: NDArray[np.int64],
    start: int,
    effects: Effects,
    scale: float,
    gouger_off: float | None,
) -> Iterator[Guess]:
    inside = window >= start
    yield Guess("level", "", inside, 0.0, LEVEL_SD / scale)
    for lot in np.unique(judged.lot[start:]):
        if lot >= 0:
            own = judged.lot[window] == lot
            yield Guess("lot", judged.lots[lot], own, 0.0, effects.lot_sd / scale)
    unnoted = inside & ~judged.gouge_noted[window]
    if unnoted.any():
        known = gouger_off is not None
        by = effects.gouge * (gouger_off or 0.0) / scale
        off_sd = KNOWN_GOUGE_SD if known else GOUGE_SD
        yield Guess("gouge", "", unnoted, by, abs(effects.gouge) * off_sd / scale)
    for place in np.unique(judged.place[start:]):
        own = inside & (judged.place[window] == place)
        doubt = abs(effects.moisture) * float(np.median(judged.moisture_sd[window][own]))
        what = judged.places[place] if place >= 0 else ""
        yield Guess("room", what, own, 0.0, doubt / scale)
