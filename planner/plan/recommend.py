"""What to take for each coming week at one place: members in, one advice a week out."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from planner.air.days import Dates
from planner.opening.draws import EffectDraws
from planner.opening.observations import Floats
from planner.opening.shares import opening_moments, opening_quantiles, paired
from planner.plan.choice import Choices, choose, picked, some_members
from planner.plan.coming import Coming
from planner.plan.documents import DiameterAdvice, GougeAdvice, WeekAdvice
from planner.plan.grid import Grid
from planner.plan.limits import Limits
from planner.plan.reasons import Case, reason, usual_reason
from planner.spread import LEVELS, Spread

MIDWEEK = 3  # days from a Monday to the middle of its week


@dataclass(frozen=True)
class PlaceAdvice:
    """What is advised for one place, and the choices it was made from."""

    coming: Coming
    weeks: tuple[WeekAdvice, ...]
    choices: Choices
    grid: Grid


def advise(
    draws: EffectDraws,
    coming: Coming,
    limits: Limits,
    *,
    today: date,
    sort_to_finish_days: int,
    usual_only: bool = False,
) -> PlaceAdvice:
    """Return the advice for the coming weeks at one place.

    Parameters
    ----------
    draws : effects of the opening model, paired with the members in turn
    coming : weeks, room and cane there
    limits : what the maker can do
    today : the day of the plan
    sort_to_finish_days : from sorting to the finished reed
    usual_only : stay with the usual diameter and gouge, and say what comes of it
    """
    draws, grid = paired(draws, len(coming.moisture)), Grid(limits)
    ahead = days_ahead(draws, coming.mondays, today)
    choices = choose(draws, grid, coming.moisture, ahead, usual_only=usual_only)
    rows = _rows(draws, coming, choices, ahead)
    cases = _cases(draws, coming, choices, limits)
    return PlaceAdvice(
        coming,
        tuple(
            WeekAdvice(
                week_start=monday,
                place=coming.place,
                sort_by=monday - timedelta(days=sort_to_finish_days),
                weather=coming.weather[i],
                room_rh_pct=rows.room[i],
                moisture_pct=rows.moisture[i],
                diameter_mm=DiameterAdvice(*rows.diameter[i]),
                gouge_mm=GougeAdvice(*rows.gouge[i]),
                in_band_share=float(choices.share[i]),
                in_band_share_usual=float(choices.usual_share[i]),
                opening_mm=rows.opening[i],
                bench_opening_mm=rows.bench_opening[i],
                why=usual_reason(case) if usual_only else reason(case, limits),
            )
            for i, (monday, case) in enumerate(
                zip(coming.mondays.astype(object), cases, strict=True)
            )
        ),
        choices,
        grid,
    )


def days_ahead(draws: EffectDraws, mondays: Dates, today: date) -> Floats:
    """Return the days (weeks,) from the last judged reed, or today, to the middle of each week."""
    last = np.datetime64(draws.last_day or today.isoformat(), "D")
    days = (mondays - last).astype(np.int64) + MIDWEEK
    return np.maximum(days, 0).astype(float)


@dataclass(frozen=True)
class _Rows:
    """The figures of each week."""

    room: list[Spread]
    moisture: list[Spread]
    diameter: list[list[float]]
    gouge: list[list[float]]
    opening: list[Spread]
    bench_opening: Sequence[Spread | None]


def _rows(draws: EffectDraws, coming: Coming, choices: Choices, ahead: Floats) -> _Rows:
    # The spread of single reeds is far wider than what the choice of members can shift.
    some = some_members(len(coming.moisture))
    reeds = opening_quantiles(
        picked(draws, some),
        choices.best,
        choices.gouge,
        coming.moisture[some],
        ahead,
        np.array(LEVELS) / 100.0,
    )
    bench: Sequence[Spread | None] = [None] * len(coming.mondays)
    if coming.bench_moisture is not None:
        bench = _spreads(bench_openings(draws, coming.moisture, coming.bench_moisture))
    return _Rows(
        _spreads(coming.room_rh),
        _spreads(coming.moisture),
        np.stack([choices.low, choices.best, choices.high], axis=1).tolist(),
        np.stack([choices.gouge_low, choices.gouge, choices.gouge_high], axis=1).tolist(),
        [Spread(*week) for week in reeds.T.tolist()],
        bench,
    )


def bench_openings(draws: EffectDraws, moisture: Floats, bench_moisture: Floats) -> Floats:
    """Return openings at the bench (members, weeks) that settle into the middle of the range. [mm]

    The reed moves by the moisture effect times the change of moisture (members, weeks) from the
    bench to where it is played.
    """
    middle = (draws.low + draws.high) / 2.0
    return np.asarray(
        middle[:, None] - draws.moisture[:, None] * (moisture - bench_moisture), dtype=float
    )


def _spreads(values: Floats) -> list[Spread]:
    """The percentiles of *values* (members, weeks), one spread a week."""
    return [Spread(*week) for week in np.percentile(values, LEVELS, axis=0).T.tolist()]


def _cases(draws: EffectDraws, coming: Coming, choices: Choices, limits: Limits) -> list[Case]:
    """What stands behind each week's choice."""
    weeks = len(coming.mondays)
    usual = np.array([limits.usual_diameter]), np.array([limits.usual_gouge])
    mean, _ = opening_moments(draws, *usual, coming.moisture, np.zeros(weeks))
    lean = np.median(mean, axis=0) - np.median((draws.low + draws.high) / 2.0)
    year = coming.year
    change = np.zeros(weeks) if year is None else np.median(coming.moisture, axis=0) - year.moisture
    return [
        Case(
            room=room,
            year=None if year is None else year.room_rh,
            lean=lean_mm,
            by_air=by_air,
            best=best,
            gouge=gouge,
            there=not coming.is_bench,
        )
        for room, lean_mm, by_air, best, gouge in zip(
            np.median(coming.room_rh, axis=0).tolist(),
            lean.tolist(),
            (np.median(draws.moisture) * change).tolist(),
            choices.best.tolist(),
            choices.gouge.tolist(),
            strict=True,
        )
    ]
