"""What the page shows beside the plan itself: the gouger, the openings, the stock. Plain values."""

from dataclasses import dataclass
from datetime import date

from planner.plan.documents import Spread


@dataclass(frozen=True)
class GougeCheck:
    """One check of the gouger: its centre thickness, and the running mean after it. [mm]"""

    day: date
    centre_mm: float
    mean_mm: float


@dataclass(frozen=True)
class GougeEvent:
    """Something done to the gouger: ``sharpened`` or ``set``."""

    day: date
    event: str


@dataclass(frozen=True)
class GougerShown:
    """The gouger's chart: its checks, the target, and the limits of the running mean. [mm]

    ``words`` say where it stands; ``next_check`` is None where none is due yet.
    """

    name: str
    target_mm: float
    low_mm: float
    high_mm: float
    checks: tuple[GougeCheck, ...]
    events: tuple[GougeEvent, ...] = ()
    words: str = ""
    next_check: date | None = None


@dataclass(frozen=True)
class JudgedReed:
    """A judged reed beside what the model expected of it. [mm]

    ``verdict`` is ``closed``, ``good``, ``open`` or empty; a reed has an opening or a verdict.
    """

    day: date
    opening_mm: float | None
    verdict: str
    expected_mm: Spread


@dataclass(frozen=True)
class HistoryShown:
    """The openings of a history against the model, and the range that the maker wants. [mm]

    ``words`` say how well they agree, as the caller has reckoned it.
    """

    reeds: tuple[JudgedReed, ...]
    wanted_low_mm: float
    wanted_high_mm: float
    words: str = ""


@dataclass(frozen=True)
class ClassStock:
    """Pieces of one diameter class [mm] at hand, needed within the plan, and short."""

    diameter_low_mm: float
    diameter_high_mm: float
    at_hand: int
    needed: int
    short: int


@dataclass(frozen=True)
class StockShown:
    """Stock against need by class, and what it comes to in words."""

    classes: tuple[ClassStock, ...]
    words: str = ""
