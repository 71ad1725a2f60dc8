"""The unknowns of second order: how noisy, how different the lots, how fast the level wanders."""

from dataclasses import dataclass, replace

import numpy as np

from planner.opening.observations import Floats
from planner.opening.priors import Normal, Priors
from planner.opening.rows import Rows

NAMES = ("noise", "lot", "wander", "middle", "width", "judgement")


@dataclass(frozen=True)
class Hypers:
    """Standard deviations and the limits of the maker's verdicts. [mm; wander: mm per √day]"""

    noise: float
    lot: float
    wander: float
    middle: float
    width: float
    judgement: float

    @property
    def low(self) -> float:
        """Opening below which the maker calls a reed closed."""
        return self.middle - self.width / 2

    @property
    def high(self) -> float:
        """Opening above which the maker calls a reed open."""
        return self.middle + self.width / 2


@dataclass(frozen=True)
class HyperPrior:
    """The prior of the hyper-parameters, and which of them the history can say anything about.

    All but ``middle`` are treated as logarithms.
    """

    active: tuple[str, ...]
    start: Hypers
    middle: Normal
    width: Normal
    priors: Priors

    def pack(self, hypers: Hypers) -> Floats:
        """Return the active hyper-parameters as a vector."""
        values = [getattr(hypers, name) for name in self.active]
        return np.array(
            [v if n == "middle" else np.log(v) for n, v in zip(self.active, values, strict=True)]
        )

    def unpack(self, vector: Floats) -> Hypers:
        """Return the hyper-parameters of a vector; those not active are as at the start."""
        values = {
            name: float(v if name == "middle" else np.exp(v))
            for name, v in zip(self.active, vector, strict=True)
        }
        return replace(self.start, **values)

    def log_density(self, vector: Floats) -> tuple[float, Floats]:
        """Return the log density up to a constant, and its gradient."""
        total, gradient = 0.0, np.zeros(len(vector))
        for i, name in enumerate(self.active):
            if name == "noise":
                gamma = self.priors.noise
                precision = gamma.scale * np.exp(-2.0 * vector[i])
                total -= 2.0 * gamma.shape * vector[i] + precision
                gradient[i] = 2.0 * precision - 2.0 * gamma.shape
            else:
                normal = self._normal(name)
                away = (vector[i] - normal.mean) / normal.sd
                total -= 0.5 * away**2
                gradient[i] = -away / normal.sd
        return total, gradient

    def expected_curvature(self, reeds: int) -> Floats:
        """Return about how sharply the evidence of so many reeds bends, in the log and downwards.

        A start for the search: the spread from reed to reed bends it as in a normal sample, the
        limits of the range as verdicts of a spread about as wide do, the others little more than
        their priors.
        """
        limits = 0.3 * reeds / self.start.noise**2
        taught = {
            "noise": 4.0 * self.priors.noise.shape + reeds,
            "middle": limits,
            "width": limits * (self.start.width / 2) ** 2,
        }
        return np.array(
            [
                taught.get(name, 0.0)
                + (0.0 if name == "noise" else 2.0 * self._normal(name).sd ** -2)
                for name in self.active
            ]
        )

    def _normal(self, name: str) -> Normal:
        if name in ("middle", "width"):
            return self.middle if name == "middle" else self.width
        normal: Normal = getattr(self.priors, name)
        return normal


def hyper_prior(
    rows: Rows, wanted: tuple[float | None, float | None], priors: Priors
) -> HyperPrior:
    """Return the prior of the hyper-parameters for a history and a wanted range."""
    middle, width = _range_prior(rows, wanted, priors)
    verdicts = bool((rows.judged_only | rows.both).any())
    fixed = None not in wanted and not rows.both.any()
    wondered = {
        "noise": True,
        "lot": bool((rows.lot >= 0).any()),
        "wander": len(rows.block_day) > 1,
        # Verdicts alone say nothing of where the range lies: everything could be shifted.
        "middle": verdicts and not fixed and bool(rows.measured.any()),
        "width": verdicts and not fixed,
        "judgement": verdicts,
    }
    gamma = priors.noise
    start = Hypers(
        noise=float(np.sqrt(gamma.scale / gamma.shape)),
        lot=float(np.exp(priors.lot.mean)),  # coming reeds are of new lots, noted or not
        wander=float(np.exp(priors.wander.mean)),
        middle=middle.mean,
        width=float(np.exp(width.mean)),
        judgement=float(np.exp(priors.judgement.mean)),
    )
    active = tuple(name for name in NAMES if wondered[name])
    return HyperPrior(active, start, middle, width, priors)


def _range_prior(
    rows: Rows, wanted: tuple[float | None, float | None], priors: Priors
) -> tuple[Normal, Normal]:
    """Prior of the middle and of the log width of the maker's verdict limits."""
    low, high = wanted
    usual_width = float(np.exp(priors.range_width.mean))
    sd = priors.verdict_limit_sd
    if low is not None and high is not None:
        width = high - low
        return Normal((low + high) / 2, sd / 2**0.5), Normal(np.log(width), sd * 2**0.5 / width)
    if low is not None:
        return Normal(low + usual_width / 2, sd), priors.range_width
    if high is not None:
        return Normal(high - usual_width / 2, sd), priors.range_width
    if rows.measured.any():
        good = rows.both & (rows.verdict == 0)
        read = rows.opening[good if good.any() else rows.measured]
        return Normal(float(np.median(read)), 0.15), priors.range_width
    return Normal(priors.range_middle, 0.15), priors.range_width
