"""From what is known to the plan: the whole chain on one screen."""

from collections.abc import Iterator, Sequence
from datetime import timedelta

import numpy as np

from planner.commands.ahead import MEMBERS, look_ahead, mondays_from, year_mean
from planner.commands.learn import Learned
from planner.commands.preparing import prepared, say_day_of
from planner.commands.runs import watch_notes
from planner.commands.wishes import Asked
from planner.commands.workshop import Workshop
from planner.errors import WeatherUnavailable
from planner.opening.draws import EffectDraws
from planner.plan.assemble import assemble
from planner.plan.basis import basis
from planner.plan.coming import Coming
from planner.plan.documents import Basis, PlanDocument, Spell, WorkshopLine
from planner.plan.reach import out_of_reach
from planner.plan.recommend import PlaceAdvice, advise
from planner.plan.review_target import contradicting
from planner.plan.season import season_worth
from planner.plan.spells import find_spells
from planner.report.room_words import room_warnings
from planner.report.words import dated, day
from planner.settings import Settings

DAYS_A_YEAR = 365.25
OLD_FORECAST = timedelta(days=2)
FEW_YEARS = 3


def plan_as_of(workshop: Workshop, learned: Learned, asked: Asked) -> PlanDocument:
    """Plan the coming weeks from what is known.

    Raises
    ------
    WeatherUnavailable
        If the bench has no weather: without it nothing can be said.
    """
    settings = workshop.settings
    if settings.bench.place.name not in learned.rooms:
        raise WeatherUnavailable(no_weather(settings.bench.place.name))
    draws = learned.fit.draws(MEMBERS)
    advices = advise_places(workshop, learned, asked, draws)
    weeks = [row for advice in advices for row in advice.weeks]
    todo = prepared(workshop, learned, asked, advices)
    return assemble(
        today=learned.today,
        workshop=workshop_line(settings, learned.usual_diameter),
        basis=basis_of(settings, learned, draws, advices[0]),
        weeks=weeks,
        spells=spells_of(advices, draws, settings),
        prepare=todo.prepare,
        warnings=(*warnings_of(workshop, learned, draws, advices), *todo.warnings),
        sources=workshop.weather.sources(settings.place_names, learned.today),
        trials=learned.fit.trials,
        same_cane=todo.same_cane,
        stock=todo.stock,
        yields=todo.yields,
        prepare_notes=todo.notes,
        watch=tuple(watch_notes(workshop, learned, draws, weeks)),
    )


def advise_places(
    workshop: Workshop, learned: Learned, asked: Asked, draws: EffectDraws
) -> list[PlaceAdvice]:
    """Return the advice for each place that has weather, the bench first."""
    settings = workshop.settings
    mondays = mondays_from(learned.today, asked.weeks)
    bench = look_ahead(workshop, learned, settings.bench.place.name, mondays)
    advices = []
    for place in learned.rooms:
        at_bench = place == bench.place
        ahead = (
            bench
            if at_bench
            else look_ahead(
                workshop, learned, place, mondays, played_days=settings.lead.in_use_days
            )
        )
        coming = Coming(
            place,
            mondays,
            ahead.weather,
            ahead.room_rh,
            ahead.moisture,
            None if at_bench else bench.moisture,
            year_mean(learned, place),
        )
        advices.append(
            advise(
                draws,
                coming,
                settings.limits(learned.usual_diameter),
                today=learned.today,
                sort_to_finish_days=asked.sort_to_finish_days,
                usual_only=asked.usual_only,
            )
        )
    return advices


def spells_of(
    advices: Sequence[PlaceAdvice], draws: EffectDraws, settings: Settings
) -> list[Spell]:
    """Return the spells ahead at each place."""
    say_day = say_day_of(settings)
    return [spell for advice in advices for spell in find_spells(advice, draws, say_day)]


def workshop_line(settings: Settings, usual_diameter: float) -> WorkshopLine:
    """Return the workshop as a plan shows it."""
    return WorkshopLine(
        name=settings.name,
        bench=settings.bench.place.name,
        places=settings.place_names,
        usual_diameter_mm=usual_diameter,
        usual_gouge_mm=settings.gouge.usual_mm,
        sorted_to_mm=settings.cane.sorted_to_mm,
        diameter_min_mm=settings.cane.diameter_min_mm,
        diameter_max_mm=settings.cane.diameter_max_mm,
    )


def no_weather(place: str) -> str:
    """Return what to do about a place without weather."""
    return (
        f'No weather is stored for {place}. Run "planner weather fetch", or take in a table of '
        f"yours with \"planner weather import FILE --place '{place}'\"."
    )


def weather_years(learned: Learned, place: str) -> float:
    """Return how many years of days are stored for a place."""
    return len(learned.outdoor[place]) / DAYS_A_YEAR


def warnings_of(
    workshop: Workshop, learned: Learned, draws: EffectDraws, advices: Sequence[PlaceAdvice]
) -> Iterator[str]:
    """Yield what a maker should know before trusting the plan."""
    measured = bool(np.isfinite(learned.observations.opening).any())
    wanted = (float(np.median(draws.low)), float(np.median(draws.high)))
    # Where no cane reaches the range, verdicts can hardly go with it: one of the two says enough.
    yield from out_of_reach(advices, draws, measured=measured) or contradicting(
        learned.reeds, wanted
    )
    yield from weather_warnings(workshop, learned)


def weather_warnings(workshop: Workshop, learned: Learned) -> Iterator[str]:
    """Yield what is lacking or old of the weather, and what is wrong with the rooms."""
    settings, today = workshop.settings, learned.today
    for place in settings.place_names:
        if place not in learned.rooms:
            yield no_weather(place)
            continue
        forecast = workshop.weather.forecast(place, today)
        last = learned.outdoor[place].day[-1].item()
        if forecast is None:
            yield f"{place}: no forecast is stored; the weeks ahead stand on past years alone."
        elif today - forecast[1] > OLD_FORECAST:
            yield f"{place}: the forecast is {(today - forecast[1]).days} days old."
        if today - last > timedelta(days=30):
            yield f"{place}: the last day of weather stored is {day(last, settings.dates)}."
        if weather_years(learned, place) < FEW_YEARS:
            yield (
                f"{place}: under {FEW_YEARS} years of weather are stored; the season is known "
                "only roughly."
            )
        yield from room_warnings(place, learned.rooms[place])


def basis_of(
    settings: Settings, learned: Learned, draws: EffectDraws, at_bench: PlaceAdvice
) -> Basis:
    """Return what the plan rests on."""
    fit, bench = learned.fit, settings.bench.place.name
    return basis(
        learned.observations,
        draws,
        grade=fit.grade,
        grade_why=fit.grade_why,
        from_history={effect.name: effect.from_history for effect in fit.effects},
        wanted_learned=settings.opening.low_mm is None,
        readings=learned.readings,
        weather_years=weather_years(learned, bench),
        season_worth=season_worth(draws, at_bench, learned.today),
        notes=[dated(note, settings.dates) for note in fit.notes],
    )
