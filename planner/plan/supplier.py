"""What cane is sold as: the classes of the maker's dealer, learned from what was bought.

Dealers sort more coarsely than makers. Cane of one of their classes is taken to be spread evenly
over it (no source; the maker's own sorting shows how it really is).
"""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from planner.history.tables import CaneMove
from planner.plan.limits import Limits
from planner.plan.stock import Diameters

LATELY = timedelta(days=730)  # dealers change; what was bought before counts if there is no other
LEAST_PART = 0.2  # of a class as sold; for less, most of what comes would lie about: buy it sorted
HAIR = 1e-6


@dataclass(frozen=True)
class Supplier:
    """Classes as sold: those bought so far, the one bought most first; none: as the maker sorts."""

    classes: tuple[Diameters, ...] = ()

    def sold_as(self, wanted: Diameters) -> Diameters:
        """Return the class to buy for a class wanted: the narrowest known one that holds it.

        Where none was bought yet, the classes bought most are carried on to both sides. What would
        have to be sought out of far wider ones is to be bought as it is wanted.
        """
        sold = self._sold_as(wanted)
        return sold if part_of(wanted, sold) >= LEAST_PART - HAIR else wanted

    def _sold_as(self, wanted: Diameters) -> Diameters:
        if not self.classes:
            return wanted
        holding = [
            known
            for known in self.classes
            if known[0] <= wanted[0] + HAIR and wanted[1] <= known[1] + HAIR
        ]
        if holding:
            return min(holding, key=lambda known: round(known[1] - known[0], 6))
        low, high = self.classes[0]
        width = high - low
        steps = ((wanted[0] + wanted[1]) / 2 - low) // width
        return round(low + steps * width, 4), round(high + steps * width, 4)


def supplier_of(moves: Iterable[CaneMove], limits: Limits, today: date) -> Supplier:
    """Return how cane is sold, from what was bought lately.

    Cane bought without a diameter comes of all that the maker takes.
    """
    bought = [move for move in moves if move.from_stage == "supplier"]
    lately = [move for move in bought if move.date > today - LATELY] or bought
    pieces: Counter[Diameters] = Counter()
    for move in lately:
        if move.diameter_low_mm is None or move.diameter_high_mm is None:
            pieces[limits.diameter_min, limits.diameter_max] += move.pieces
        elif move.diameter_high_mm > move.diameter_low_mm + HAIR:
            pieces[move.diameter_low_mm, move.diameter_high_mm] += move.pieces
    wide = [known for known in pieces if known[1] - known[0] > limits.sorted_to + HAIR]
    if 2 * sum(pieces[known] for known in wide) <= pieces.total():
        return Supplier()
    return Supplier(tuple(sorted(wide, key=lambda known: (-pieces[known], known))))


def part_of(wanted: Diameters, sold: Diameters) -> float:
    """Return the part of a class as sold that sorts to the class wanted (0 to 1)."""
    overlap = min(wanted[1], sold[1]) - max(wanted[0], sold[0])
    return max(overlap, 0.0) / (sold[1] - sold[0])
