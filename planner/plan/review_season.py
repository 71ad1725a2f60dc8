"""The reeds of a season as arrays, and which season is meant."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from planner.air.days import mondays_of
from planner.history.tables import CaneMove, Reed
from planner.opening.observations import Floats

Names = NDArray[np.str_]
Flags = NDArray[np.bool_]

SUMMER_FROM, WINTER_FROM = (4, 1), (10, 1)  # northern halves of the year, by month and day
LONG_AFTER_DAYS = 60  # beyond the maker's own lead, a reed was made with other advice


@dataclass(frozen=True)
class Judged:
    """Judged reeds in the order of their days; every array is (n,).

    ``week`` is the Monday of the week judged in. ``diameter`` is the middle of the class where
    only that is known, ``gouge`` the usual one where none was noted. ``opening`` is of the soaked
    reed (see :func:`judged` for dry ones), NaN where there is none. ``good``, ``closed`` and
    ``open`` go by the verdict where there is one, else by the opening against the wanted range.
    ``row`` is where the reed stands among those given.
    """

    row: NDArray[np.int64]
    day: NDArray[np.datetime64]
    week: NDArray[np.datetime64]
    place: Names
    lot: Names
    diameter: Floats
    gouge: Floats
    gouge_noted: Flags
    opening: Floats
    verdict: Names
    good: Flags
    closed: Flags
    open: Flags

    def __len__(self) -> int:
        return len(self.day)

    def where(self, keep: Flags | NDArray[np.int64]) -> "Judged":
        """Return the reeds that *keep* (n,) picks."""
        return Judged(**{name: values[keep] for name, values in vars(self).items()})


def judged(reeds: Sequence[Reed], wanted: tuple[float, float], usual_gouge: float) -> Judged:
    """Return reeds as arrays, those with neither a verdict nor an opening that counts left out.

    Openings of soaked reeds count, as the wanted range is of those; of a maker who measures dry
    reeds alone the range is of dry reeds, in the model as here, and all count.
    """
    state = "soaked" if any(map(_soaked, reeds)) else "dry"
    openings = [_opening(reed, state) for reed in reeds]
    rows = [i for i, reed in enumerate(reeds) if reed.verdict or not np.isnan(openings[i])]
    rows.sort(key=lambda i: reeds[i].date)
    kept = [reeds[i] for i in rows]
    opening = np.array([openings[i] for i in rows], dtype=float)
    verdict = np.array([reed.verdict or "" for reed in kept], dtype=np.str_)
    silent = verdict == ""
    closed = (verdict == "closed") | (silent & (opening < wanted[0]))
    too_open = (verdict == "open") | (silent & (opening > wanted[1]))
    day = np.array([reed.date for reed in kept], dtype="datetime64[D]")
    gouge = np.array([reed.gouge_mm or np.nan for reed in kept], dtype=float)
    return Judged(
        row=np.array(rows, np.int64),
        day=day,
        week=mondays_of(day),
        place=np.array([reed.place for reed in kept], dtype=np.str_),
        lot=np.array([reed.lot or "" for reed in kept], dtype=np.str_),
        diameter=np.array([_diameter(reed) for reed in kept], dtype=float),
        gouge=np.where(np.isnan(gouge), usual_gouge, gouge),
        gouge_noted=~np.isnan(gouge),
        opening=opening,
        verdict=verdict,
        good=~closed & ~too_open,
        closed=closed,
        open=too_open,
    )


def _soaked(reed: Reed) -> bool:
    return reed.opening_mm is not None and reed.measured != "dry"


def _opening(reed: Reed, state: str) -> float:
    counts = reed.opening_mm is not None and (reed.measured == "dry") == (state == "dry")
    return reed.opening_mm if counts and reed.opening_mm is not None else float("nan")


def _diameter(reed: Reed) -> float:
    if reed.diameter_mm is not None:
        return reed.diameter_mm
    return ((reed.diameter_low_mm or np.nan) + (reed.diameter_high_mm or np.nan)) / 2


def judged_late(reeds: Judged, moves: Iterable[CaneMove], lead_days: int) -> Flags:
    """Return which reeds (n,) were judged long after their cane was gouged.

    By the ledger's last gouging of the lot before the reed was judged; a lot that the ledger
    doesn't show counts as made in time.
    """
    late = np.zeros(len(reeds), np.bool_)
    limit = np.timedelta64(lead_days + LONG_AFTER_DAYS, "D")
    gouged: dict[str, list[date]] = {}
    for move in moves:
        if move.to_stage == "gouged" and move.lot:
            gouged.setdefault(move.lot, []).append(move.date)
    for lot, dates in gouged.items():
        days = np.sort(np.array(dates, dtype="datetime64[D]"))
        here = np.flatnonzero(reeds.lot == lot)
        last = np.searchsorted(days, reeds.day[here], side="right") - 1
        known = last >= 0
        late[here[known]] = reeds.day[here[known]] - days[last[known]] > limit
    return late


@dataclass(frozen=True)
class Half:
    """A season: its first and last day, and its name."""

    first: date
    last: date
    name: str


def last_half(today: date, *, southern: bool = False) -> Half:
    """Return the winter or summer half that ended last before *today*."""
    year = today.year
    starts = [date(y, *start) for y in (year - 1, year) for start in (SUMMER_FROM, WINTER_FROM)]
    begun = [start for start in starts if start <= today]
    return _half(begun[-2], begun[-1] - timedelta(days=1), southern=southern)


def _half(first: date, last: date, *, southern: bool) -> Half:
    summer = (first.month == SUMMER_FROM[0]) != southern
    years = str(first.year)
    if last.year != first.year:
        years += f"/{last.year % 100:02d}"
    return Half(first, last, f"{'summer' if summer else 'winter'} half {years}")


def season(first: date | None, last: date | None, today: date, *, southern: bool = False) -> Half:
    """Return the season meant by the days given; without any, the last half that ended.

    With one day only: a half year from it, or up to it, never beyond *today*.

    Raises
    ------
    ValueError
        If it would end before it begins, or begin after *today*.
    """
    if first is None and last is None:
        return last_half(today, southern=southern)
    half_year = timedelta(days=182)
    if first is None:
        assert last is not None
        first = last - half_year
    last = min(today, last or first + half_year)
    if first > last:
        raise ValueError(f"a season from {first.isoformat()} to {last.isoformat()}")
    half = _half_of(first, southern=southern)
    return half if (half.first, half.last) == (first, last) else Half(first, last, "")


def _half_of(day: date, *, southern: bool) -> Half:
    """The half year that holds a day."""
    if SUMMER_FROM <= (day.month, day.day) < WINTER_FROM:
        return _half(date(day.year, *SUMMER_FROM), date(day.year, 9, 30), southern=southern)
    year = day.year - (day.month < SUMMER_FROM[0])
    return _half(date(year, *WINTER_FROM), date(year + 1, 3, 31), southern=southern)


def weeks_of(half: Half) -> tuple[date, ...]:
    """Return the Mondays of the weeks that a season touches."""
    monday = half.first - timedelta(days=half.first.weekday())
    count = (half.last - monday).days // 7 + 1
    return tuple(monday + timedelta(days=7 * i) for i in range(count))
