"""The review of a season: every week planned again, against what was made and judged."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from planner import __version__
from planner.air.days import mondays_of
from planner.air.weeks import WEEK, monday_of
from planner.commands.ahead import MEMBERS
from planner.commands.learn import Learned, learn, rooms_of, usual_diameter
from planner.commands.observe import HISTORY_DRAWS, LEAD_IN, readings_of
from planner.commands.replan import last_years_advice, replan
from planner.commands.workshop import Workshop, opened
from planner.errors import WrongUse
from planner.opening.draws import EffectDraws
from planner.plan.review import Key, Known, review
from planner.plan.review_documents import ReviewDocument
from planner.plan.review_hindsight import Found, hindsight
from planner.plan.review_rivals import Hindsight
from planner.plan.review_scores import RoomWeek
from planner.plan.review_season import Half, season, weeks_of
from planner.report.index import write_listed
from planner.report.review_page import render_review
from planner.report.words import dated, day
from planner.room.model import indoor
from planner.room.readings import humidity_by_day
from planner.settings import Settings
from planner.weather.past import past_air


@dataclass(frozen=True)
class Reviewed:
    """A review, and where its page lies."""

    document: ReviewDocument
    page: Path


def review_season(
    settings: Settings,
    *,
    today: date,
    first: date | None = None,
    last: date | None = None,
    progress: Callable[[int, int], None] = lambda _, __: None,
) -> Reviewed:
    """Review the season from *first* to *last*; left out, the last half year that ended.

    Its page is written beside those of the plans. *progress* is told how many weeks are planned
    again, and of how many: first that none is.

    Raises
    ------
    WrongUse
        If the season would end before it begins.
    RecordError
        If the record can't be read.
    RecordFull
        If the folder of the pages can't be written.
    """
    southern = settings.bench.place.latitude < 0
    try:
        half = season(first, last, today, southern=southern)
    except ValueError as error:
        raise WrongUse(
            f"{error}: --from must not be after --to, nor after {today.isoformat()}."
        ) from error
    with opened(settings) as workshop:
        weeks = len(weeks_of(half))  # none of them is to come
        count = iter(range(1, weeks + 1))
        progress(0, weeks)
        document = review(known(workshop, half, today, done=lambda: progress(next(count), weeks)))
        told = tuple(dated(note, settings.dates) for note in document.notes)
        document = replace(document, notes=told)
        return Reviewed(document, _written(document, workshop.reports, settings.dates))


def _written(document: ReviewDocument, reports: Path, dates: str) -> Path:
    """Write the page of a review and the list of pages beside it."""
    path = page_path(reports, document)
    html = render_review(
        document, version=__version__, made_at=day(document.today, dates), dates=dates
    )
    write_listed(html, path, dates=dates)
    return path


def known(
    workshop: Workshop, half: Half, today: date, done: Callable[[], None] = lambda: None
) -> Known:
    """Return what a review is made from: past weeks as of then, all else as of now.

    *done* is called after each week that was planned again.
    """
    settings = workshop.settings
    learned = learn(workshop, today)
    draws = learned.fit.draws(MEMBERS)
    mondays = weeks_of(half)
    places = _places(settings, learned, half)
    by_week = _places_by_week(settings, learned)
    planned = replan(workshop, mondays, by_week, today=today, done=done)
    before = tuple(reed for reed in learned.reeds if reed.date < half.first)
    usual = usual_diameter(settings.cane, before, half.first)
    return Known(
        today=today,
        half=half,
        workshop=settings.name,
        places=settings.place_names,
        southern=settings.bench.place.latitude < 0,
        wanted=(float(np.median(draws.low)), float(np.median(draws.high))),
        limits=settings.limits(usual),
        usual_diameter=usual,
        lead_days=settings.lead.sort_to_finish_days,
        reeds=learned.reeds,
        moves=workshop.record.cane(until=today),
        planned=planned,
        last_year=last_years_advice(workshop, mondays, by_week) if planned else {},
        come=_come(learned, mondays, places, today),
        room_weeks=list(_room_weeks(workshop, learned, half)),
        hindsight=lambda rows: hindsight_of(learned, draws, rows),
        sources=tuple(workshop.weather.sources(settings.place_names, today)),
    )


def _places(settings: Settings, learned: Learned, half: Half) -> tuple[str, ...]:
    """The bench, and the places where reeds of the season were judged."""
    judged = {reed.place for reed in learned.reeds if half.first <= reed.date <= half.last}
    bench = settings.bench.place.name
    return tuple(name for name in settings.place_names if name == bench or name in judged)


def _places_by_week(settings: Settings, learned: Learned) -> Callable[[date], tuple[str, ...]]:
    """The bench in every week, the others in the weeks in which reeds were judged there."""
    bench = settings.bench.place.name
    judged = {(monday_of(reed.date), reed.place) for reed in learned.reeds}

    def of(monday: date) -> tuple[str, ...]:
        return tuple(
            name for name in settings.place_names if name == bench or (monday, name) in judged
        )

    return of


def hindsight_of(learned: Learned, draws: EffectDraws, rows: NDArray[np.int64]) -> Hindsight:
    """Return what is known today of the reeds at *rows* of the history."""
    found = learned.fit.residuals
    reed_sd = float(np.nanmedian(found.spread))
    lot_sd = float(np.sqrt(max(draws.spread.mean() ** 2 - reed_sd**2, 1e-4)))
    return hindsight(
        learned.observations, Found(found.level, found.lot, reed_sd, lot_sd), draws, rows
    )


def _come(
    learned: Learned, mondays: Sequence[date], places: Sequence[str], today: date
) -> dict[Key, float]:
    """Humidity of each room in each whole week that has come, with the weather that came. [%]"""
    over = [monday for monday in mondays if monday + WEEK <= today]
    found: dict[Key, float] = {}
    for place in places:
        if place not in learned.rooms or not over:
            continue
        table = learned.outdoor[place]
        air, observed = past_air(table, over[0] - LEAD_IN, over[-1] + WEEK)
        room = indoor(air, learned.rooms[place].thinned(HISTORY_DRAWS))
        for monday in over:
            days = _week(room.days, monday)
            if observed[days].all():
                found[monday, place] = float(room.relative_humidity[:, days].mean())
    return found


def _week(days: NDArray[np.datetime64], monday: date) -> slice:
    start = int((np.datetime64(monday, "D") - days[0]).astype(int))
    return slice(start, start + 7)


def _room_weeks(workshop: Workshop, learned: Learned, half: Half) -> Iterator[RoomWeek]:
    """Weeks of the season with readings, beside the room model as of the season's beginning."""
    then = rooms_of(workshop, half.first)
    readings = workshop.record.readings(until=learned.today)
    for place in then:
        here = workshop.settings.place_named(place)
        read = humidity_by_day(
            readings_of(readings, place, here.place.timezone), here.room.hygrometer_offset_pct
        )
        first, last = np.datetime64(half.first, "D"), np.datetime64(half.last, "D")
        read = read.where((read.day > first) & (read.day <= last))
        if not len(read):
            continue
        air, observed = past_air(learned.outdoor[place], half.first - LEAD_IN, half.last)
        room = indoor(air, then[place].thinned(HISTORY_DRAWS))
        at = (read.day - room.days[0]).astype(int)
        model = room.relative_humidity.mean(axis=0)[at]
        week = mondays_of(read.day)
        for monday in np.unique(week[observed[at]]):
            own = (week == monday) & observed[at]
            yield RoomWeek(
                place, int(own.sum()), float(read.value[own].mean()), float(model[own].mean())
            )


def page_path(reports: Path, document: ReviewDocument) -> Path:
    """Return where the page of a season's review lies."""
    first, last = document.season_from.isoformat(), document.season_to.isoformat()
    return reports / f"review-{first}-{last}.html"
