"""From values and days to places in a picture."""

import math
from dataclasses import dataclass
from datetime import date

NICE = (1.0, 2.0, 2.5, 5.0, 10.0)


@dataclass(frozen=True)
class Scale:
    """A straight scale: ``low`` lies at ``start``, ``high`` at ``end``."""

    low: float
    high: float
    start: float
    end: float

    def __call__(self, value: float) -> float:
        """Return where a value lies; beyond the ends it is held at the end."""
        if self.high == self.low:
            return (self.start + self.end) / 2
        share = min(max((value - self.low) / (self.high - self.low), 0.0), 1.0)
        return self.start + share * (self.end - self.start)

    def ticks(self, about: int = 5) -> tuple[float, ...]:
        """Return round values within the scale, about so many."""
        step = nice_step(self.high - self.low, about)
        first = math.ceil(self.low / step - 1e-9)
        last = math.floor(self.high / step + 1e-9)
        return tuple(round(index * step, 10) for index in range(first, last + 1))


@dataclass(frozen=True)
class Calendar:
    """A scale of days: ``first`` lies at ``start``, ``last`` at ``end``."""

    first: date
    last: date
    start: float
    end: float

    def __call__(self, when: date) -> float:
        """Return where a day begins; beyond the ends it is held at the end."""
        days = max((self.last - self.first).days, 1)
        share = min(max((when - self.first).days / days, 0.0), 1.0)
        return self.start + share * (self.end - self.start)

    def months(self, at_most: int = 12) -> tuple[date, ...]:
        """Return the first days of months within the scale, thinned to so many."""
        year, month = self.first.year, self.first.month
        starts = []
        while (when := date(year, month, 1)) <= self.last:
            if when >= self.first:
                starts.append(when)
            year, month = (year, month + 1) if month < 12 else (year + 1, 1)
        for every in (1, 2, 3, 6, 12, 24, 60, 120):
            kept = tuple(d for d in starts if (12 * d.year + d.month - 1) % every == 0)
            if len(kept) <= at_most:
                return kept
        return kept[:at_most]


def nice_step(width: float, about: int) -> float:
    """Return a round step that divides the width into about so many parts."""
    if width <= 0:
        return 1.0
    rough = width / about
    power: float = 10.0 ** math.floor(math.log10(rough))
    return min(nice * power for nice in NICE if nice * power >= rough * (1 - 1e-9))


def widened(low: float, high: float, *, least: float, step: float) -> tuple[float, float]:
    """Return a range stretched outwards to whole steps, and to at least ``least`` in width."""
    if high - low < least:
        middle = (low + high) / 2
        low, high = middle - least / 2, middle + least / 2
    return (
        round(math.floor(low / step + 1e-9) * step, 10),
        round(math.ceil(high / step - 1e-9) * step, 10),
    )
