"""The review of a season: what was advised in time, what came out, and what it was worth."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from planner.history.tables import CaneMove, Reed
from planner.plan.documents import Source
from planner.plan.limits import Limits
from planner.plan.review_advice import Found, headline, next_season, verdict
from planner.plan.review_documents import SCHEMA_VERSION, MissCause, ReviewDocument, Rival
from planner.plan.review_forecast import Forecast, PlannedWeek, forecast
from planner.plan.review_groups import by_diameter, by_name, following, week_rows
from planner.plan.review_misses import misses
from planner.plan.review_rivals import Choice, Hindsight, compare, simple_choices
from planner.plan.review_scores import (
    RoomWeek,
    calibration,
    errors,
    outlook_scores,
    room_scores,
)
from planner.plan.review_season import Half, Judged, judged, judged_late, weeks_of
from planner.plan.review_target import target_change

Key = tuple[date, str]  # a Monday and a place


@dataclass(frozen=True)
class Known:
    """What a review is made from.

    Attributes
    ----------
    half : the season
    places : the workshop's, the bench first
    wanted : the wanted range. [mm]
    usual_diameter : what the maker would have taken all along, as known when it began. [mm]
    reeds : all of the record up to *today*, in the order that ``hindsight`` knows them by
    planned : each week and place, planned again as of the day its cane was to be sorted
    last_year : best diameter and gouge advised for the same weeks a year before. [mm]
    come : humidity of the room with the weather that came. [%]
    hindsight : the model fitted over everything, for the reeds at the positions given (n,)
    """

    today: date
    half: Half
    workshop: str
    places: tuple[str, ...]
    southern: bool
    wanted: tuple[float, float]
    limits: Limits
    usual_diameter: float
    lead_days: int
    reeds: Sequence[Reed]
    moves: Sequence[CaneMove]
    planned: dict[Key, PlannedWeek]
    last_year: dict[Key, tuple[float, float]]
    come: dict[Key, float]
    room_weeks: Sequence[RoomWeek]
    hindsight: Callable[[NDArray[np.int64]], Hindsight]
    sources: tuple[Source, ...] = ()
    notes: tuple[str, ...] = ()


def review(known: Known) -> ReviewDocument:
    """Return the review of a season."""
    history = judged(known.reeds, known.wanted, known.limits.usual_gouge)
    reeds = _of_season(history, known.half)
    late = judged_late(reeds, known.moves, known.lead_days)
    expected = forecast(reeds, known.planned, late)
    rivals: tuple[Rival, ...] = ()
    missed: tuple[MissCause, ...] = ()
    if expected.planned.any():
        hindsight = known.hindsight(reeds.row)
        rivals = _rivals(known, reeds, expected, hindsight)
        missed = misses(reeds, expected, hindsight)
    found = Found(
        calibration=calibration(reeds, expected),
        rivals=rivals,
        following=following(reeds, expected, known.limits),
        misses=missed,
        room=room_scores(known.room_weeks),
        gouge_noted_share=float(reeds.gouge_noted.mean()) if len(reeds) else 1.0,
        bench=known.places[0],
    )
    document = _document(known, history, reeds, expected, found)
    return replace(document, notes=tuple(_notes(known, reeds, late)) + known.notes)


def _of_season(history: Judged, half: Half) -> Judged:
    first, last = np.datetime64(half.first, "D"), np.datetime64(half.last, "D")
    return history.where((history.day >= first) & (history.day <= last))


def _document(
    known: Known, history: Judged, reeds: Judged, expected: Forecast, found: Found
) -> ReviewDocument:
    count, good = len(reeds), int(reeds.good.sum())
    places = known.places + tuple(sorted(set(reeds.place.tolist()) - set(known.places)))
    return ReviewDocument(
        schema_version=SCHEMA_VERSION,
        today=known.today,
        season_from=known.half.first,
        season_to=known.half.last,
        season=known.half.name,
        workshop=known.workshop,
        bench=known.places[0],
        wanted_low_mm=known.wanted[0],
        wanted_high_mm=known.wanted[1],
        reeds=count,
        good=good,
        seen_share=good / count if count else None,
        predicted_share=None if found.calibration is None else found.calibration.predicted_share,
        verdict=verdict(found) if count else _nothing(known),
        worth=headline(found.rivals, found.following),
        weeks=week_rows(
            weeks_of(known.half),
            places,
            reeds,
            expected,
            known.planned,
            known.come,
            lead_days=known.lead_days,
        ),
        by_place=by_name(reeds, expected, reeds.place),
        by_lot=by_name(reeds, expected, reeds.lot),
        by_diameter=by_diameter(reeds, expected, known.limits),
        calibration=found.calibration,
        errors=errors(reeds, expected, history, lead_days=known.lead_days),
        rivals=found.rivals,
        following=found.following,
        outlook=outlook_scores(known.planned, known.come),
        room=found.room,
        misses=found.misses,
        next_season=next_season(found),
        sources=known.sources,
    )


def _rivals(
    known: Known, reeds: Judged, expected: Forecast, hindsight: Hindsight
) -> tuple[Rival, ...]:
    """The plan against each of the others, over the planned reeds."""
    plan = Choice("plan", expected.advised_diameter, expected.advised_gouge)
    choices = simple_choices(
        reeds, known.limits, usual_diameter=known.usual_diameter, southern=known.southern
    )
    if known.last_year:
        choices.append(_last_year(known, reeds))
    found = (compare(hindsight, plan, choice) for choice in choices)
    return tuple(rival for rival in found if rival is not None)


def _last_year(known: Known, reeds: Judged) -> Choice:
    nothing = (np.nan, np.nan)
    advice = np.array(
        [
            known.last_year.get((week, place), nothing)
            for week, place in zip(reeds.week.astype(object), reeds.place.tolist(), strict=True)
        ],
        dtype=float,
    ).reshape(-1, 2)
    return Choice("last_year", advice[:, 0], advice[:, 1])


def _notes(known: Known, reeds: Judged, late: NDArray[np.bool_]) -> Iterator[str]:
    """What a reader must know to read the review rightly."""
    if known.half.last >= known.today:
        yield "The season isn't over: this is what is known so far."
    if not known.planned:
        yield "There is no weather of that time, so nothing could be planned again."
    elif not known.last_year:
        yield "Nothing is known of the year before, so last year's plan can't be compared."
    if late.any():
        yield (
            f"{int(late.sum())} reeds were judged long after their cane was gouged; they count as "
            "seen, not as planned."
        )
    unknown = len(_own(known)) - len(reeds)
    if unknown:
        yield f"{unknown} reeds with only a dry opening and no verdict can't be called good or not."
    yield from _target_note(known, reeds)


def _nothing(known: Known) -> str:
    """Why there is no verdict."""
    if _own(known):
        return "No reed of this season can be called good or not."
    return "No reed was judged in this season."


def _own(known: Known) -> list[Reed]:
    """The reeds of the season, judged or with a dry opening alone."""
    return [reed for reed in known.reeds if known.half.first <= reed.date <= known.half.last]


def _target_note(known: Known, reeds: Judged) -> Iterator[str]:
    change = target_change(reeds, known.wanted)
    if change is None:
        return
    before, after = round(100 * change.agree_before), round(100 * change.agree_after)
    yield (
        f"Verdicts and the wanted range of {known.wanted[0]:.2f} to {known.wanted[1]:.2f} mm agree "
        f"for {before} in 100 reeds before {change.day.isoformat()} and {after} in 100 from then "
        "on: the target seems to have been changed. Verdicts count as they were given; what was "
        "planned goes by the range of today."
    )
