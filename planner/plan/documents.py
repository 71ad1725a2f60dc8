"""What a page, a terminal and another program are shown: frozen, plain values, no arrays.

Field names are the keys of ``--json``; units stand in the names. Changing one is a change of the
schema.
"""

from dataclasses import dataclass, field
from datetime import date

from planner.spread import Spread
from planner.watch.documents import RunNote

SCHEMA_VERSION = 1


@dataclass(frozen=True)
class DiameterAdvice:
    """Diameters to take: the best one and the range about as good. [mm]"""

    low: float
    best: float
    high: float


@dataclass(frozen=True)
class GougeAdvice:
    """Gouge to aim for, and the range about as good. [mm]"""

    low: float
    target: float
    high: float


@dataclass(frozen=True)
class WeekAdvice:
    """What to take for reeds judged in the week of ``week_start`` (a Monday), for one place."""

    week_start: date
    place: str
    sort_by: date
    weather: str  # forecast, mixed or climate
    room_rh_pct: Spread
    moisture_pct: Spread
    diameter_mm: DiameterAdvice
    gouge_mm: GougeAdvice
    in_band_share: float
    in_band_share_usual: float
    opening_mm: Spread
    bench_opening_mm: Spread | None  # for a place other than the bench: where to leave it there
    why: str


@dataclass(frozen=True)
class Effect:
    """One effect of the opening model, and where the knowledge of it comes from.

    ``from_history`` is the share (0 to 1) by which the history has narrowed the prior.
    """

    name: str  # diameter, gouge, moisture
    unit: str
    estimate: float
    low: float  # 10th percentile
    high: float  # 90th percentile
    from_history: float


@dataclass(frozen=True)
class Basis:
    """What the plan rests on."""

    reeds: int
    with_mm: int
    with_verdict: int
    first_reed: date | None
    last_reed: date | None
    grade: str
    grade_why: str
    effects: tuple[Effect, ...]
    season_worth: str
    wanted_low_mm: float
    wanted_high_mm: float
    wanted_learned: bool
    readings: int
    weather_years: float
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Spell:
    """A run of weeks that asks for other cane than usual."""

    place: str
    kind: str  # dry or humid
    first_week: date
    last_week: date
    diameter_mm: float  # expected best diameter in it
    shift_mm: float  # against the usual diameter
    probability: float
    room_rh_pct: Spread
    words: str


@dataclass(frozen=True)
class Preparation:
    """One thing to do by a day."""

    by: date
    action: str  # sort, gouge, order
    diameter_low_mm: float
    diameter_high_mm: float
    gouge_mm: float | None
    pieces: int
    place: str
    week_start: date | None
    words: str


@dataclass(frozen=True)
class SameCane:
    """Places whose reeds are made of the same cane, for the week that cane is taken for now."""

    week_start: date
    sort_by: date
    diameter_low_mm: float
    diameter_high_mm: float
    gouge_mm: float
    places: tuple[str, ...]
    reeds: int
    pieces: int  # to gouge
    words: str


@dataclass(frozen=True)
class StockLine:
    """Stock against need of one class; the diameters are None for cane not sorted yet.

    The sums are in pieces: a tube holds three.
    """

    diameter_low_mm: float | None
    diameter_high_mm: float | None
    tubes: int
    split: int
    gouged: int
    tied: int
    at_hand_pieces: int
    needed_pieces: int  # of those at hand that the planned weeks use, and what is short
    short_pieces: int
    surplus_pieces: int
    words: str


@dataclass(frozen=True)
class YieldLine:
    """Pieces that come through a step, of each hundred that begin it."""

    from_stage: str
    to_stage: str
    share: float
    low_share: float  # 10th percentile
    high_share: float  # 90th percentile
    pieces_seen: int  # in the maker's own ledger


@dataclass(frozen=True)
class Source:
    """Where data came from, and what its licence asks us to say."""

    name: str
    licence: str
    attribution: str
    as_of: date | None = None


@dataclass(frozen=True)
class WatchNote:
    """What the watch over openings and gougers has to say this week."""

    about: str  # openings, gouger
    words: str
    run: RunNote | None  # of the openings


@dataclass(frozen=True)
class WorkshopLine:
    """The workshop as the plan saw it."""

    name: str
    bench: str
    places: tuple[str, ...]
    usual_diameter_mm: float
    usual_gouge_mm: float
    sorted_to_mm: float
    diameter_min_mm: float
    diameter_max_mm: float


@dataclass(frozen=True)
class PlanDocument:
    """The plan: everything that the page shows."""

    schema_version: int
    today: date
    workshop: WorkshopLine
    basis: Basis
    weeks: tuple[WeekAdvice, ...]
    spells: tuple[Spell, ...] = ()
    prepare: tuple[Preparation, ...] = ()
    warnings: tuple[str, ...] = ()
    sources: tuple[Source, ...] = ()
    trials: tuple[str, ...] = field(default=())
    same_cane: tuple[SameCane, ...] = ()
    stock: tuple[StockLine, ...] = ()
    yields: tuple[YieldLine, ...] = ()
    prepare_notes: tuple[str, ...] = ()
    watch: tuple[WatchNote, ...] = ()
