"""Past weeks planned again with only what was known then."""

from collections.abc import Callable, Iterable
from datetime import date, timedelta

import numpy as np

from planner.cane.moisture import moisture_on
from planner.commands.ahead import MEMBERS, WEEK, Ahead, look_ahead
from planner.commands.learn import Learned
from planner.commands.relearn import Relearner
from planner.commands.workshop import Workshop
from planner.opening.draws import EffectDraws
from planner.opening.shares import paired
from planner.plan.coming import Coming
from planner.plan.recommend import PlaceAdvice, advise, days_ahead
from planner.plan.review import Key
from planner.plan.review_forecast import PlannedWeek
from planner.plan.review_rivals import year_before

YEAR_BEFORE_WEEKS = 4  # last year's plan is made anew every so many weeks: it is one rival of four


def replan(
    workshop: Workshop,
    mondays: Iterable[date],
    places: Callable[[date], tuple[str, ...]],
    *,
    today: date,
    done: Callable[[], None] = lambda: None,
) -> dict[Key, PlannedWeek]:
    """Plan each week again as of the day on which its cane was to be sorted.

    *places* gives those of a week. Weeks whose day is after *today* are left out, and so is a
    place that had no weather then. *done* is called after each week.
    """
    lead = timedelta(days=workshop.settings.lead.sort_to_finish_days)
    learner, weeks = Relearner(workshop), {}
    for monday in mondays:
        if monday - lead > today:
            continue
        learned = learner.learn(monday - lead, places(monday))
        draws = learned.fit.draws(MEMBERS)
        for place in places(monday):
            if place in learned.rooms:
                weeks[monday, place] = _planned(workshop, learned, draws, monday, place)
        done()
    return weeks


def _planned(
    workshop: Workshop, learned: Learned, draws: EffectDraws, monday: date, place: str
) -> PlannedWeek:
    """One week at one place, with the room in which reeds are judged there."""
    mondays = np.array([monday], dtype="datetime64[D]")
    there = look_ahead(workshop, learned, place, mondays)
    advice = _advised(workshop, learned, draws, there)
    return PlannedWeek(
        week_start=monday,
        place=place,
        planned_on=learned.today,
        advice=advice.weeks[0],
        draws=paired(draws, len(there.moisture)),
        moisture=moisture_on(there.room, mondays[0] + np.arange(WEEK)),
        room_rh=there.room_rh[:, 0],
        days_ahead=float(days_ahead(draws, mondays, learned.today)[0]),
    )


def _advised(workshop: Workshop, learned: Learned, draws: EffectDraws, there: Ahead) -> PlaceAdvice:
    """What the plan said of a place: for the bench of its week, elsewhere of the days in use."""
    settings = workshop.settings
    bench, lead = settings.bench.place.name, settings.lead
    seen, at_bench = there, None
    if there.place != bench and bench in learned.rooms:
        at_bench = look_ahead(workshop, learned, bench, there.mondays).moisture
        seen = look_ahead(
            workshop, learned, there.place, there.mondays, played_days=lead.in_use_days
        )
    return advise(
        draws,
        Coming(seen.place, seen.mondays, seen.weather, seen.room_rh, seen.moisture, at_bench),
        settings.limits(learned.usual_diameter),
        today=learned.today,
        sort_to_finish_days=lead.sort_to_finish_days,
    )


def last_years_advice(
    workshop: Workshop, mondays: Iterable[date], places: Callable[[date], tuple[str, ...]]
) -> dict[Key, tuple[float, float]]:
    """Return diameter and gouge advised for the same weeks a year before, by this year's weeks.

    *places* gives those of a week of this year. Made anew every few weeks only, with the rooms as
    known at the season's beginning. Empty where no reed was known then: such a plan would be
    general experience, not last year's.
    """
    settings = workshop.settings
    lead = timedelta(days=settings.lead.sort_to_finish_days)
    weeks = list(mondays)
    learner, found = Relearner(workshop, rooms_every=timedelta(days=182)), {}
    for i in range(0, len(weeks), YEAR_BEFORE_WEEKS):
        block = weeks[i : i + YEAR_BEFORE_WEEKS]
        names = tuple(dict.fromkeys(name for monday in block for name in places(monday)))
        learned = learner.learn(year_before(block[0]) - lead, names)
        if not learned.reeds:
            continue
        draws = learned.fit.draws(MEMBERS)
        before = np.array([year_before(monday) for monday in block], dtype="datetime64[D]")
        for place in names:
            if place in learned.rooms:
                there = look_ahead(workshop, learned, place, before)
                rows = _advised(workshop, learned, draws, there).weeks
                for monday, row in zip(block, rows, strict=True):
                    found[monday, place] = (row.diameter_mm.best, row.gouge_mm.target)
    return found
