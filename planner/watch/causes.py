"""What a run of openings may come from, in the order of how likely each is.

Each cause says which reeds it would have moved and by how much at most; the one that fits the
residuals best for what it assumes leads (Bayes factors of normal offsets against none).
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from planner.watch.chart import Floats
from planner.watch.documents import Cause
from planner.watch.judged import Judged

BEFORE = 40  # reeds before the run that are looked at too
# How often each is behind a run, before looking: guesses of the trade, no source.
PRIOR = {"lot": 0.35, "gouge": 0.25, "level": 0.30, "room": 0.10}
LEVEL_SD = 0.08  # mm, a new knife or a changed habit: a guess
GOUGE_SD = 0.015  # mm, how far a gouge nobody noted may be off: a guess
ODD_LOT_SD = 0.06  # mm, a lot odd enough to make a run: a guess, wider than lots are
KNOWN_GOUGE_SD = 0.005  # mm, the same where the gouger was checked
WORTH_NAMING = 0.05


@dataclass(frozen=True)
class Effects:
    """Effects of the opening model: per mm, per mm and per % moisture content. [mm]"""

    diameter: float
    diameter_sd: float
    gouge: float
    moisture: float


@dataclass(frozen=True)
class Guess:
    """A cause, the reeds it can have moved (n,), and by how much, in units of the spread.

    ``lasting`` is a cause that may have set in with any reed and has gone on since.
    """

    name: str
    what: str
    moved: NDArray[np.bool_]
    by: float
    by_sd: float
    lasting: bool = True

    def worth(self, residual: Floats) -> float:
        """Return the log Bayes factor of this cause against none, given residuals (n,).

        Of a lasting cause averaged over the reed with which it may have set in: that it did so
        just with a new lot would be a coincidence.
        """
        moved = self.moved.astype(float)
        own = residual * moved
        if not self.lasting:
            return float(self._worth(own.sum(), moved.sum()))
        sums, counts = np.cumsum(own[::-1]), np.cumsum(moved[::-1])
        worths = self._worth(sums, counts)
        top = float(worths.max())
        return top + float(np.log(np.mean(np.exp(worths - top))))

    def _worth(self, total: ArrayLike, count: ArrayLike) -> Floats:
        """Log Bayes factor of an offset that moved so many residuals of that sum."""
        total, count = np.asarray(total, dtype=float), np.asarray(count, dtype=float)
        gain = total * self.by - 0.5 * count * self.by**2
        rest = total - count * self.by
        grown = 1 + count * self.by_sd**2
        return np.asarray(gain + 0.5 * self.by_sd**2 * rest**2 / grown - 0.5 * np.log(grown))


def likely_causes(
    judged: Judged, start: int, effects: Effects, *, gouger_off: float | None
) -> tuple[Cause, ...]:
    """Return the causes worth naming of the run that began with reed *start*, likeliest first.

    The shares are among the causes weighed. Of several lots or places only the best is kept.
    """
    window = np.arange(max(0, start - BEFORE), len(judged))
    # What each reed was off the level known before the run: what came to be known of lot and
    # level within the run is what is to be explained.
    residual = (judged.opening[window] - judged.level_before[start]) / judged.reed_sd
    best: dict[str, tuple[float, Guess]] = {}
    for guess in _guesses(judged, window, start, effects, gouger_off):
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
    gouger_off: float | None,
) -> Iterator[Guess]:
    scale = judged.reed_sd
    everything = np.ones(len(window), np.bool_)
    yield Guess("level", "", everything, 0.0, LEVEL_SD / scale)
    for lot in np.unique(judged.lot[start:]):
        if lot >= 0:
            own = judged.lot[window] == lot
            size = max(judged.lot_sd, ODD_LOT_SD) / scale
            yield Guess("lot", judged.lots[lot], own, 0.0, size, lasting=False)
    unnoted = ~judged.gouge_noted[window]
    if unnoted.any():
        known = gouger_off is not None
        by = effects.gouge * (gouger_off or 0.0) / scale
        off_sd = KNOWN_GOUGE_SD if known else GOUGE_SD
        yield Guess("gouge", "", unnoted, by, abs(effects.gouge) * off_sd / scale)
    for place in np.unique(judged.place[start:]):
        own = judged.place[window] == place
        doubt = abs(effects.moisture) * float(np.median(judged.moisture_sd[window][own]))
        what = judged.places[place] if place >= 0 else ""
        yield Guess("room", what, own, 0.0, doubt / scale)
