"""How well the plan's promises were kept: shares, openings, the room ahead and the room now."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from planner.opening.observations import Floats
from planner.plan.clusters import chance_of_nought, clusters_of, effective_number
from planner.plan.review_documents import (
    Calibration,
    CalibrationRow,
    ErrorRow,
    OutlookScore,
    RoomScore,
)
from planner.plan.review_forecast import Forecast, PlannedWeek
from planner.plan.review_groups import share_interval
from planner.plan.review_season import Judged
from planner.plan.scores import (
    PIT_BINS,
    brier,
    brier_parts,
    coverage,
    crps_members,
    crps_normal,
    pit_counts,
)
from planner.spread import LEVELS

ROWS = 5
REEDS_A_ROW = 8  # fewer in a row only show noise
LAST_REEDS = 20
FEWEST = 5  # reeds, for their mean and spread to be held against the plan
LEAST_SPREAD = 0.01  # mm, what an opening is read to
YEAR = np.timedelta64(364, "D")


def calibration(reeds: Judged, expected: Forecast) -> Calibration | None:
    """Return whether the promised shares were kept; None where nothing was planned."""
    planned = expected.planned
    if not planned.any():
        return None
    promised, good = expected.share[planned], reeds.good[planned].astype(float)
    number = _rows_of(promised)
    parts, score = brier_parts(promised, good, number), brier(promised, good)
    own = reeds.where(planned)
    weeks, lots = clusters_of(own.week), clusters_of(own.lot)
    mm = planned & np.isfinite(reeds.opening)
    counts, chance = _pit(expected.pit[mm], reeds.where(mm))
    inside, low, high = _inside(reeds.where(mm), expected.low[mm], expected.high[mm])
    return Calibration(
        reeds=int(planned.sum()),
        predicted_share=float(promised.mean()),
        seen_share=float(good.mean()),
        chance=chance_of_nought(good - promised, weeks, lots),
        weeks=len(np.unique(weeks)),
        lots=len(np.unique(own.lot[own.lot != ""])),
        brier=score,
        reliability=parts.reliability,
        resolution=parts.resolution,
        uncertainty=parts.uncertainty,
        within=parts.within,
        skill=1 - score / parts.uncertainty if parts.uncertainty > 0 else 0.0,
        rows=tuple(_row(promised[number == i], good[number == i]) for i in np.unique(number)),
        mm_reeds=int(mm.sum()),
        pit=tuple(counts.tolist()),
        pit_chance=chance if mm.any() else None,
        inside_80=inside,
        inside_80_low=low,
        inside_80_high=high,
    )


def _inside(
    reeds: Judged, low: Floats, high: Floats
) -> tuple[float | None, float | None, float | None]:
    """Share of openings within *low* to *high* (n,), and where it may truly lie."""
    if not len(reeds):
        return None, None, None
    inside = ((reeds.opening >= low) & (reeds.opening <= high)).astype(float)
    own = effective_number(inside, clusters_of(reeds.week), clusters_of(reeds.lot))
    return float(inside.mean()), *share_interval(int(inside.sum()), len(inside), own)


def _pit(pit: Floats, reeds: Judged) -> tuple[NDArray[np.int64], float]:
    """Counts in equal parts, and the chance of such unevenness among reeds that hang together."""
    bins = np.minimum((pit * PIT_BINS).astype(int), PIT_BINS - 1)
    weeks, lots = clusters_of(reeds.week), clusters_of(reeds.lot)
    own = [effective_number((bins == i).astype(float), weeks, lots) for i in range(PIT_BINS)]
    return pit_counts(pit, effective=float(np.mean(own)) if len(pit) else None)


def _rows_of(promised: Floats) -> NDArray[np.int64]:
    """Number (n,) of the row each promise falls in: about as many reeds in each."""
    rows = int(np.clip(len(promised) // REEDS_A_ROW, 1, ROWS))
    edges = np.unique(np.quantile(promised, np.arange(1, rows) / rows))
    return np.searchsorted(edges, promised, side="right").astype(np.int64)


def _row(promised: Floats, good: Floats) -> CalibrationRow:
    return CalibrationRow(
        low=float(promised.min()),
        high=float(promised.max()),
        reeds=len(promised),
        predicted_share=float(promised.mean()),
        seen_share=float(good.mean()),
    )


def errors(
    reeds: Judged, expected: Forecast, history: Judged, *, lead_days: int
) -> tuple[ErrorRow, ...]:
    """Return how far off the plan's openings were, and two that know nothing of cane or weather.

    ``last_reeds``: the mean of the last 20 reeds then known; ``last_year``: the mean of the same
    weeks a year before. *history* holds all judged reeds, those of the season too. All over the
    same reeds, those that each can speak of.
    """
    scored = np.flatnonzero(expected.planned & np.isfinite(reeds.opening))
    if not len(scored):
        return ()
    seen = reeds.opening[scored]
    known = history.where(np.isfinite(history.opening))
    begun = reeds.week[scored] - np.timedelta64(lead_days, "D")
    rows = (
        _error("plan", seen - expected.middle[scored], expected.crps[scored]),
        _against("last_reeds", seen, *_last_reeds(known, begun)),
        _against("last_year", seen, *_year_before(known, reeds.week[scored])),
    )
    return tuple(row for row in rows if row.reeds)


def _against(name: str, seen: Floats, mean: Floats, spread: Floats) -> ErrorRow:
    return _error(name, seen - mean, crps_normal(seen, mean, spread))


def _error(name: str, off: Floats, crps: Floats) -> ErrorRow:
    known = np.isfinite(off) & np.isfinite(crps)
    off, crps = off[known], crps[known]
    if not len(off):
        return ErrorRow(name, 0, 0.0, 0.0, None)
    return ErrorRow(
        name, len(off), float(off.mean()), float(np.abs(off).mean()), float(crps.mean())
    )


def _last_reeds(known: Judged, begun: NDArray[np.datetime64]) -> tuple[Floats, Floats]:
    """Mean and spread of the last openings judged by each of the days *begun* (n,). [mm]"""
    sums, squares = (
        np.concatenate([[0.0], np.cumsum(values)]) for values in (known.opening, known.opening**2)
    )
    end = np.searchsorted(known.day, begun, side="right")
    start = np.maximum(0, end - LAST_REEDS)
    count = np.where(end - start >= FEWEST, end - start, np.nan)
    mean = (sums[end] - sums[start]) / count
    square = (squares[end] - squares[start]) / count - mean**2
    return mean, _spread(square, count)


def _year_before(known: Judged, weeks: NDArray[np.datetime64]) -> tuple[Floats, Floats]:
    """Mean and spread of the openings of the same weeks a year before, alike for all (n,). [mm]"""
    own = known.opening[np.isin(known.week, np.unique(weeks) - YEAR)]
    if len(own) < FEWEST:
        nothing = np.full(len(weeks), np.nan)
        return nothing, nothing
    spread = _spread(np.full(len(weeks), own.var()), len(own))
    return np.full(len(weeks), own.mean()), spread


def _spread(square: Floats, count: Floats | int) -> Floats:
    """Spread of a coming reed: of those seen, and of their mean; at least what is read. [mm]"""
    return np.maximum(LEAST_SPREAD, np.sqrt(np.maximum(square, 0.0) * (1 + 1 / count)))


def outlook_scores(
    planned: dict[tuple[date, str], PlannedWeek], come: dict[tuple[date, str], float]
) -> tuple[OutlookScore, ...]:
    """Return how good the outlook of each place's room was, over the weeks that have come."""
    places = dict.fromkeys(place for _, place in planned)
    return tuple(
        _outlook(place, [(planned[key], come[key]) for key in keys])
        for place in places
        if (keys := [key for key in planned if key[1] == place and key in come])
    )


