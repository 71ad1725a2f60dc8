"""What the review of a season shows: frozen, plain values. Field names are the keys of ``--json``.

Shares are 0 to 1. A *worth* is a difference of expected shares in the wanted range: 0.05 is five
good reeds more in a hundred.
"""

from dataclasses import dataclass
from datetime import date

from planner.plan.documents import DiameterAdvice, GougeAdvice, Source
from planner.spread import Spread

SCHEMA_VERSION = 1


@dataclass(frozen=True)
class ReviewWeek:
    """One week at one place: what was advised in time, and what came out.

    ``planned_on`` is the day as of which it was planned again: the day its cane was to be sorted.
    ``predicted_share`` is for the reeds as they were made, ``advised_share`` what the plan
    promised for its own diameter and gouge. None where there was nothing: no plan, no reeds.
    """

    week_start: date
    place: str
    planned_on: date
    weather: str | None  # forecast, mixed, climate; None without a plan
    diameter_mm: DiameterAdvice | None
    gouge_mm: GougeAdvice | None
    advised_share: float | None
    reeds: int
    good: int
    closed: int
    open: int
    seen_share: float | None
    predicted_share: float | None
    made_diameter_mm: float | None  # the mean of the reeds made
    made_gouge_mm: float | None
    opening_mm: Spread | None  # expected of the reeds as made
    seen_opening_mm: float | None
    room_rh_pct: Spread | None  # expected
    seen_room_rh_pct: float | None
    note: str


@dataclass(frozen=True)
class Group:
    """Reeds of one place, lot or class of diameter: share in range predicted and seen.

    ``seen_low`` to ``seen_high`` is where the true share may lie, 80 in 100, reeds of one week or
    lot taken to hang together as far as they do.
    """

    name: str
    reeds: int
    predicted_share: float | None
    seen_share: float
    seen_low: float
    seen_high: float
    error_mm: float | None  # mean of seen minus expected opening
    mm_reeds: int


@dataclass(frozen=True)
class CalibrationRow:
    """Reeds of which about the same was promised: how many came good."""

    low: float
    high: float
    reeds: int
    predicted_share: float
    seen_share: float


@dataclass(frozen=True)
class Calibration:
    """Whether the promised shares were kept.

    The Brier score (0 best) is reliability - resolution + uncertainty + within; its ``skill`` is
    against promising every reed the season's own share. ``chance`` is how often a right plan
    would be as far off, reeds of one week or lot hanging together; ``weeks`` and ``lots`` are how
    many of them there were. ``pit`` counts where the seen openings fell among the expected, in
    five equal parts; ``pit_chance`` is how often such unevenness comes by chance. ``inside_80``
    is the share of openings within the interval that promised 80, and where it may truly lie, 80
    in 100.
    """

    reeds: int
    predicted_share: float
    seen_share: float
    chance: float
    weeks: int
    lots: int
    brier: float
    reliability: float
    resolution: float
    uncertainty: float
    within: float
    skill: float
    rows: tuple[CalibrationRow, ...]
    mm_reeds: int
    pit: tuple[int, ...]
    pit_chance: float | None
    inside_80: float | None
    inside_80_low: float | None
    inside_80_high: float | None


@dataclass(frozen=True)
class ErrorRow:
    """How far one way of expecting the opening was off.

    ``crps_mm`` scores the spread that it gave too, and is nought for a sure and right one.
    """

    name: str  # plan, last_reeds, last_year
    reeds: int
    mean_mm: float
    absolute_mm: float
    crps_mm: float | None


@dataclass(frozen=True)
class Rival:
    """The plan's diameters against another choice, over the same reeds, with hindsight.

    ``made`` is what the maker took, ``usual`` one diameter all the season, ``calendar`` a class
    rounder in the winter months and one flatter in the summer months, ``last_year`` what was
    advised for the same weeks a year before. ``worth`` and ``reeds_more`` are p10, p50, p90.
    """

    name: str
    reeds: int
    share: float
    plan_share: float
    worth: Spread
    reeds_more: Spread
    probability: float  # that the plan was the better choice
    diameter_low_mm: float
    diameter_high_mm: float


@dataclass(frozen=True)
class Following:
    """Reeds taken within the advised range against the others, as they came out.

    They were made in other weeks and of other lots, so this is no proof of anything.
    """

    followed: int
    followed_share: float | None
    other: int
    other_share: float | None
    steps_off: float | None  # mean distance of the others from the range, in sorting steps


@dataclass(frozen=True)
class OutlookScore:
    """How good the outlook of a place's room was: weekly humidity, expected against come.

    What came is reckoned with the weather that came. ``usual_absolute_error_pct`` is how far off
    the season's own mean would have been, said for every week.
    """

    place: str
    weeks: int
    mean_error_pct: float
    absolute_error_pct: float
    crps_pct: float
    inside_80: float
    usual_absolute_error_pct: float


@dataclass(frozen=True)
class RoomScore:
    """How good the room model was: weekly means against the hygrometer's of that season."""

    place: str
    weeks: int
    readings: int
    mean_error_pct: float
    absolute_error_pct: float


@dataclass(frozen=True)
class MissCause:
    """What moved the missed reeds away from the middle of the range, in hindsight.

    ``share`` of the distance, all causes together 1; below nought it held against the miss.
    """

    name: str  # diameter, gouge, lot, room, level, reed
    share: float
    mm: float
    what: str = ""


@dataclass(frozen=True)
class ReviewDocument:
    """The review of a season: everything that its page shows."""

    schema_version: int
    today: date
    season_from: date
    season_to: date
    season: str  # "winter half 2025/26", or the days
    workshop: str
    bench: str
    wanted_low_mm: float
    wanted_high_mm: float
    reeds: int
    good: int
    seen_share: float | None
    predicted_share: float | None
    verdict: str  # one sentence: did the plan fit
    worth: Rival | None  # the rival the maker would have followed instead
    weeks: tuple[ReviewWeek, ...]
    by_place: tuple[Group, ...]
    by_lot: tuple[Group, ...]
    by_diameter: tuple[Group, ...]
    calibration: Calibration | None
    errors: tuple[ErrorRow, ...]
    rivals: tuple[Rival, ...]
    following: Following | None
    outlook: tuple[OutlookScore, ...]
    room: tuple[RoomScore, ...]
    misses: tuple[MissCause, ...]
    next_season: tuple[str, ...]  # three sentences
    notes: tuple[str, ...] = ()
    sources: tuple[Source, ...] = ()
