"""How many pieces come through each step of the work, learned from the stock ledger.

Each step has a Beta prior from trade practice, which the ledger's own movements narrow: a piece
that went on counts as come through, a piece discarded there as lost (Beta-binomial, Gelman et al.,
Bayesian Data Analysis, 3rd edition 2013, section 2.1).
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import log, sqrt

from planner.history.ledger import PIECES_PER_TUBE, arriving
from planner.history.tables import CaneMove

STAGES = ("tube", "split", "gouged", "tied", "finished")
DISCARDED = "discarded"


@dataclass(frozen=True)
class Rate:
    """Share of pieces that come through a step: a Beta distribution with counts ``a`` and ``b``."""

    a: float
    b: float

    @property
    def mean(self) -> float:
        """Expected share."""
        return self.a / (self.a + self.b)

    @property
    def sd(self) -> float:
        """Standard deviation of the share."""
        total = self.a + self.b
        return sqrt(self.a * self.b / (total**2 * (total + 1)))

    def middle_80(self) -> tuple[float, float]:
        """Return the 10th and 90th percentile of the share."""
        from scipy.special import betaincinv

        low, high = betaincinv(self.a, self.b, (0.1, 0.9))
        return float(low), float(high)

    def after(self, through: float, lost: float) -> "Rate":
        """Return the rate after so many pieces came through and were lost."""
        return Rate(self.a + through, self.b + lost)


# Steps by the stage that they begin at. Common practice, no source; the ranges are taken for the
# middle 80 in 100: splitting loses few, straightness leaves 40-70 in 100 to gouge, gouged to tied
# 80-95, tied to usable 40-80.
PRIORS: Mapping[str, Rate] = {
    "tube": Rate(28.0, 1.5),
    "split": Rate(9.5, 7.8),
    "gouged": Rate(26.0, 3.6),
    "tied": Rate(5.3, 3.6),
}


@dataclass(frozen=True)
class Yields:
    """Rates by the stage that each step begins at.

    ``counted`` is how many pieces the ledger has shown at each step; ``notes`` what it can't tell.
    """

    rates: Mapping[str, Rate]
    counted: Mapping[str, int]
    notes: tuple[str, ...] = ()

    def from_stage(self, stage: str) -> float:
        """Return the expected finished reeds from one piece at a stage."""
        product = 1.0
        for step in STAGES[STAGES.index(stage) : -1]:
            product *= self.rates[step].mean
        return product

    def pieces(self, stage: str, reeds: float) -> int:
        """Return the whole pieces at a stage for so many finished reeds."""
        return whole(reeds / self.from_stage(stage))

    def tubes(self, reeds: float) -> int:
        """Return the whole tubes for so many finished reeds."""
        return tubes_of(reeds / self.from_stage("tube"))


def whole(pieces: float) -> int:
    """Return the number rounded up, a hair above a whole number counting as that number."""
    return int(-(-(pieces - 1e-6) // 1))


def tubes_of(pieces: float) -> int:
    """Return the whole tubes that hold so many pieces."""
    return whole(pieces / PIECES_PER_TUBE)


def learn_yields(
    moves: Iterable[CaneMove],
    *,
    priors: Mapping[str, Rate] = PRIORS,
    pieces_per_good_reed: float | None = None,
) -> Yields:
    """Return the yields after the ledger's movements.

    ``pieces_per_good_reed`` is the maker's own figure of pieces gouged for one good reed; where it
    is given it settles the steps from gouged on, whatever the ledger says.
    """
    rows = list(moves)
    through, lost = _counts(rows)
    noted = sum(lost.values()) > 0
    rates = {
        step: rate.after(through[step], lost[step]) if noted else rate
        for step, rate in priors.items()
    }
    notes = []
    if sum(through.values()) and not noted:
        notes.append(
            "The cane table shows no discarded piece, so the yields are general experience; note "
            "what you discard and they become your own."
        )
    if pieces_per_good_reed is not None:
        rates = _settled(rates, pieces_per_good_reed)
    counted = {step: (through[step] + lost[step]) if noted else 0 for step in priors}
    return Yields(rates, counted, tuple(notes))


def _counts(moves: Sequence[CaneMove]) -> tuple[dict[str, int], dict[str, int]]:
    """Pieces that went on from each step, and that were discarded there."""
    through = dict.fromkeys(STAGES[:-1], 0)
    lost = dict.fromkeys(STAGES[:-1], 0)
    for move in moves:
        if move.from_stage not in through:
            continue
        pieces = arriving(move.from_stage, move.pieces)
        if move.to_stage == DISCARDED:
            lost[move.from_stage] += pieces
            continue
        # A step left out in the ledger was still gone through.
        if move.to_stage in STAGES:
            passed = STAGES[STAGES.index(move.from_stage) : STAGES.index(move.to_stage)]
            for step in passed:
                through[step] += pieces
    return through, lost


def _settled(rates: Mapping[str, Rate], pieces_per_good_reed: float) -> dict[str, Rate]:
    """Rates whose steps from gouged on come to the maker's figure, each in its proportion."""
    product = rates["gouged"].mean * rates["tied"].mean
    wanted = min(1.0, 1.0 / pieces_per_good_reed)
    power = log(wanted) / log(product)
    settled = dict(rates)
    for step in ("gouged", "tied"):
        mean = rates[step].mean ** power
        certain = 1e6  # the maker's own word: no doubt about it is reckoned with
        settled[step] = Rate(mean * certain, max((1.0 - mean) * certain, 1e-9))
    return settled
