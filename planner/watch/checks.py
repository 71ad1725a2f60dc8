"""The checks of one gouger, in order: its runs between restarts, wet and dry told apart."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from planner.history.cells import plain
from planner.watch.chart import Floats

RESTARTS = ("sharpened", "set")
WET_WORDS = frozenset({"wet", "damp", "soaked", "moist"})
DRY_WORDS = frozenset({"dry", "dried"})

# How much thicker a piece gauges wet than dry, and how sure that is [mm]: 0.01 to 0.02 mm,
# common practice, no source.
WET_OFFSET, WET_OFFSET_SD = 0.015, 0.010
SAME_CANE_DAYS = 31  # further apart, a wet and a dry check say little about each other

# Spread of one check, measuring and piece to piece, before there are any [mm], and how many
# checks that guess is worth. A guess: a dial gauge read to 0.01 mm on cane.
USUAL_SPREAD, USUAL_SPREAD_CHECKS = 0.010, 8.0
# Of the squared differences between neighbours, what each is worth as a free observation:
# von Neumann and others, Annals of Mathematical Statistics 12 (1941), 153 (from memory).
NEIGHBOURS_WORTH = 2 / 3
SLIP = 4.0  # a difference further out than this many spreads counts as this many


class Check(Protocol):
    """A row of the table of checks; the centre may be missing where only an event was noted."""

    @property
    def date(self) -> date: ...  # noqa: D102
    @property
    def gouger(self) -> str | None: ...  # noqa: D102
    @property
    def centre_mm(self) -> float | None: ...  # noqa: D102
    @property
    def left_mm(self) -> float | None: ...  # noqa: D102
    @property
    def right_mm(self) -> float | None: ...  # noqa: D102
    @property
    def event(self) -> str | None: ...  # noqa: D102
    @property
    def note(self) -> str | None: ...  # noqa: D102


@dataclass(frozen=True)
class Series:
    """Measured checks of one gouger, ascending by day; every array is (n,), in mm.

    ``centre``, ``left`` and ``right`` are as gauged, the sides NaN where they weren't; ``wet`` is
    1, 0 or NaN where the note doesn't say; ``run`` numbers the stretches between restarts, and
    ``event`` is with the first check of each what was done to the blade.
    """

    days: tuple[date, ...]
    centre: Floats
    left: Floats
    right: Floats
    wet: Floats
    run: NDArray[np.int64]
    event: tuple[str | None, ...]
    last_run: int
    restart: date | None
    restart_event: str | None

    def __len__(self) -> int:
        return len(self.days)

    @property
    def weeks(self) -> Floats:
        """Weeks since the first check (n,)."""
        return np.array([(day - self.days[0]).days / 7 for day in self.days], dtype=float)

    @property
    def current(self) -> NDArray[np.bool_]:
        """Which checks came with or after the last restart (n,)."""
        return np.asarray(self.run == self.last_run)


def gougers_of(checks: Iterable[Check]) -> tuple[str, ...]:
    """Return the names of the gougers, the one checked last first; "" where none was noted.

    However spaced and in whatever case, a name is one gouger, called as it was written last.
    """
    last: dict[str, tuple[date, str]] = {}
    for check in checks:
        name = check.gouger or ""
        if plain(name) not in last or check.date >= last[plain(name)][0]:
            last[plain(name)] = check.date, name
    found = sorted(last.values(), key=lambda entry: (-entry[0].toordinal(), entry[1]))
    return tuple(name for _, name in found)


def series_of(checks: Iterable[Check], today: date) -> Series:
    """Return the checks up to *today*, in order; a row with an event starts a new run."""
    ordered = sorted((c for c in checks if c.date <= today), key=lambda c: c.date)
    run, restart, restart_event = 0, None, None
    kept: list[tuple[Check, int]] = []
    events: list[str | None] = []
    since_check = None
    for check in ordered:
        if check.event in RESTARTS:
            run, restart, restart_event = run + 1, check.date, check.event
            since_check = check.event
        if check.centre_mm is not None:
            kept.append((check, run))
            events.append(since_check)
            since_check = None
    return Series(
        days=tuple(check.date for check, _ in kept),
        centre=_floats([check.centre_mm for check, _ in kept]),
        left=_floats([check.left_mm for check, _ in kept]),
        right=_floats([check.right_mm for check, _ in kept]),
        wet=_floats([_wet(check.note) for check, _ in kept]),
        run=np.array([number for _, number in kept], np.int64),
        event=tuple(events),
        last_run=run,
        restart=restart,
        restart_event=restart_event,
    )


def _floats(values: Sequence[float | None]) -> Floats:
    return np.array([np.nan if value is None else value for value in values], dtype=float)


def _wet(note: str | None) -> float | None:
    words = set(re.findall(r"\w+", (note or "").lower()))
    wet, dry = bool(words & WET_WORDS), bool(words & DRY_WORDS)
    return None if wet == dry else float(wet)


def wet_offset(series: Series) -> tuple[float, float] | None:
    """Return how much thicker wet pieces gauge and its standard deviation [mm].

    Learned from neighbouring checks of a run, one wet and one dry, on top of what is common;
    None where not both kinds are noted.
    """
    if not ((series.wet == 1).any() and (series.wet == 0).any()):
        return None
    days = np.array([day.toordinal() for day in series.days])
    step = np.diff(series.wet)
    paired = (np.abs(step) == 1) & (np.diff(series.run) == 0) & (np.diff(days) <= SAME_CANE_DAYS)
    differences = (np.diff(series.centre) * step)[paired]
    weight = 1 / WET_OFFSET_SD**2
    # Neighbouring pairs share a check, which half as many free pairs allow for.
    each = 1 / (2 * USUAL_SPREAD**2) / 2
    total = weight + each * len(differences)
    mean = (weight * WET_OFFSET + each * float(differences.sum())) / total
    return mean, float(total**-0.5)


def aligned(series: Series) -> Floats:
    """Return the centres (n,) as if all had been gauged in the state most were. [mm]

    A check without a word on wet or dry counts as most are.
    """
    offset = wet_offset(series)
    if offset is None:
        return series.centre
    usual = float((series.wet == 1).sum() >= (series.wet == 0).sum())
    state = np.where(np.isnan(series.wet), usual, series.wet)
    return series.centre - (state - usual) * offset[0]


def spread_of(series: Series, values: Floats) -> tuple[float, float]:
    """Return the spread of one check [mm], and how much of that knowledge is the checks' own.

    From the differences between neighbours within runs, which a slow drift hardly touches, on
    top of a usual spread that counts as a few checks.
    """
    differences = np.diff(values)[np.diff(series.run) == 0]
    differences = differences[np.isfinite(differences)]
    spread = USUAL_SPREAD
    own = NEIGHBOURS_WORTH * len(differences)
    for _ in range(5):
        far = SLIP * spread * np.sqrt(2)
        squares = float(np.sum(np.clip(differences, -far, far) ** 2)) / 2 * NEIGHBOURS_WORTH
        total = USUAL_SPREAD_CHECKS * USUAL_SPREAD**2 + squares
        spread = float(np.sqrt(total / (USUAL_SPREAD_CHECKS + own)))
    return spread, own / (own + USUAL_SPREAD_CHECKS)
