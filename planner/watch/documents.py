"""What the watch tells: frozen, plain values, put into words by the report.

Field names are the keys of ``--json``.
"""

from dataclasses import dataclass
from datetime import date

from planner.spread import Spread

SCHEMA_VERSION = 1


@dataclass(frozen=True)
class ChartPoint:
    """One check on the chart; the limits are those of the average, not of the check.

    ``wet`` is None where the note doesn't say. ``event`` is ``sharpened`` or ``set`` where the
    chart starts anew with this check.
    """

    date: date
    centre_mm: float
    average_mm: float
    low_mm: float
    high_mm: float
    called: bool
    event: str | None = None
    wet: bool | None = None


@dataclass(frozen=True)
class Sides:
    """Centre against sides since the last restart.

    ``tilt_mm`` is left minus right, ``fall_mm`` centre minus the mean of the sides and
    ``fall_change_mm`` how much that has changed since the restart. ``finding`` is ``even``,
    ``tilted``, ``worn`` or ``unknown``.
    """

    checks: int
    tilt_mm: Spread | None
    fall_mm: Spread | None
    fall_change_mm: Spread | None
    finding: str


@dataclass(frozen=True)
class CatchRow:
    """With so many checks a week, a sudden change of 0.01 mm is called after so many pieces.

    Means over many such changes; ``slow_pieces`` the same for wear of 0.01 mm a week.
    """

    checks_per_week: int
    pieces_a_check: int
    pieces: int
    slow_pieces: int


@dataclass(frozen=True)
class Frequency:
    """How often to check. ``checks_per_week`` is what we recommend, of ``pieces_a_check``."""

    checks_per_week: int
    pieces_a_check: int
    within_pieces: int
    pieces_per_week: float
    reached: bool
    rows: tuple[CatchRow, ...]


@dataclass(frozen=True)
class GougerState:
    """One gouger: where it stands, whether it drifts, and what to do.

    ``state`` is one of ``steady``, ``thin``, ``thick`` (the chart has called: the centre comes
    out thinner or thicker than aimed), ``unstable`` (at or near the thinnest allowed), ``few``
    (too few checks to say) and ``none``. ``now_mm`` is where the centre now stands,
    ``drift_mm_per_week`` positive where it gets thicker. ``leaves_on`` is when it is expected to
    leave the tolerance, ``leaves_from`` the early end of that; None where it isn't in sight
    within a year. ``thinnest_from`` is the early end of when it gets as thin as is allowed.
    """

    gouger: str
    state: str
    checks: int
    checks_since_restart: int
    restart: date | None
    restart_event: str | None
    last_check: date | None
    now_mm: Spread | None
    average_mm: float | None
    average_low_mm: float | None
    average_high_mm: float | None
    since: date | None  # of the state the chart has called
    spread_mm: float
    spread_from_checks: float  # 0: general experience only, 1: this gouger's checks only
    drift_mm_per_week: Spread | None
    leaves: str | None  # thin or thick
    leaves_on: date | None
    leaves_from: date | None
    thinnest_from: date | None
    wet_offset_mm: Spread | None
    sides: Sides
    frequency: Frequency
    next_check: date
    points: tuple[ChartPoint, ...]


@dataclass(frozen=True)
class GougeDocument:
    """The answer of ``gouge``."""

    schema_version: int
    today: date
    target_mm: float
    low_mm: float
    high_mm: float
    tolerance_mm: float
    false_alarm_checks: int
    gougers: tuple[GougerState, ...]
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True)
class Cause:
    """A likely cause of a run, with its share (0 to 1) among the causes weighed.

    ``what`` is the lot, the gouger or the place it would be; nothing for the level.
    """

    name: str  # lot, gouge, level, room
    share: float
    what: str = ""


@dataclass(frozen=True)
class RunNote:
    """A run of openings that came out too closed or too open, and what to change.

    ``off_mm`` is how far the openings of the run came out beyond what was expected, and
    ``left_mm`` how much of it the model hasn't followed yet: what ``correction_mm`` from the
    diameter advised to ``diameter_mm``, in the maker's class from ``class_low_mm`` to
    ``class_high_mm``, makes up for; None where the effect of diameter is too little known.
    ``followed``: nothing is left, and there is no correction. ``causes`` are the likeliest first.
    """

    kind: str  # closed or open
    since: date
    last: date
    reeds: int
    off_mm: Spread
    left_mm: Spread
    followed: bool
    causes: tuple[Cause, ...]
    correction_mm: float | None
    diameter_mm: float | None
    class_low_mm: float | None
    class_high_mm: float | None