def _outlook(place: str, pairs: Sequence[tuple[PlannedWeek, float]]) -> OutlookScore:
    seen = np.array([value for _, value in pairs], dtype=float)
    members = np.stack([plan.room_rh for plan, _ in pairs], axis=1)
    low, middle, high = np.percentile(members, LEVELS, axis=0)
    return OutlookScore(
        place=place,
        weeks=len(pairs),
        mean_error_pct=float((seen - middle).mean()),
        absolute_error_pct=float(np.abs(seen - middle).mean()),
        crps_pct=float(crps_members(seen, members).mean()),
        inside_80=coverage(seen, low, high),
        usual_absolute_error_pct=float(np.abs(seen - seen.mean()).mean()),
    )


@dataclass(frozen=True)
class RoomWeek:
    """A week of a room: by the hygrometer, and as the model as of the season's start has it. [%]"""

    place: str
    readings: int
    read_pct: float
    model_pct: float


def room_scores(weeks: Sequence[RoomWeek]) -> tuple[RoomScore, ...]:
    """Return how good the room model of each place was, over the weeks with readings."""
    scores = []
    for place in dict.fromkeys(week.place for week in weeks):
        own = [week for week in weeks if week.place == place]
        off = np.array([week.read_pct - week.model_pct for week in own])
        scores.append(
            RoomScore(
                place=place,
                weeks=len(own),
                readings=sum(week.readings for week in own),
                mean_error_pct=float(off.mean()),
                absolute_error_pct=float(np.abs(off).mean()),
            )
        )
    return tuple(scores)
